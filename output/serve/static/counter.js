// Makes the counter live: with every figure that is typed its garment and its numbers are asked for anew. Without this
// script the page does the same by its buttons. What is typed is kept in the browser only where the box is ticked.

const KEPT = "shirrline.counter";
const PAUSE = 500; // ms without a change before the summary is renewed, so that a screen reader is not flooded
const AGAIN = 2; // s before a busy server is asked again, if it does not say when
const TRIES = 5; // times that it is asked again: what is too much for it stays so

const form = document.querySelector("#order");
const told = document.querySelector("#told");

if (form && told) {
  const keep = document.querySelector("#keep");
  const touched = new Set();
  let shown = chosen();
  let asking = null; // of the last request: an older one is given up
  let drawn = Boolean(document.querySelector("#garment svg"));
  let last = { problems: {}, missing: [] };
  let saying = 0;

  function chosen() {
    return new FormData(form).get("design") ?? "";
  }

  function controls(name) {
    return form.querySelectorAll(`[aria-describedby~="${name}-problem"]`);
  }

  function typing() {
    const at = document.activeElement;
    return at?.form === form && at.matches("input[id]") && touched.has(at.name) ? at.name : "";
  }

  function say(text) {
    clearTimeout(saying);
    saying = setTimeout(() => {
      if (told.textContent !== text) told.textContent = text;
    }, PAUSE);
  }

  // Problems stand at their fields, but not at one that is being typed into, nor at one that nobody has come to yet.
  function point(all) {
    const now = typing();
    for (const place of form.querySelectorAll("[data-problem]")) {
      const name = place.dataset.problem;
      const text = last.problems[name] ?? "";
      const early = !all && (name === now || (last.missing.includes(name) && !touched.has(name)));
      const seen = text !== "" && !early;
      place.hidden = !seen;
      place.firstElementChild.textContent = seen ? text : "";
      for (const one of controls(name)) {
        if (seen) one.setAttribute("aria-invalid", "true");
        else one.removeAttribute("aria-invalid");
      }
    }
  }

  function unit() {
    const name = new FormData(form).get("unit") ?? "cm";
    for (const place of form.querySelectorAll("[data-unit]")) {
      place.textContent = name;
      place.hidden = false;
    }
  }

  // Where to look next: the first field that is wrong, or the garment.
  function look() {
    const one = form.querySelector('[aria-invalid="true"]');
    if (!one) {
      document.querySelector("#garment-heading").focus();
      return;
    }
    for (let around = one.closest("details"); around; around = around.parentElement.closest("details")) around.open = true;
    (one.matches("input") ? one : one.querySelector("input")).focus();
  }

  async function ask(all = false, more = {}, before = "", tries = TRIES) {
    asking?.abort();
    const mine = (asking = new AbortController());
    const sent = new URLSearchParams(new FormData(form));
    for (const [name, value] of Object.entries(more)) if (!sent.has(name)) sent.set(name, value);
    sent.set("typing", all ? "" : typing());
    sent.set("shown", shown);
    try {
      const answer = await fetch("/preview", {
        method: "POST",
        body: sent,
        headers: { Accept: "application/json" },
        signal: mine.signal,
      });
      const found = await answer.json();
      if (mine.signal.aborted) return;
      if (answer.ok) show(found, all, before);
      else {
        say(found.problem);
        const wait = 1000 * (Number(answer.headers.get("Retry-After")) || AGAIN);
        const busy = answer.status === 503 || answer.status === 429;
        if (busy && tries) setTimeout(() => mine === asking && ask(all, more, before, tries - 1), wait);
      }
    } catch (error) {
      if (error.name !== "AbortError") say("The page cannot be reached just now; what you typed is still here.");
    }
  }

  // A part that is the same stays: a press of one of its buttons may just be under way. In one that is another the focus
  // goes on where it was.
  function put(area, html) {
    if (put.last.get(area) === html) return;
    put.last.set(area, html);
    const at = area.contains(document.activeElement) ? document.activeElement : null;
    const from = at?.matches("input[id]") ? at.selectionStart : null;
    area.innerHTML = html;
    if (!at) return;
    const same = (one) => one.id === at.id && one.name === at.name && (one.id || one.value === at.value);
    const again = [...area.querySelectorAll(at.localName)].find(same);
    again?.focus({ preventScroll: true });
    if (from !== null) again?.setSelectionRange(from, from);
  }
  put.last = new Map();

  function show(found, all, before) {
    for (const [part, html] of Object.entries(found.parts)) put(document.getElementById(part), html);
    document.querySelector("#summary")?.remove();
    shown = found.shown;
    drawn = found.drawn;
    last = found;
    form.classList.toggle("old", !drawn);
    unit();
    point(all);
    const old = !drawn && document.querySelector("#garment svg") ? " What is shown was drawn before." : "";
    say(`${before}${found.told}${old}`);
    if (all) look();
  }

  function figures() {
    return Object.fromEntries([...new FormData(form)].filter(([, value]) => value !== ""));
  }

  function store() {
    try {
      if (keep.checked) localStorage.setItem(KEPT, JSON.stringify(figures()));
      else localStorage.removeItem(KEPT);
    } catch {
      keep.checked = false;
    }
  }

  function restored() {
    try {
      return JSON.parse(localStorage.getItem(KEPT));
    } catch {
      return null;
    }
  }

  function fill(kept) {
    for (const one of form.querySelectorAll("input[name]")) {
      const value = kept[one.name];
      if (one.type === "radio") one.checked = value === undefined ? one.checked : one.value === value;
      else if (one.type === "checkbox") one.checked = value !== undefined;
      else if (one.type !== "hidden" && value !== undefined) one.value = value;
    }
  }

  function forget() {
    keep.checked = false;
    store();
    form.reset();
    for (const one of form.querySelectorAll("input[id][name]")) one.value = "";
    touched.clear();
    ask(false, {}, "Your figures are forgotten. ");
  }

  form.addEventListener("input", (event) => {
    if (event.target === keep) return;
    if (event.target.matches("input[id]")) touched.add(event.target.name);
    if (event.target.name === "unit") unit();
    store();
    ask();
  });

  form.addEventListener("focusout", (event) => {
    const left = event.target;
    if (!touched.has(left.name)) return;
    // A field is not finished while it has the focus: it is looked at anew, as finished, when that has moved on.
    setTimeout(() => (left.value === "" ? point(false) : ask()));
  });

  form.addEventListener("submit", (event) => {
    const takes = event.submitter?.hasAttribute("formaction");
    if (takes && drawn) {
      say("Your files are being made; they come by themselves.");
      return;
    }
    event.preventDefault();
    ask(true);
  });

  keep.addEventListener("change", store);
  document.querySelector("#forget").addEventListener("click", forget);
  document.querySelector("#keeping").hidden = false;
  document.querySelector("#unkept").hidden = true;
  form.classList.add("live");

  const kept = restored();
  keep.checked = kept !== null;
  if (kept) fill(kept);
  unit();
  if (kept) ask(false, kept);
}
