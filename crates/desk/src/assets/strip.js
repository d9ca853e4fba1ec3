// The marked strip, straight and large: pointing, keys and zoom; strip-marks.js
// knows what a person does there, and strip-drawing.js draws it.

import { onceAFrame } from "./drawing.js";
import { choose, listen, state } from "./selection.js";
import { MARGIN, draw } from "./strip-drawing.js";
import * as marks from "./strip-marks.js";
import { Viewport, glide } from "./viewport.js";

const canvas = document.getElementById("strip-canvas");
/** How near a pointer must be to a ring to be on it, in CSS pixels. */
const NEAR = { mouse: 5, touch: 12 };
/** Rings are at least so far apart when counting begins, in CSS pixels. */
const APART_PX = 22;
/** The strip is stretched across at most so many times as along. */
const MOST_ACROSS = 3;

let drag = null;
let shownStrip = "";

const redraw = onceAFrame(() => draw(canvas, map));
const view = new Viewport(canvas, { redraw, limits, fit: () => (whole ? fit() : begin()) });
/** Whether the whole strip is shown when the pane changes its size. */
let whole = false;

const total = () => { const it = marks.info(); return it ? it.length_px + 2 * it.beyond_px : 1; };
const inner = () => [canvas.clientWidth, Math.max(20, canvas.clientHeight - MARGIN.top - MARGIN.foot)];

const map = {
  x: (along) => along * view.sx + view.x,
  y: (aside) => aside * view.sy + view.y,
  along: (x) => (x - view.x) / view.sx,
  aside: (y) => (y - view.y) / view.sy,
  scale: () => view.sx,
  apart: () => (view.sx * (marks.info()?.length_px ?? 1)) / Math.max(1, marks.rings().length),
  picture: (pen) => {
    const it = marks.info();
    if (state.strip) pen.drawImage(state.strip, map.x(-it.beyond_px), map.y(-it.width_px / 2), total() * view.sx, it.width_px * view.sy);
  },
  held: null,
};

function limits() {
  const it = marks.info();
  const [wide, high] = inner();
  const least = wide / total();
  return {
    least: [least, 0],
    most: [Math.max(2 * least, 24), Infinity],
    hold: (v) => {
      v.sx = Math.max(v.sx, least);
      v.sy = Math.min(high / (it?.width_px ?? 1), MOST_ACROSS * v.sx);
      v.y = MARGIN.top + high / 2;
      const beyond = (it?.beyond_px ?? 0) * v.sx;
      v.x = Math.min(beyond, Math.max(v.x, wide - total() * v.sx + beyond));
    },
  };
}

/** Shows the whole strip. */
export function fit() {
  whole = true;
  view.fitted = true;
  if (view.shown && marks.info()) view.set({ sx: inner()[0] / total(), sy: 1, x: 0, y: 0 });
}

/** Shows the inner end, large enough to count. */
export function begin() {
  whole = false;
  view.fitted = true;
  const it = marks.info();
  if (!view.shown || !it) return;
  const places = it.proposed.length > 2 ? it.proposed.map((one) => one.along_px) : it.peaks.map(([at]) => at);
  const gaps = places.map((at, index) => at - (places[index - 1] ?? 0)).sort((a, b) => a - b);
  const gap = gaps[Math.floor(gaps.length / 2)] ?? it.length_px / 40;
  const [wide] = inner();
  view.set({ sx: Math.min(Math.max(wide / total(), APART_PX / Math.max(1, gap)), 8), sy: 1, x: Infinity, y: 0 });
}

/** Brings the cursor into view. */
function reveal() {
  if (!view.shown || !marks.info()) return;
  const x = map.x(state.cursor);
  const room = Math.min(60, canvas.clientWidth / 5);
  if (x < room) glide(view, canvas.clientWidth * 0.3 - x, 0);
  else if (x > canvas.clientWidth - room) glide(view, canvas.clientWidth * 0.7 - x, 0);
}

// ---- pointing

const spotAlong = ([x, y]) => marks.onMiddle(map.along(x), map.aside(y));

/** The ring under a pointer; where rings are close, only the third of the way to the next is on it. */
function under(spot, kind) {
  const along = spotAlong(spot);
  const one = marks.ringNear(along, (NEAR[kind] ?? NEAR.mouse) / view.sx);
  if (!one) return null;
  const others = [0, ...marks.rings().filter((other) => other.number !== one.number).map((other) => other.along)];
  const gap = Math.min(...others.map((other) => Math.abs(other - one.along)));
  return Math.abs(one.along - along) <= 0.34 * gap ? one : null;
}

canvas.addEventListener("pointerdown", (event) => {
  if (event.button > 0 || !marks.info()) return;
  canvas.focus({ preventScroll: true });
  canvas.setPointerCapture(event.pointerId);
  if (view.down(event)) { drag = null; map.held = null; return; }
  const spot = view.spot(event);
  const one = under(spot, event.pointerType);
  // A finger drags only the ring that the cursor is on: it scrolls else.
  const takes = one && (one.set || !marks.byHand()) && !one.bark && (event.pointerType === "mouse" || marks.ringAtCursor(view.sx)?.number === one.number);
  drag = { from: spot, spot, one, takes, moved: false };
});

canvas.addEventListener("pointermove", (event) => {
  if (view.move(event)) { drag = null; map.held = null; return; }
  const spot = view.spot(event);
  if (!drag) {
    if (event.pointerType === "mouse" && marks.info()) { marks.moveCursor(spotAlong(spot)); canvas.style.cursor = under(spot, "mouse") ? "ew-resize" : "crosshair"; }
    return;
  }
  if (Math.hypot(spot[0] - drag.from[0], spot[1] - drag.from[1]) > 4) drag.moved = true;
  if (!drag.moved) return;
  if (drag.takes) { map.held = { ring: drag.one, along: spotAlong(spot) }; state.cursor = map.held.along; redraw(); }
  else view.shift(spot[0] - drag.spot[0], 0);
  drag.spot = spot;
});

canvas.addEventListener("pointerup", (event) => {
  const pinched = view.up(event);
  const done = drag;
  const { held } = map;
  drag = null;
  map.held = null;
  if (!done || pinched) return;
  if (held) marks.shift(held.ring, event.altKey || event.shiftKey ? held.along : marks.snapped(held.along, view.sx));
  else if (done.moved) return;
  else if (done.one) { marks.moveCursor(done.one.along); if (!marks.byHand()) choose(done.one.number); }
  else setAt(spotAlong(done.from), event);
});
canvas.addEventListener("pointercancel", (event) => { view.up(event); drag = null; map.held = null; redraw(); });

/** Sets a ring; with Shift or Alt exactly there. */
function setAt(along, { shiftKey = false, altKey = false } = {}) {
  if (!marks.info()) return;
  const at = Math.min(Math.max(along, 0), marks.info().length_px);
  marks.set(shiftKey || altKey ? at : marks.snapped(at, view.sx));
}

// ---- keys and buttons

function go(along) { marks.moveCursor(along); reveal(); }
export const fine = (outward, far = false) => go(state.cursor + ((outward ? 1 : -1) * (far ? 16 : 2)) / view.sx);
export const onward = (outward) => go(marks.nextPlace(outward));
export const setHere = (event) => setAt(state.cursor, event);
export const takeHere = () => marks.takeAway(view.sx);

canvas.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || !marks.info()) return;
  const { key } = event;
  if (key === "ArrowLeft" || key === "ArrowRight") fine(key === "ArrowRight", event.shiftKey);
  else if (key === "ArrowUp" || key === "ArrowDown") onward(key === "ArrowUp");
  else if (key === "Enter") setHere(event);
  else if (key === "Backspace" || key === "Delete") takeHere();
  else if (key === "Home") go(0);
  else if (key === "End") go(marks.info().length_px);
  else if (key === "PageUp" || key === "PageDown") go(state.cursor + ((key === "PageUp" ? 0.7 : -0.7) * canvas.clientWidth) / view.sx);
  else if (key === "+" || key === "=") view.step(true);
  else if (key === "-") view.step(false);
  else if (key === "0") fit();
  else return;
  event.preventDefault();
  event.stopPropagation();
});

const click = (id, does) => document.getElementById(id).addEventListener("click", does);
click("strip-in", () => view.step(true));
click("strip-out", () => view.step(false));
click("strip-fit", fit);

listen((what) => {
  const it = marks.info();
  if (what === "stump" && it) {
    const key = JSON.stringify([state.view.file, marks.strip().from, marks.strip().to]);
    if (key !== shownStrip) { state.cursor = 0; begin(); }
    shownStrip = key;
  }
  if (what === "stump" && !it) shownStrip = "";
  if ((what === "tab" || what === "strip-picture") && it) { if (view.fitted) { if (whole) fit(); else begin(); } }
  if (what === "chosen" && it && !marks.byHand() && state.chosen) { const one = marks.rings()[state.chosen - 1]; if (one) go(one.along); }
  if (it) {
    canvas.setAttribute("aria-valuemax", String(Math.round(it.length_px)));
    canvas.setAttribute("aria-valuenow", String(Math.round(state.cursor)));
    const on = marks.ringAtCursor(view.sx);
    const inside = marks.rings().filter((one) => one.along <= state.cursor).length;
    canvas.setAttribute("aria-valuetext", on ? `on ring ${on.number}${on.year === null ? "" : `, ${on.year}`}` : `outside ring ${inside}, ${Math.round(state.cursor)} pixels from the inner end`);
  }
  redraw();
});

/** Where a place along the strip is on the screen, in CSS pixels of the window. */
export function spotOf(along, aside = 0) {
  const box = canvas.getBoundingClientRect();
  return [box.left + map.x(marks.alongAt(along, aside) || along), box.top + map.y(aside)];
}
/** CSS pixels for one pixel of the photo. */
export const pixelsPerPixel = () => view.sx;
