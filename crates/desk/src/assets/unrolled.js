// The stump unrolled: the rings as level lines from pith to bark, one whole turn
// across. Here are pointing, keys and zoom; unrolled-drawing.js draws it.

import { density, onceAFrame } from "./drawing.js";
import { at } from "./geometry.js";
import { draw as drawIntensity } from "./intensity.js";
import { say } from "./message.js";
import * as pending from "./pending.js";
import { changed, choose, hover, listen, ring, rings, state } from "./selection.js";
import { fitting } from "./smaller.js";
import { draw, MARGIN } from "./unrolled-drawing.js";
import { Viewport, glide } from "./viewport.js";
import { certainty, notYet, ringWords } from "./words.js";

const canvas = document.getElementById("unrolled-canvas");
/** How near a finger must be to a line, in CSS pixels, where lines are wide apart. */
const NEAR_TOUCH = 16;
/** A ring that is to be judged is at least this high, in CSS pixels. */
const READABLE_PX = 16;

const redraw = onceAFrame(() => { draw(canvas, map); drawIntensity(map); });
const view = new Viewport(canvas, { apart: true, redraw, limits, fit });
let drag = null;

const top = () => state.geometry?.info.top_course ?? 1;
const inner = () => [canvas.clientWidth - MARGIN.left - MARGIN.right, canvas.clientHeight - MARGIN.top - MARGIN.foot];

/** Turns and courses on the canvas; y grows downward from the top course. */
const map = {
  x: (turn) => turn * view.sx + view.x,
  y: (course) => (top() - course) * view.sy + view.y,
  turn: (x) => (x - view.x) / view.sx,
  course: (y) => top() - (y - view.y) / view.sy,
  apart: () => (view.sy * top()) / Math.max(1, rings().length),
  picture: (pen) => {
    const { wood } = state;
    if (!wood) return;
    const share = density() * Math.max(view.sx / wood.width, (view.sy * top()) / wood.height);
    pen.drawImage(fitting(wood, share), view.x, view.y, view.sx, view.sy * top());
  },
  finger: null,
};

function limits() {
  const [wide, high] = inner();
  const least = [wide, high / top()];
  return {
    least,
    most: [wide * 12, Math.max(least[1], 40)],
    hold: (it) => {
      it.sx = Math.max(it.sx, least[0]);
      it.sy = Math.max(it.sy, least[1]);
      it.x = Math.min(MARGIN.left, Math.max(it.x, MARGIN.left + wide - it.sx));
      it.y = Math.min(MARGIN.top, Math.max(it.y, MARGIN.top + high - it.sy * top()));
    },
  };
}

/** Shows the whole stump. */
export function fit() {
  view.fitted = true;
  const [wide, high] = inner();
  if (view.shown) view.set({ sx: wide, sy: high / top(), x: MARGIN.left, y: MARGIN.top });
}

/** The picture is another one: the zoom of a person stays. */
export function refresh() { if (view.fitted) fit(); else view.settle(); }

/** The ring whose line is nearest to a course at a turn, and how far, in courses. */
function nearest(turn, course) {
  let found = { number: 0, off: Infinity };
  state.lines.forEach((line, index) => {
    const off = Math.abs(at(line, turn) - course);
    if (off < found.off) found = { number: index + 1, off };
  });
  return found;
}

/** The ring that a course is in at a turn; 0 outside the last. */
export function ringWithin(turn, course) { return state.lines.findIndex((line) => at(line, turn) >= course) + 1; }

/** How near counts as on the line, in CSS pixels: less where lines are close. */
function reach(turn, number, kind) {
  const before = number > 1 ? at(state.lines[number - 2], turn) : 0;
  const after = number < state.lines.length ? at(state.lines[number], turn) : Infinity;
  const here = at(state.lines[number - 1], turn);
  const gap = Math.min(here - before, after - here) * view.sy;
  // A mark within a third of the way to the next line would be on this one.
  return Math.max(kind === "touch" ? Math.min(NEAR_TOUCH, 0.45 * gap) : 2.2, 0.34 * gap);
}

/** What is under the pointer. */
function under([x, y], kind) {
  const turn = Math.min(Math.max(map.turn(x), 0), 0.99999);
  const course = map.course(y);
  const near = nearest(turn, course);
  const on = near.number > 0 && near.off * view.sy <= reach(turn, near.number, kind);
  const inside = x >= MARGIN.left && x <= canvas.clientWidth - MARGIN.right && y >= MARGIN.top && y <= canvas.clientHeight - MARGIN.foot;
  return { turn, course, near, on, inside };
}

// ---- pointing

/** Whether a finger is on the handle of the ring that is begun. */
function onHandle([x, y]) {
  const begun = state.pending;
  return begun && begun.kind !== "join" && begun.by !== "drag"
    && Math.hypot(x - map.x(begun.turn), y - map.y(begun.course)) < 24;
}

canvas.addEventListener("pointerdown", (event) => {
  if (event.button > 0 || !state.geometry) return;
  canvas.focus({ preventScroll: true });
  canvas.setPointerCapture(event.pointerId);
  if (view.down(event)) { drag = null; map.finger = null; return; }
  const spot = view.spot(event);
  const what = under(spot, event.pointerType);
  const line = what.on && (event.pointerType === "mouse" || what.near.number === state.chosen);
  drag = { from: spot, spot, what, moved: false, holds: onHandle(spot) ? "begun" : line ? "line" : "" };
});

canvas.addEventListener("pointermove", (event) => {
  if (view.move(event)) { drag = null; map.finger = null; return; }
  const spot = view.spot(event);
  if (!drag) { if (event.pointerType === "mouse") point(spot); return; }
  if (Math.hypot(spot[0] - drag.from[0], spot[1] - drag.from[1]) > 4) drag.moved = true;
  if (!drag.moved) return;
  if (drag.holds) {
    if (event.pointerType !== "mouse") map.finger = spot;
    const course = Math.min(Math.max(map.course(spot[1]), 0.5), top());
    pending.begin(drag.holds === "begun"
      ? { ...state.pending, course, turn: Math.min(Math.max(map.turn(spot[0]), 0), 0.99999) }
      : { kind: "move", ring: drag.what.near.number, turn: drag.what.turn, course, by: "drag" });
    canvas.style.cursor = "ns-resize";
  } else view.shift(spot[0] - drag.spot[0], spot[1] - drag.spot[1]);
  drag.spot = spot;
});

canvas.addEventListener("pointerup", (event) => {
  const pinched = view.up(event);
  const done = drag;
  drag = null;
  map.finger = null;
  if (!done || pinched) return;
  if (done.moved) {
    if (state.pending?.by === "drag") pending.set();
    redraw();
    return;
  }
  const { turn, course, near, on, inside } = done.what;
  if (!inside || done.holds === "begun") return;
  const joining = state.pending?.kind === "join";
  if (joining && on && near.number !== state.pending.ring) pending.joinWith(near.number, turn);
  else if (joining) say(`point at a line next to ring ${state.pending.ring}, or cancel`);
  else if (on) { pending.cancel(); choose(near.number, turn); }
  else {
    pending.begin({ kind: "add", turn, course, by: event.pointerType });
    if (event.pointerType === "mouse") pending.set();
  }
});

canvas.addEventListener("pointercancel", (event) => {
  view.up(event);
  drag = null;
  map.finger = null;
  if (state.pending?.by === "drag") pending.cancel();
});
canvas.addEventListener("pointerleave", () => hover(0));

function point(spot) {
  if (!state.geometry) return;
  const what = under(spot, "mouse");
  if (!what.inside) { hover(0); canvas.style.cursor = ""; return; }
  canvas.style.cursor = what.on ? "ns-resize" : "copy";
  hover(what.on ? what.near.number : ringWithin(what.turn, what.course), state.geometry.place(what.turn, what.course));
}

/** The turn of the ring chosen, where it is in view; else the middle of the view. */
export function visibleTurn() {
  const [from, to] = [map.turn(MARGIN.left), map.turn(canvas.clientWidth - MARGIN.right)];
  return state.turn >= from && state.turn <= to ? state.turn : (from + to) / 2;
}

// ---- showing

/** Brings a course into view. */
function reveal(course) {
  const [, high] = inner();
  const y = map.y(course);
  const room = Math.min(60, high / 4);
  if (y < MARGIN.top + room || y > MARGIN.top + high - room) glide(view, 0, MARGIN.top + high / 2 - y);
  redraw();
}

/** Chooses a ring and shows it large enough to be judged. */
export function show(number) {
  if (!state.geometry) return;
  choose(number);
  const { courses } = state.geometry.info;
  const index = state.chosen - 1;
  const gap = courses[index] - (courses[index - 1] ?? 0);
  const high = gap * view.sy;
  if (high < READABLE_PX && view.shown) view.zoom(1, READABLE_PX / Math.max(0.1, high));
  const [, inside] = inner();
  if (view.shown) glide(view, 0, MARGIN.top + inside / 2 - map.y(courses[index]));
  changed("shown");
}

/** Goes to the next doubtful ring, or to the one before. */
export function walk(onward) {
  const doubts = state.view?.doubts ?? [];
  if (!doubts.length) return say(state.geometry ? "no ring is in doubt any more" : notYet() ?? "no rings were read on this photo");
  return show(onward
    ? doubts.find((number) => number > state.chosen) ?? doubts[0]
    : doubts.findLast((number) => number < state.chosen) ?? doubts.at(-1));
}

function step(by) {
  choose(Math.min(Math.max(1, state.chosen + by), rings().length));
  if (state.chosen) reveal(state.geometry.info.courses[state.chosen - 1]);
}

function keyed(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || !state.geometry) return;
  const up = event.key === "ArrowUp";
  const nudges = state.pending && state.pending.kind !== "join";
  if (nudges && (up || event.key === "ArrowDown")) pending.nudge(up, event.shiftKey);
  else if (state.pending && event.key === "Enter") pending.set();
  else if (up || event.key === "ArrowDown") step(up ? 1 : -1);
  else if (event.key === "ArrowLeft" || event.key === "ArrowRight") {
    const right = event.key === "ArrowRight";
    state.turn = (state.turn + (right ? 0.02 : 0.98)) % 1;
    view.shift(right ? -30 : 30, 0);
  } else if (event.key === "Home") step(-rings().length);
  else if (event.key === "End") step(rings().length);
  else if (event.key === "PageUp") step(10);
  else if (event.key === "PageDown") step(-10);
  else if (event.key === "+" || event.key === "=") view.step(true);
  else if (event.key === "-") view.step(false);
  else if (event.key === ">") view.stepSideways(true);
  else if (event.key === "<") view.stepSideways(false);
  else if (event.key === "0") fit();
  else return;
  event.preventDefault();
}
canvas.addEventListener("keydown", keyed);

const click = (id, does) => document.getElementById(id).addEventListener("click", does);
click("unrolled-in", () => view.step(true));
click("unrolled-out", () => view.step(false));
click("unrolled-wider", () => view.stepSideways(true));
click("unrolled-fit", fit);

let right = MARGIN.right;
listen((what) => {
  if (what === "stump") {
    // Years have come or gone beside the picture.
    if (right !== MARGIN.right) { right = MARGIN.right; refresh(); }
    canvas.setAttribute("aria-valuemax", String(rings().length));
    canvas.setAttribute("aria-valuemin", rings().length ? "1" : "0");
  }
  if (what === "chosen" || what === "stump") {
    canvas.setAttribute("aria-valuenow", String(state.chosen || (rings().length ? 1 : 0)));
    canvas.setAttribute("aria-valuetext", state.chosen ? `${ringWords(state.chosen)}, ${certainty(state.chosen)}` : "no ring chosen");
  }
  if (what === "pending" && state.pending?.by === "keys" && state.geometry && view.shown) reveal(state.pending.course);
  redraw();
});

/** Where a place is on the screen, in CSS pixels of the window. */
export function spotOf(turn, course) {
  const box = canvas.getBoundingClientRect();
  return [box.left + map.x(turn), box.top + map.y(course)];
}
/** CSS pixels for one course. */
export const pixelsPerCourse = () => view.sy;
export const ringAt = (turn, course) => ring(ringWithin(turn, course));
