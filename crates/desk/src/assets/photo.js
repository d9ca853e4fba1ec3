// The photo with its rings: pointing, keys and zoom. Rings are set and removed
// here too; the pith moves only with its own tool. photo-drawing.js draws it.

import { outlines } from "./brush.js";
import { onceAFrame } from "./drawing.js";
import { act } from "./edits.js";
import { at } from "./geometry.js";
import { say } from "./message.js";
import * as pending from "./pending.js";
import { draw } from "./photo-drawing.js";
import { choose, hover, listen, rings, state } from "./selection.js";
import * as stripTool from "./strip-tool.js";
import * as tools from "./tools.js";
import { Viewport, glide } from "./viewport.js";

const canvas = document.getElementById("photo-canvas");
const tapeForm = document.getElementById("tape-form");
const tapeLength = document.getElementById("tape-length");
/** A ring that is to be judged is at least this wide here, in CSS pixels. */
const READABLE_PX = 10;
/** How near a pointer must be to a line to be on it, in CSS pixels. */
const NEAR = { mouse: 4, touch: 12 };

let drag = null;
/** What is being drawn by hand, in photo pixels; `finger` in CSS pixels. */
const hand = { pith: null, tape: null, strip: null, stroke: [], brush: 1, cross: null, finger: null };
/** Whether the whole photo is shown when it fits, or only the face. */
let whole = false;

const redraw = onceAFrame(() => draw(canvas, view, hand));
const view = new Viewport(canvas, { redraw, limits, fit: () => (whole ? fit() : fitFace()) });
const size = () => state.view?.size_px ?? [1, 1];

function limits() {
  const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
  const least = 0.9 * Math.min(wide / size()[0], high / size()[1]);
  return {
    least: [least, least],
    most: [8, 8],
    hold: (it) => {
      it.sx = Math.max(it.sx, least);
      it.sy = it.sx;
      const [w, h] = [size()[0] * it.sx, size()[1] * it.sy];
      it.x = w < wide ? (wide - w) / 2 : Math.min(0, Math.max(it.x, wide - w));
      it.y = h < high ? (high - h) / 2 : Math.min(0, Math.max(it.y, high - h));
    },
  };
}

/** Shows the whole photo. */
export function fit() {
  whole = true;
  view.fitted = true;
  if (!view.shown) return;
  const scale = Math.min(canvas.clientWidth / size()[0], canvas.clientHeight / size()[1]);
  view.set({ sx: scale, sy: scale });
}

/** Shows the face with a little around it: the rest of the picture is seldom needed. */
export function fitFace() {
  const seen = (state.view?.stump.reading.bark_edge_px ?? []).filter(Boolean);
  if (seen.length < 12) { fit(); return; }
  whole = false;
  view.fitted = true;
  if (!view.shown) return;
  const [xs, ys] = [0, 1].map((axis) => seen.map((place) => place[axis]));
  const [left, right, up, down] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const scale = 0.93 * Math.min(canvas.clientWidth / (right - left), canvas.clientHeight / (down - up));
  view.set({
    sx: scale, sy: scale,
    x: canvas.clientWidth / 2 - ((left + right) / 2) * scale,
    y: canvas.clientHeight / 2 - ((up + down) / 2) * scale,
  });
}

/** Brings the ring chosen into view, large enough to be judged. */
function showChosen() {
  const { chosen, geometry } = state;
  if (!geometry || !chosen || !view.shown) return;
  const inner = chosen > 1 ? at(state.lines[chosen - 2], state.turn) : 0;
  const outer = at(state.lines[chosen - 1], state.turn);
  if (Number.isNaN(outer)) return;
  const wide = (geometry.radius(state.turn, outer) - geometry.radius(state.turn, inner || 0)) * view.sx;
  const by = Math.min(READABLE_PX / Math.max(0.2, wide), 8);
  if (by > 1) view.zoom(by, by);
  const [x, y] = view.toScreen(...geometry.place(state.turn, outer));
  glide(view, canvas.clientWidth / 2 - x, canvas.clientHeight / 2 - y);
}

// ---- pointing

const inPhoto = ([x, y]) => [Math.min(Math.max(x, 0), size()[0]), Math.min(Math.max(y, 0), size()[1])];

canvas.addEventListener("pointerdown", (event) => {
  if (event.button > 0 || !state.view) return;
  canvas.focus({ preventScroll: true });
  canvas.setPointerCapture(event.pointerId);
  if (view.down(event)) { giveUp(); return; }
  hand.cross = null;
  const from = view.spot(event);
  const place = view.toSheet(...from);
  const tool = tools.current();
  drag = { tool, from, spot: from, moved: false };
  if (tool === "tape") { hand.tape = { from: inPhoto(place), to: null }; tapeForm.hidden = true; }
  if (tool === "paint") { hand.stroke = [place]; hand.brush = tools.brushRadius(); }
  if (tool === "pith") hand.pith = place;
  if (tool === "strip") drag.handle = stripTool.handleAt(view, from, event.pointerType);
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
  const place = view.toSheet(...now);
  if (!drag) {
    if (hand.strip?.from) { hand.strip = { from: hand.strip.from, to: inPhoto(place) }; redraw(); }
    if (event.pointerType === "mouse") point(now, place);
    return;
  }
  if (Math.hypot(now[0] - drag.from[0], now[1] - drag.from[1]) > 4) drag.moved = true;
  if (drag.moved) {
    if (drag.tool === "pith") hand.pith = place;
    else if (drag.tool === "tape") hand.tape.to = inPhoto(place);
    else if (drag.tool === "strip") stripTool.draw(hand, view, inPhoto(place), { handle: drag.handle, from: inPhoto(view.toSheet(...drag.from)) });
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
  if (done && !pinched) finish(done, view.toSheet(...view.spot(event)), event.pointerType);
  redraw();
});
canvas.addEventListener("pointercancel", (event) => { view.up(event); giveUp(); });
canvas.addEventListener("pointerleave", () => hover(0));

const setStrip = (place, how) => stripTool.set(hand, view, inPhoto(place), how).then(redraw);

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
    const off = Math.abs(state.geometry.radius(turn, at(line, turn)) - radius) * view.sx;
    if (off < found.off) found = { number: index + 1, off };
  });
  const { number, off } = found;
  if (!number) return 0;
  // Where lines are close, only the third of the way to the next is on the line.
  const here = at(state.lines[number - 1], turn);
  const gaps = [at(state.lines[number - 2] ?? [0, 0], turn), at(state.lines[number] ?? [Infinity, Infinity], turn)]
    .filter(Number.isFinite).map((other) => Math.abs(state.geometry.radius(turn, here) - state.geometry.radius(turn, other)) * view.sx);
  return off <= Math.min(NEAR[kind] ?? NEAR.mouse, 0.34 * Math.min(...gaps)) ? number : 0;
}

/** With the tool Rings: a line is chosen, or joined; a place between gets a ring. */
function ringTool(place, kind) {
  if (!state.geometry) { say("no rings were read on this photo, so none can be added", true); return; }
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
    hand.cross = inPhoto([hand.cross[0] + (way[0] * by) / view.sx, hand.cross[1] + (way[1] * by) / view.sy]);
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
const middle = () => inPhoto(view.toSheet(canvas.clientWidth / 2, canvas.clientHeight / 2));

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

const click = (id, does) => document.getElementById(id).addEventListener("click", does);
click("photo-in", () => view.step(true));
click("photo-out", () => view.step(false));
click("photo-fit", fit);

listen((what) => {
  if (what === "stump") {
    const { reading } = state.view.stump;
    canvas.setAttribute("aria-label", reading.count ? `The photo with its ${rings().length} rings` : "The photo; no rings were read");
  }
  if (what === "shown") showChosen();
  redraw();
});

/** Where a place of the photo is on the screen, in CSS pixels of the window. */
export function spotOf(place) {
  const box = canvas.getBoundingClientRect();
  const [x, y] = view.toScreen(place[0], place[1]);
  return [box.left + x, box.top + y];
}
/** CSS pixels for one pixel of the photo. */
export const pixelsPerPixel = () => view.sx;
