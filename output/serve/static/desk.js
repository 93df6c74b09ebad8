/* The desk made live: each change is sent as it is typed, and what the server answers is shown in its place. The server
   draws all of it; this page carries the working copy. */

import { dragged } from "./desk_drag.js";
import { show } from "./desk_morph.js";

const PAUSE = 400; // ms without a change before the whole range is looked at
const LOOK = 5000; // ms between looks at the files

const form = document.getElementById("desk");
const bar = document.getElementById("part-bar");
const status = document.getElementById("status");
/* What the page carries; the fields in it are for a page without scripting. */
const state = Object.fromEntries([...form.querySelectorAll("#part-state input")].map((one) => [one.name, one.value]));

let refused = {}; // what was typed and not taken, by field
let queue = []; // what is to be sent: {fields, joins}
let sending = false;
let sitting = 0; // what is typed into one field without leaving it, or drawn without letting go, is one step
let later = 0;
let notes = null;

document.documentElement.classList.add("scripted");

function chosen() {
  const fields = new FormData(form);
  return [...fields].filter(([name]) => form.elements[name]?.closest?.("#part-view") || viewed(name));
}

function viewed(name) {
  const found = form.elements.namedItem(name);
  const one = found instanceof RadioNodeList ? found[0] : found;
  return Boolean(one?.closest?.("#part-view"));
}

/** Send a change; one of the same field that still waits is replaced. */
function send(fields, { joining = "" } = {}) {
  const joins = joining && `${joining} ${sitting}`;
  const last = queue.at(-1);
  if (joins && last?.joins === joins) last.fields = fields;
  else queue.push({ fields, joins });
  next();
}

async function next() {
  if (sending || !queue.length) return;
  sending = true;
  notes?.abort();
  const { fields, joins } = queue.shift();
  const had = document.activeElement !== document.body; // a button may be gone afterwards: what it did can be undone
  try {
    const answer = await asked({ ...fields, part: "drawing", joins: joins && joins === state.at ? "1" : "" });
    Object.assign(state, answer.state, { at: answer.open ? joins : "" });
    refused = answer.refused;
    for (const [name, html] of Object.entries(answer.parts)) {
      const part = document.getElementById(`part-${name}`);
      if (part && !(queue.length && ["parameters", "sizes"].includes(name))) show(part, html, { typing: !("do" in fields) });
    }
    if (answer.title) document.title = answer.title;
    if (status.textContent !== answer.told) status.textContent = answer.told;
    found();
    if (document.activeElement === document.body && had) document.getElementById("undo").focus();
  } catch (error) {
    const { do: _, ...typed } = fields;
    refused = { ...refused, ...typed }; // to be sent again with what comes next
    failed(error);
  } finally {
    sending = false;
  }
  if (queue.length) next();
  else settle();
}

/** What takes longer, when there has been no change for a moment: what the whole range says. */
function settle() {
  clearTimeout(later);
  later = setTimeout(async () => {
    notes = new AbortController();
    try {
      const answer = await asked({ part: "notes" }, notes.signal);
      if (queue.length || sending) return;
      for (const [name, html] of Object.entries(answer.parts)) show(document.getElementById(`part-${name}`), html);
      if (answer.told) status.textContent = answer.told;
      found();
    } catch (error) {
      if (error.name !== "AbortError") failed(error);
    }
  }, PAUSE);
}

async function asked(fields, signal) {
  const body = new URLSearchParams();
  const { at: _, ...carried } = state;
  for (const [name, value] of Object.entries({ ...carried, ...Object.fromEntries(chosen()), ...refused, ...fields })) {
    body.set(name, value);
  }
  const answer = await fetch(form.getAttribute("action"), {
    method: "POST",
    headers: { Accept: "application/json" },
    body,
    signal,
  });
  const told = await answer.json();
  if (!answer.ok) throw new Error(told.problem);
  return told;
}

function failed(error) {
  const lost = error instanceof TypeError;
  status.textContent = lost ? "The server does not answer; what you changed is kept here. Start it again." : error.message;
  status.classList.add("problem");
}

const unsaved = () => Boolean(bar.querySelector("[data-unsaved]"));

function found() {
  status.classList.remove("problem");
  filter();
}

/** Show those parameters alone that have what is looked for in their name or meaning. */
function filter() {
  const words = (form.elements.namedItem("find")?.value ?? "").toLowerCase().split(/\s+/).filter(Boolean);
  for (const group of form.querySelectorAll("#part-parameters details")) {
    let any = false;
    for (const row of group.querySelectorAll("[data-words]")) {
      row.hidden = !words.every((word) => row.dataset.words.includes(word));
      any ||= !row.hidden;
    }
    group.hidden = !any && words.length > 0;
    if (any && words.length) group.open = true;
  }
}

form.addEventListener("input", (event) => {
  const field = event.target;
  if (field.name === "find") filter();
  else if (field.closest("#part-view")) {
    if (field.type === "text") send({}, { joining: "view" });
  } else if (field.name && field.dataset.live !== undefined) send({ [field.name]: field.value }, { joining: field.name });
});

form.addEventListener("focusout", () => (sitting += 1));
form.addEventListener("pointerdown", () => (sitting += 1));

form.addEventListener("change", (event) => {
  const field = event.target;
  if (field.closest("#part-view") && field.type !== "text") send({});
});

form.addEventListener("submit", (event) => {
  const button = event.submitter;
  if (button?.formAction && button.hasAttribute("formaction")) return;
  event.preventDefault();
  send(button?.name ? { [button.name]: button.value, ...beside(button) } : {});
});

/** What stands in the fields beside a button that takes them along. */
function beside(button) {
  const fields = button.closest("[data-beside]")?.querySelectorAll("input, select") ?? [];
  return Object.fromEntries([...fields].filter((one) => one.name).map((one) => [one.name, one.value]));
}

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  const step = key === "z" && !event.shiftKey ? "undo" : key === "y" || key === "z" ? "redo" : key === "s" ? "save" : "";
  if (!step) return;
  event.preventDefault();
  send({ do: step });
});

window.addEventListener("beforeunload", (event) => {
  if (unsaved()) event.preventDefault();
});

/** Notice that a file was changed by another program. */
async function look() {
  if (document.hidden || sending || queue.length) return;
  try {
    const query = new URLSearchParams({ design: state.design, table: state.table });
    const answer = await fetch(`files?${query}`, { headers: { Accept: "application/json" } });
    if (!answer.ok) return;
    const now = await answer.json();
    const told = bar.querySelector("[data-seen]")?.dataset.seen;
    if (now.seen !== told) send({});
  } catch {
    // It is asked again in a moment; a change that is sent meanwhile tells that there is no answer.
  }
}

setInterval(look, LOOK);
window.addEventListener("focus", look);
document.addEventListener("visibilitychange", look);

dragged(document.getElementById("part-drawing"), (name, steps) => send({ [name]: steps }, { joining: name }));
filter();
settle();
