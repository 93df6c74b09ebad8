/* Make what a page shows into what the server has drawn anew, without touching what the reader has in hand: the field
   that is typed in keeps its text and its place, a group that was opened stays open. */

const KEPT = new Set(["open"]);
const FIELDS = "input, select, option";

let kept = null; // the field that is typed in

/** Make the content of an element that of a piece of HTML; of a field that somebody is typing in, the text stays. */
export function show(element, html, { typing = true } = {}) {
  kept = typing ? document.activeElement : null;
  const wanted = document.createElement("template");
  wanted.innerHTML = html;
  children(element, wanted.content);
}

function children(old, wanted) {
  const named = new Map([...old.children].filter((one) => one.id).map((one) => [one.id, one]));
  let next = old.firstChild;
  for (const want of [...wanted.childNodes]) {
    const known = want.id ? named.get(want.id) : undefined;
    const same = known ?? (next && alike(next, want) ? next : undefined);
    if (!same) {
      old.insertBefore(want, next);
      continue;
    }
    if (same === next) next = next.nextSibling;
    else old.insertBefore(same, next);
    node(same, want);
  }
  while (next) {
    const gone = next;
    next = next.nextSibling;
    gone.remove();
  }
}

function alike(old, want) {
  return old.nodeType === want.nodeType && old.nodeName === want.nodeName && (old.id ?? "") === (want.id ?? "");
}

function node(old, want) {
  if (old.nodeType !== Node.ELEMENT_NODE) {
    if (old.nodeValue !== want.nodeValue) old.nodeValue = want.nodeValue;
    return;
  }
  if (old.isEqualNode(want) && !old.matches(FIELDS) && !old.querySelector(FIELDS)) return;
  if (old.nodeName === "svg") {
    old.replaceWith(want);
    return;
  }
  if (want.hasAttribute("data-later")) return; // not looked at this time: what was seen before stays
  if (want.hasAttribute("data-none")) want.append(...[...old.children].map((one) => one.cloneNode(true)));
  attributes(old, want);
  if (old.nodeName !== "TEXTAREA") children(old, want);
  values(old, want);
}

function attributes(old, want) {
  for (const { name } of [...old.attributes]) {
    if (!want.hasAttribute(name) && !KEPT.has(name)) old.removeAttribute(name);
  }
  for (const { name, value } of want.attributes) {
    if (old.getAttribute(name) !== value && !KEPT.has(name)) old.setAttribute(name, value);
  }
}

function values(old, want) {
  if (old === kept && old.matches("input:not([type=checkbox], [type=radio]), textarea")) return;
  if (old.nodeName === "INPUT") {
    if (old.type === "checkbox" || old.type === "radio") old.checked = want.hasAttribute("checked");
    else if (old.value !== (want.getAttribute("value") ?? "")) old.value = want.getAttribute("value") ?? "";
  } else if (old.nodeName === "OPTION") {
    old.selected = want.hasAttribute("selected");
  }
}
