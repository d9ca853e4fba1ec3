// The keys of the page; the help in index.html lists them.

import * as compare from "./compare.js";
import { judge, redo, undo } from "./edits.js";
import { largeHere } from "./panes.js";
import * as pending from "./pending.js";
import * as photo from "./photo.js";
import { stop } from "./progress.js";
import { state } from "./selection.js";
import * as strip from "./strip.js";
import * as marks from "./strip-marks.js";
import * as unrolled from "./unrolled.js";

const at = (id) => document.getElementById(id);
const canvas = at("unrolled-canvas");

const onUnrolled = (does) => () => {
  does(unrolled.visibleTurn());
  if (at("photo-canvas") !== document.activeElement) canvas.focus({ preventScroll: true });
};
const actions = {
  n: onUnrolled(() => unrolled.walk(true)),
  p: onUnrolled(() => unrolled.walk(false)),
  k: () => judge("keep"),
  x: () => judge("remove"),
  delete: () => judge("remove"),
  s: () => judge("split"),
  a: onUnrolled(pending.beginAdd),
  m: onUnrolled(pending.beginMove),
  j: pending.joinNext,
  f: largeHere,
  t: photo.turn,
  "?": openHelp,
};
/** What the keys do where a person counts along the strip. */
const byHand = {
  n: () => strip.onward(true),
  p: () => strip.onward(false),
  x: () => strip.takeHere(),
  delete: () => strip.takeHere(),
  backspace: () => strip.takeHere(),
  a: marks.accept,
  f: largeHere,
  t: photo.turn,
  "?": openHelp,
};
/** The same where the program does: a ring is added at the cursor, and dragged. */
const byProgram = { ...actions, a: () => strip.setHere(), m: undefined, j: undefined };
const HELD = { h: "hidden", b: "earlier" };

/** Opens the help at its top: the focus goes to its last button. */
function openHelp() {
  at("help").showModal();
  at("help").scrollTop = 0;
}

function escape(event) {
  if (event.target.closest?.("dialog")) return;
  if (!stop() && state.view && !pending.cancel()) photo.cancel();
}

addEventListener("keydown", (event) => {
  if (event.key === "Escape") { escape(event); return; }
  if (!state.view || event.isComposing) return;
  const typing = event.target.closest?.("input, textarea, select, dialog");
  const name = event.key.toLowerCase();
  if ((event.ctrlKey || event.metaKey) && !typing) {
    if (name === "z" && !event.shiftKey) { event.preventDefault(); undo(); }
    else if (name === "y" || (name === "z" && event.shiftKey)) { event.preventDefault(); redo(); }
    return;
  }
  if (typing || event.altKey || event.ctrlKey || event.metaKey) return;
  if (HELD[name]) { compare.set(HELD[name], true); return; }
  const does = (!marks.strip() ? actions : marks.byHand() ? byHand : byProgram)[name];
  if (!does) return;
  event.preventDefault();
  does();
});
addEventListener("keyup", (event) => { const mode = HELD[event.key.toLowerCase()]; if (mode) compare.set(mode, false); });
addEventListener("blur", () => Object.values(HELD).forEach((mode) => compare.set(mode, false)));

at("undo").addEventListener("click", undo);
at("redo").addEventListener("click", redo);
at("open-help").addEventListener("click", openHelp);
at("next-doubt").addEventListener("click", () => unrolled.walk(true));
at("add").addEventListener("click", () => { pending.beginAdd(unrolled.visibleTurn()); canvas.focus({ preventScroll: true }); });
at("move").addEventListener("click", () => { pending.beginMove(unrolled.visibleTurn()); canvas.focus({ preventScroll: true }); });
at("join").addEventListener("click", () => pending.beginJoin());
