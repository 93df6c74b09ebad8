/* A casing drawn up and down on the flat leg. It follows the pointer; where it may lie the server says. */

/** Call `moved(field, steps)` while a casing is drawn, with the field of its slider and where it would lie. */
export function dragged(area, moved) {
  let held = null;

  area.addEventListener("pointerdown", (event) => {
    const handle = event.target.closest?.("g.casing[data-casing]");
    const slider = handle && sliderOf(area, handle.dataset.casing);
    const svg = handle?.ownerSVGElement;
    const scale = svg?.getScreenCTM()?.d;
    if (!slider || !scale || event.button !== 0) return;
    event.preventDefault();
    area.setPointerCapture(event.pointerId);
    held = { slider, from: event.clientY, at: Number(slider.value), scale, step: Number(slider.dataset.step) };
    area.classList.add("held");
  });

  area.addEventListener("pointermove", (event) => {
    if (!held) return;
    const up = (held.from - event.clientY) / Math.abs(held.scale);
    const wanted = held.at + Math.round(up / held.step);
    const value = Math.min(Math.max(wanted, Number(held.slider.min)), Number(held.slider.max));
    if (String(value) === held.slider.value) return;
    held.slider.value = value;
    moved(held.slider.name, String(value));
  });

  for (const end of ["pointerup", "pointercancel"]) {
    area.addEventListener(end, () => {
      held = null;
      area.classList.remove("held");
    });
  }
}

function sliderOf(area, name) {
  return [...area.querySelectorAll("input[type=range][data-casing]")].find((one) => one.dataset.casing === name);
}
