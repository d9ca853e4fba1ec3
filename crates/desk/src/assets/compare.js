// Seeing the bare wood, and the lines before the last change: for as long as a
// button or a key is held.

import { changed, state } from "./selection.js";

const MODES = { hidden: document.getElementById("bare"), earlier: document.getElementById("before") };

export function set(mode, on) {
  if (state[mode] === on) return;
  state[mode] = on;
  MODES[mode].setAttribute("aria-pressed", String(on));
  changed("lines");
}

for (const [mode, button] of Object.entries(MODES)) {
  button.addEventListener("pointerdown", (event) => { button.setPointerCapture(event.pointerId); set(mode, true); });
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) button.addEventListener(end, () => set(mode, false));
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  // By keyboard the button switches: holding Space would repeat.
  button.addEventListener("keydown", (event) => {
    if (event.repeat || ![" ", "Enter"].includes(event.key)) return;
    event.preventDefault();
    set(mode, !state[mode]);
  });
  button.addEventListener("blur", () => set(mode, false));
}
