// The photo with its rings: pointing, tools and keys. Rings are set and removed here
// too; the pith moves only with its own tool. photo-view.js says what part is shown.

import { outlines } from "./brush.js";
import { act } from "./edits.js";
import { at } from "./geometry.js";
import { say } from "./message.js";
import * as pending from "./pending.js";
import { canvas, fit, fitFace, hand, map, pixelsPerPixel, redraw, spotOf, turn, view } from "./photo-view.js";
import { choose, hover, state } from "./selection.js";
import * as stripTool from "./strip-tool.js";
import * as tools from "./tools.js";
import { wayBack } from "./turning.js";
import { notYet } from "./words.js";

export { fit, fitFace, pixelsPerPixel, spotOf, turn };

const tapeForm = document.getElementById("tape-form");
const tapeLength = document.getElementById("tape-length");
/** How near a pointer must be to a line to be on it, in CSS pixels. */
const NEAR = { mouse: 4, touch: 12 };

let drag = null;
const size = () => state.view?.size_px ?? [1, 1];

// ---- pointing

const inPhoto = ([x, y]) => [Math.min(Math.max(x, 0), size()[0]), Math.min(Math.max(y, 0), size()[1])];

canvas.addEventListener("pointerdown", (event) => {
  if (event.button > 0 || !state.view) return;
  canvas.focus({ preventScroll: true });
  canvas.setPointerCapture(event.pointerId);
  if (view.down(event)) { giveUp(); return; }
  hand.cross = null;
  const from = view.spot(event);
  const place = map.toPhoto(...from);
  const tool = tools.current();
  drag = { tool, from, spot: from, moved: false };
  if (tool === "tape") { hand.tape = { from: inPhoto(place), to: null }; tapeForm.hidden = true; }
  if (tool === "paint") { hand.stroke = [place]; hand.brush = tools.brushRadius(); }
  if (tool === "pith") hand.pith = place;
  if (tool === "strip") drag.handle = stripTool.handleAt(map, from, event.pointerType);
  if (event.pointerType !== "mouse" && tool !== "look") hand.finger = from;
  redraw();
});

/** Drops what a first finger began when a second one comes down. */
function giveUp() {
  drag = null;
  Object.assign(hand, { pith: null, stroke: [], finger: null });
  if (tapeForm.hidden) hand.tape = null;
  if (hand.strip?.to) hand.strip = null;
  redraw();
}

canvas.addEventListener("pointermove", (event) => {
  if (view.move(event)) { giveUp(); return; }
  const now = view.spot(event);
  const place = map.toPhoto(...now);
  if (!drag) {
    if (hand.strip?.from) { hand.strip = { from: hand.strip.from, to: inPhoto(place) }; redraw(); }
    if (event.pointerType === "mouse") point(now, place);
    return;
  }
  if (Math.hypot(now[0] - drag.from[0], now[1] - drag.from[1]) > 4) drag.moved = true;
  if (drag.moved) {
    if (drag.tool === "pith") hand.pith = place;
    else if (drag.tool === "tape") hand.tape.to = inPhoto(place);
    else if (drag.tool === "strip") stripTool.draw(hand, map, inPhoto(place), { handle: drag.handle, from: inPhoto(map.toPhoto(...drag.from)) });
    else if (drag.tool === "paint") hand.stroke.push(place);
    else if (drag.tool === "look" || (drag.tool === "rings" && event.pointerType === "mouse")) view.shift(now[0] - drag.spot[0], now[1] - drag.spot[1]);
  }
  drag.spot = now;
  if (hand.finger) hand.finger = now;
  redraw();
});

canvas.addEventListener("pointerup", (event) => {
  const pinched = view.up(event);
  const done = drag;
  drag = null;
  hand.finger = null;
  hand.pith = null;
  if (done && !pinched) finish(done, map.toPhoto(...view.spot(event)), event.pointerType);
  redraw();
});
canvas.addEventListener("pointercancel", (event) => { view.up(event); giveUp(); });
canvas.addEventListener("pointerleave", () => hover(0));

const setStrip = (place, how) => stripTool.set(hand, map, inPhoto(place), how).then(redraw);

function finish({ tool, moved, handle }, place, kind) {
  if (tool === "strip") setStrip(place, { handle, moved });
  if (tool === "look" && !moved) pick(place);
  if (tool === "rings" && (!moved || kind !== "mouse")) ringTool(place, kind);
  if (tool === "pith") act({ do: "pith", at: place });
  if (tool === "bark") act({ do: "bark", at: inPhoto(place) });
  if (tool === "paint") paint();
  if (tool === "tape" && moved) askLength();
  if (tool === "tape" && !moved) { hand.tape = null; say("drag from one mark on the tape to another"); }
}

/** Chooses the ring that a place is in. */
function pick(place) {
  if (!state.geometry) return;
  const [turn, course] = state.geometry.locate(place);
  const number = state.lines.findIndex((line) => at(line, turn) >= course) + 1;
  if (number) choose(number, turn);
}

/** The ring whose line is under a place; 0 where none is. */
function lineAt(place, kind) {
  const [turn, course] = state.geometry.locate(place);
  const radius = state.geometry.radius(turn, course);
  let found = { number: 0, off: Infinity };
  state.lines.forEach((line, index) => {
    const off = Math.abs(state.geometry.radius(turn, at(line, turn)) - radius) * map.sx;
    if (off < found.off) found = { number: index + 1, off };
  });
  const { number, off } = found;
  if (!number) return 0;
  // Where lines are close, only the third of the way to the next is on the line.
  const here = at(state.lines[number - 1], turn);
  const gaps = [at(state.lines[number - 2] ?? [0, 0], turn), at(state.lines[number] ?? [Infinity, Infinity], turn)]
    .filter(Number.isFinite).map((other) => Math.abs(state.geometry.radius(turn, here) - state.geometry.radius(turn, other)) * map.sx);
  return off <= Math.min(NEAR[kind] ?? NEAR.mouse, 0.34 * Math.min(...gaps)) ? number : 0;
}

/** With the tool Rings: a line is chosen, or joined; a place between gets a ring. */
function ringTool(place, kind) {
  if (!state.geometry) { say(notYet() ?? "no rings were read on this photo, so none can be added", true); return; }
  const [turn, course] = state.geometry.locate(place);
  const number = lineAt(place, kind);
  if (state.pending?.kind === "join" && number && number !== state.pending.ring) pending.joinWith(number, turn);
  else if (number) { pending.cancel(); choose(number, turn); }
  else {
    pending.begin({ kind: "add", turn, course, by: kind });
    if (kind === "mouse") pending.set();
  }
}

function point(now, place) {
  const tool = tools.current();
  canvas.style.cursor = tool === "look" ? "grab" : tool === "rings" && state.geometry && lineAt(place, "mouse") ? "pointer" : "crosshair";
  if (!state.geometry) return;
  const [turn, course] = state.geometry.locate(place);
  const within = state.lines.findIndex((line) => at(line, turn) >= course) + 1;
  const number = tool === "rings" ? lineAt(place, "mouse") || within : within;
  hover(number, course >= state.geometry.info.top_course ? null : place);
}

// ---- tape and paint

function askLength() {
  tapeLength.value = "";
  tapeForm.hidden = false;
  tapeLength.focus();
}

tapeForm.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (!hand.tape?.to) return;
  const done = await act({ do: "tape", from: hand.tape.from, to: hand.tape.to, length: tapeLength.value });
  if (done !== true) return;
  tools.use("look");
  canvas.focus();
});
document.getElementById("tape-not").addEventListener("click", () => { hand.tape = null; tapeForm.hidden = true; redraw(); canvas.focus(); });

/** Sends what was painted, as outlines. */
function paint() {
  const areas = outlines(hand.stroke, tools.brushRadius());
  hand.stroke = [];
  for (const area of areas) act({ do: "unreadable", area });
}

// ---- keys

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

canvas.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || !state.view) return;
  const way = ARROWS[event.key];
  const by = event.shiftKey ? 40 : 8;
  const nudges = state.pending && state.pending.kind !== "join";
  if (nudges && (event.key === "ArrowUp" || event.key === "ArrowDown")) pending.nudge(event.key === "ArrowUp", event.shiftKey);
  else if (state.pending && event.key === "Enter") pending.set();
  else if (way && tools.current() !== "look") {
    hand.cross ??= middle();
    const [dx, dy] = wayBack(way, state.quarters);
    hand.cross = inPhoto([hand.cross[0] + (dx * by) / map.sx, hand.cross[1] + (dy * by) / map.sx]);
    redraw();
  } else if (way) view.shift(-way[0] * by * 4, -way[1] * by * 4);
  else if (event.key === "+" || event.key === "=") view.step(true);
  else if (event.key === "-") view.step(false);
  else if (event.key === "0") fit();
  else if (event.key === "Enter" && tools.current() !== "look") setCross();
  else return;
  event.preventDefault();
});

/** Where the keyboard's cross begins: the middle of what is seen. */
const middle = () => inPhoto(map.toPhoto(canvas.clientWidth / 2, canvas.clientHeight / 2));

/** Marks at the keyboard's cross. */
function setCross() {
  hand.cross ??= middle();
  const tool = tools.current();
  if (tool === "rings") ringTool(hand.cross, "keys");
  else if (tool === "pith") act({ do: "pith", at: hand.cross });
  else if (tool === "bark") act({ do: "bark", at: hand.cross });
  else if (tool === "paint") { hand.stroke = [hand.cross]; paint(); }
  else if (tool === "strip" && stripTool.drawn()) stripTool.send(stripTool.moved(stripTool.nearerEnd(hand.cross), hand.cross));
  else if (tool === "strip") setStrip(hand.cross);
  else if (!hand.tape) { hand.tape = { from: hand.cross, to: null }; say("one end set: move the cross to the other, then press Enter"); }
  else { hand.tape.to = hand.cross; askLength(); }
  redraw();
}

/** Gives up what is begun and goes back to looking; whether there was anything. */
export function cancel() {
  const had = hand.tape || hand.strip || hand.stroke.length || tools.current() !== "look";
  tools.use("look");
  return Boolean(had);
}

tools.whenChanged(() => {
  Object.assign(hand, { tape: null, strip: null, stroke: [], cross: null });
  tapeForm.hidden = true;
  canvas.style.cursor = tools.current() === "look" ? "grab" : "crosshair";
  redraw();
});
