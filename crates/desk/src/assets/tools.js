// What the pointer does on the photo: the tool chosen, its words, its brush,
// and taking back what was set with it.

import { act } from "./edits.js";
import { listen, state } from "./selection.js";

const wordsBox = document.getElementById("tool-words");
const clearBox = document.getElementById("tool-clear");
const buttons = [...document.querySelectorAll("[data-tool]")];

const WORDS = {
  look: "Drag to move, wheel or pinch to zoom, click a ring to choose it.",
  rings: "Click between lines to add a ring, on a line to choose it.",
  pith: "Click on the pith, or drag to it. The rings are read again.",
  bark: "Click or drag to where the bark edge really is.",
  tape: "Drag along the tape between two marks, then type the length.",
  strip: "Click on the pith, then on the bark edge: rings are counted along that line.",
  paint: "Paint over what cannot be read: a knot, a check, a label.",
};

/** Brush radius as a share of the photo's longer side. */
const BRUSHES = { small: 0.006, medium: 0.014, large: 0.03 };
let brush = "medium";
let tool = "look";
let onChange = () => {};
let widen = () => {};

export const current = () => tool;
/** The brush's radius in photo pixels. */
export const brushRadius = () => Math.max(4, BRUSHES[brush] * Math.max(...(state.view?.size_px ?? [1, 1])));
/** What makes the strip wider or narrower. */
export const whenWidened = (does) => { widen = does; };
/** What happens when another tool is chosen. */
export const whenChanged = (does) => { onChange = does; };

export function use(name) {
  tool = name;
  for (const button of buttons) {
    const on = button.dataset.tool === name;
    button.setAttribute("aria-checked", String(on));
    button.tabIndex = on ? 0 : -1;
  }
  describe();
  onChange();
}

function button(text, does, pressed = null) {
  const one = document.createElement("button");
  one.type = "button";
  one.textContent = text;
  if (pressed !== null) one.setAttribute("aria-pressed", String(pressed));
  one.addEventListener("click", does);
  return one;
}

function describe() {
  const marks = state.view?.stump.marks;
  wordsBox.textContent = tool === "strip" && marks?.strip ? "Drag an end or a side. Arrow keys and Enter move the nearer end." : WORDS[tool];
  const clear = (there, text, edit) => (there ? [button(text, () => act(edit))] : []);
  const row = {
    pith: () => clear(marks.pith, "Clear pith", { do: "pith", at: null }),
    bark: () => clear(marks.bark.length, "Clear bark marks", { do: "clear-bark" }),
    tape: () => clear(marks.tape, "Remove tape", { do: "tape", from: null, to: null, length: null }),
    strip: () => (marks.strip ? [button("Narrower", () => widen(false)), button("Wider", () => widen(true)), button("Clear strip", () => act({ do: "clear-strip" }))] : []),
    paint: () => [
      ...Object.keys(BRUSHES).map((name) => button(name[0].toUpperCase() + name.slice(1), () => { brush = name; describe(); }, brush === name)),
      ...clear(marks.unreadable.length, "Remove paint", { do: "clear-unreadable" }),
    ],
  }[tool];
  clearBox.replaceChildren(...(marks && row ? row() : []));
}

buttons.forEach((one, index) => {
  one.addEventListener("click", () => use(one.dataset.tool));
  one.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!by) return;
    event.preventDefault();
    const next = buttons[(index + by + buttons.length) % buttons.length];
    next.focus();
    use(next.dataset.tool);
  });
});
listen((what) => { if (what === "stump") describe(); });
