// The stump unrolled: courses laid one on another from pith to bark, each
// tenth ruled and numbered. Rings are put right here, on straight lines.

import { act, say } from "./marking.js";
import { choose, doubtful, has, light, listen, ring, rings, shared, surety, words } from "./lit.js";
import { DOUBT, INK, LIT, Pan, PAPER, SOFT, framed, sharp } from "./pan.js";
import { at } from "./straight.js";

const canvas = document.getElementById("unrolled-canvas");
const ghostBox = document.getElementById("ghost");
/** Room for numbers, years and directions, in CSS pixels. */
const LEFT = 62;
const RIGHT = 52;
const TOP = 12;
const FOOT = 26;
/** How near a finger must be to a line, in CSS pixels, where lines lie wide. */
const NEAR_TOUCH = 16;

const redraw = framed(draw);
const pan = new Pan(canvas, { apart: true, redraw, limits });
/** What is begun and not set yet: { kind: "add" | "move", course, turn, ring, by } */
let begun = null;
/** The ring that a second pointing will be joined with. */
let joining = null;
let drag = null;

const top = () => shared.straight?.told.top_course ?? 1;
const inner = () => [canvas.clientWidth - LEFT - RIGHT, canvas.clientHeight - TOP - FOOT];

function limits() {
  const [wide, high] = inner();
  const fit = [wide, high / top()];
  return {
    least: fit,
    most: [wide * 12, Math.max(fit[1], 40)],
    hold: (it) => {
      it.x = Math.min(LEFT, Math.max(it.x, LEFT + wide - it.sx));
      it.y = Math.min(TOP, Math.max(it.y, TOP + high - it.sy * top()));
    },
  };
}

export function fit() {
  const [wide, high] = inner();
  if (wide < 20 || high < 20) return;
  Object.assign(pan, { sx: wide, sy: high / top(), x: LEFT, y: TOP });
  pan.whole = true;
  redraw();
}

// y on the sheet grows downward from the top course.
const xOf = (turn) => turn * pan.sx + pan.x;
const yOf = (course) => (top() - course) * pan.sy + pan.y;
const turnOf = (x) => (x - pan.x) / pan.sx;
const courseOf = (y) => top() - (y - pan.y) / pan.sy;

/** The ring whose line is nearest to a course at a turn, and how far, in courses. */
function nearest(turn, course) {
  let found = { number: 0, off: Infinity, line: 0 };
  shared.lines.forEach((line, index) => {
    const there = at(line, turn);
    const off = Math.abs(there - course);
    if (off < found.off) found = { number: index + 1, off, line: there };
  });
  return found;
}

/** The ring that a course lies in at a turn. */
function within(turn, course) {
  for (let index = 0; index < shared.lines.length; index++) if (at(shared.lines[index], turn) >= course) return index + 1;
  return 0;
}

/** How near counts as on the line: less where lines lie close. */
function reach(turn, number, kind) {
  const before = number > 1 ? at(shared.lines[number - 2], turn) : 0;
  const after = number < shared.lines.length ? at(shared.lines[number], turn) : Infinity;
  const here = at(shared.lines[number - 1], turn);
  const gap = Math.min(here - before, after - here) * pan.sy;
  // A mark within a third of the way to the next line would be on this one.
  return Math.max(kind === "touch" ? Math.min(NEAR_TOUCH, 0.45 * gap) : 2.2, 0.34 * gap);
}

/** What lies under the pointer. */
function under([x, y], kind) {
  const turn = Math.min(Math.max(turnOf(x), 0), 0.99999);
  const course = courseOf(y);
  const near = nearest(turn, course);
  const on = near.number > 0 && near.off * pan.sy <= reach(turn, near.number, kind);
  return { turn, course, near, on, inside: x >= LEFT && x <= canvas.clientWidth - RIGHT && y >= TOP && y <= canvas.clientHeight - FOOT };
}

// ---- drawing

function draw() {
  const [pen, wide, high] = sharp(canvas);
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, wide, high);
  if (!shared.straight) return;
  const [sheetWide, sheetHigh] = inner();
  pen.save();
  pen.beginPath();
  pen.rect(LEFT, TOP, sheetWide, sheetHigh);
  pen.clip();
  pen.imageSmoothingQuality = "high";
  if (shared.wood) pen.drawImage(shared.wood, pan.x, pan.y, pan.sx, pan.sy * top());
  band(pen, shared.chosen, "rgb(10 90 156 / .20)");
  courses(pen);
  if (begun) line(pen, () => yOf(begun.course), LIT, 2.5, [7, 4]);
  if (shared.place) dot(pen);
  pen.restore();
  pen.strokeStyle = INK;
  pen.lineWidth = 1;
  pen.strokeRect(LEFT - 0.5, TOP - 0.5, sheetWide + 1, sheetHigh + 1);
  gutters(pen, wide, high);
}

/** A line across the sheet: straight, or after `line` around the turn. */
function line(pen, y, colour, width, dash = []) {
  pen.strokeStyle = colour;
  pen.lineWidth = width;
  pen.setLineDash(dash);
  pen.beginPath();
  let down = false;
  const steps = 120;
  for (let step = 0; step <= steps; step++) {
    const here = y(step / steps);
    if (Number.isNaN(here)) { down = false; continue; }
    if (down) pen.lineTo(xOf(step / steps), here); else pen.moveTo(xOf(step / steps), here);
    down = true;
  }
  pen.stroke();
  pen.setLineDash([]);
}

const along = (index) => (turn) => yOf(shared.lines[index][Math.round(turn * 120)]);

/** The course of one ring, tinted. */
function band(pen, number, colour) {
  if (!number || !shared.lines[number - 1]) return;
  const outer = shared.lines[number - 1];
  const inner = number > 1 ? shared.lines[number - 2] : null;
  pen.fillStyle = colour;
  pen.beginPath();
  for (let step = 0; step <= 120; step++) pen.lineTo(xOf(step / 120), yOf(Number.isNaN(outer[step]) ? at(outer, (step + 1) / 120) || 0 : outer[step]));
  for (let step = 120; step >= 0; step--) pen.lineTo(xOf(step / 120), yOf(inner ? (Number.isNaN(inner[step]) ? 0 : inner[step]) : 0));
  pen.fill();
}

function courses(pen) {
  const all = rings();
  const apart = (pan.sy * top()) / Math.max(1, all.length);
  all.forEach((one, index) => {
    const y = along(index);
    const tenth = one.number % 10 === 0;
    if (has(one, "at-bark")) line(pen, y, INK, 2.5);
    else if (doubtful(one.number)) {
      line(pen, y, "rgb(250 245 233 / .85)", 4);
      line(pen, y, DOUBT, 2.2, [8, 4]);
    } else if (tenth) {
      line(pen, y, "rgb(250 245 233 / .6)", 3.6);
      line(pen, y, INK, 1.9);
    } else if (apart > 3.2) {
      if (apart > 9) line(pen, y, "rgb(250 245 233 / .5)", 2.6);
      line(pen, y, "rgb(43 33 24 / .82)", apart > 9 ? 1.1 : 0.7);
    }
  });
  const shown = (number, width) => {
    if (!number || !shared.lines[number - 1]) return;
    line(pen, along(number - 1), PAPER, width + 3);
    line(pen, along(number - 1), LIT, width, doubtful(number) ? [8, 4] : []);
  };
  if (shared.lit !== shared.chosen) shown(shared.lit, 1.8);
  shown(shared.chosen, 3);
}

function dot(pen) {
  const [turn, course] = shared.straight.locate(shared.place);
  pen.fillStyle = LIT;
  pen.strokeStyle = PAPER;
  pen.lineWidth = 2;
  pen.beginPath();
  pen.arc(xOf(turn), yOf(course), 5, 0, 7);
  pen.fill();
  pen.stroke();
}

/** Numbers and the dots of the trade on the left, years on the right. */
function gutters(pen, wide, high) {
  const all = rings();
  const apart = (pan.sy * top()) / Math.max(1, all.length);
  const shown = turnOf(LEFT);
  let last = Infinity;
  const own = shared.lines[shared.chosen - 1];
  const chosenAt = own ? yOf(at(own, shown)) : Infinity;
  const every = apart >= 17;
  pen.textBaseline = "middle";
  for (const one of all) {
    const course = at(shared.lines[one.number - 1], shown);
    const y = yOf(Number.isNaN(course) ? shared.straight.told.courses[one.number - 1] : course);
    if (y < TOP - 1 || y > high - FOOT + 1) continue;
    const tenth = one.number % 10 === 0;
    const marked = has(one, "marked");
    const special = one.number === shared.chosen;
    const doubt = doubtful(one.number);
    pen.fillStyle = special ? LIT : doubt ? DOUBT : INK;
    if (tenth || special || every) {
      pen.fillRect(LEFT - 7, y - (tenth ? 1 : 0.5), 6, tenth ? 2 : 1);
      pen.fillRect(wide - RIGHT + 1, y - (tenth ? 1 : 0.5), 6, tenth ? 2 : 1);
      // The ring chosen is always named; its neighbours give way to it.
      const clear = special || (Math.abs(last - y) > 14 && Math.abs(chosenAt - y) > 14);
      if (clear) {
        pen.font = `${tenth || special ? "700 " : ""}${tenth ? 16 : 13.5}px "Gentium Book Basic", serif`;
        pen.textAlign = "right";
        pen.fillText(String(one.number), LEFT - 11, y + 1);
        if (one.year !== null) {
          pen.font = `${special ? "700 " : ""}${tenth ? 15 : 13}px "Gentium Book Basic", serif`;
          pen.textAlign = "left";
          pen.fillText(String(one.year), wide - RIGHT + 10, y + 1);
        }
        last = y;
      }
      if (tenth) dots(pen, one.number, y);
    }
    if (doubt) {
      // A wedge at both sides, told by its shape too.
      pen.fillStyle = DOUBT;
      wedge(pen, LEFT - 1, y, -7);
      wedge(pen, wide - RIGHT + 1, y, 7);
    } else if (marked) {
      pen.fillStyle = LIT;
      pen.fillRect(LEFT - 8, y - 3, 6, 6);
    }
  }
  pen.fillStyle = SOFT;
  pen.font = '13px "Gentium Book Basic", serif';
  pen.textAlign = "center";
  ["right", "down", "left", "up", "right"].forEach((name, nth) => {
    const x = xOf(nth / 4);
    if (x < LEFT - 1 || x > wide - RIGHT + 1) return;
    pen.fillRect(x - 0.5, high - FOOT + 1, 1, 5);
    pen.textAlign = nth === 0 ? "left" : nth === 4 ? "right" : "center";
    pen.fillText(name, x, high - FOOT + 15);
  });
}

function wedge(pen, x, y, to) {
  pen.beginPath();
  pen.moveTo(x, y);
  pen.lineTo(x + to, y - 5);
  pen.lineTo(x + to, y + 5);
  pen.fill();
}

/** Every 10th ring one dot, every 50th two, every 100th three. */
function dots(pen, number, y) {
  const count = number % 100 === 0 ? 3 : number % 50 === 0 ? 2 : 1;
  for (let nth = 0; nth < count; nth++) {
    pen.beginPath();
    pen.arc(7 + nth * 7, y, 2.4, 0, 7);
    pen.fill();
  }
}

// ---- pointing

canvas.addEventListener("pointerdown", (event) => {
  if (event.button > 0 || !shared.straight) return;
  canvas.focus({ preventScroll: true });
  canvas.setPointerCapture(event.pointerId);
  if (pan.down(event)) { drag = null; return; }
  const spot = pan.spot(event);
  const what = under(spot, event.pointerType);
  const holds = what.on && what.near.number && (event.pointerType === "mouse" || what.near.number === shared.chosen);
  drag = { spot, from: spot, what, holds, moved: false };
});

canvas.addEventListener("pointermove", (event) => {
  if (pan.move(event)) { drag = null; return; }
  const spot = pan.spot(event);
  if (!drag) { hover(spot, event.pointerType); return; }
  if (Math.hypot(spot[0] - drag.from[0], spot[1] - drag.from[1]) > 4) drag.moved = true;
  if (!drag.moved) return;
  if (drag.holds) {
    begun = { kind: "move", ring: drag.what.near.number, turn: drag.what.turn, course: courseOf(spot[1]), by: "drag" };
    canvas.style.cursor = "ns-resize";
    redraw();
  } else {
    pan.whole = false;
    pan.shift(spot[0] - drag.spot[0], spot[1] - drag.spot[1]);
  }
  drag.spot = spot;
});

canvas.addEventListener("pointerup", (event) => {
  const pinched = pan.up(event);
  const done = drag;
  drag = null;
  if (!done || pinched) return;
  if (done.moved) {
    if (begun?.by === "drag") set();
    return;
  }
  const { turn, course, near, on, inside } = done.what;
  if (!inside) return;
  if (joining && on && near.number !== joining.ring) {
    joinWith(near.number, turn);
    return;
  }
  if (on) {
    begun = null;
    hideGhost();
    choose(near.number, turn);
    return;
  }
  begun = { kind: "add", turn, course, by: event.pointerType };
  if (event.pointerType === "mouse") set(); else showGhost(done.spot);
  redraw();
});

canvas.addEventListener("pointercancel", (event) => { pan.up(event); drag = null; if (begun?.by === "drag") begun = null; redraw(); });
canvas.addEventListener("pointerleave", () => light(0));

function hover(spot, kind) {
  if (kind !== "mouse" || !shared.straight) return;
  const what = under(spot, kind);
  if (!what.inside) { light(0); canvas.style.cursor = ""; return; }
  canvas.style.cursor = what.on ? "ns-resize" : "copy";
  light(what.on ? what.near.number : within(what.turn, what.course), shared.straight.place(what.turn, what.course));
}

function showGhost([x, y]) {
  ghostBox.hidden = false;
  const [wide] = [canvas.clientWidth];
  ghostBox.style.left = `${Math.min(Math.max(8, x - 90), wide - 230)}px`;
  ghostBox.style.top = `${y > 90 ? y - 66 : y + 22}px`;
}

function hideGhost() { ghostBox.hidden = true; }
document.getElementById("ghost-yes").addEventListener("click", () => { hideGhost(); set(); });
document.getElementById("ghost-no").addEventListener("click", () => { cancel(); canvas.focus(); });

/** Sets what was begun. */
export function set() {
  if (!begun) return;
  const { kind, turn, course, ring: number } = begun;
  begun = null;
  hideGhost();
  const place = shared.straight.place(turn, course);
  act(kind === "add" ? { do: "add", at: place } : { do: "move", ring: number, to: place }, { near: course, turn });
  redraw();
}

export function cancel() {
  const had = begun || joining;
  begun = null;
  joining = null;
  hideGhost();
  redraw();
  return Boolean(had);
}

/** Begins a ring between the one chosen and the next outward. */
export function beginAdd() {
  const number = shared.chosen;
  const line = shared.lines[number - 1];
  const next = shared.lines[number];
  if (number && !next) return say("outside the last line is the bark: drag the bark edge out first", true);
  const turn = visibleTurn();
  const low = line ? at(line, turn) : 0;
  begun = { kind: "add", turn, course: (low + at(next ?? shared.lines[0], turn)) / 2, by: "keys" };
  reveal(begun.course);
  say("a new ring: arrow keys nudge it, Enter sets it, Escape leaves it");
}

export function beginMove() {
  if (!shared.chosen) return say("choose a ring first");
  const turn = visibleTurn();
  begun = { kind: "move", ring: shared.chosen, turn, course: at(shared.lines[shared.chosen - 1], turn), by: "keys" };
  say(`moving ring ${shared.chosen}: arrow keys nudge it, Enter sets it, Escape leaves it`);
  redraw();
}

/** Joins the ring chosen with the next outward, or with the line pointed at next. */
export function beginJoin(byKey) {
  if (!shared.chosen) return say("choose a ring first");
  if (byKey) return act({ do: "join", ring: shared.chosen, with: shared.chosen + 1 });
  joining = { ring: shared.chosen, turn: shared.turn };
  say(`now click the line beside it that is the same ring as ${shared.chosen}, where you see it`);
}

function joinWith(number, turn) {
  const first = joining;
  joining = null;
  act({
    do: "join", ring: first.ring, with: number,
    at: shared.straight.place(first.turn, at(shared.lines[first.ring - 1], first.turn)),
    also: shared.straight.place(turn, at(shared.lines[number - 1], turn)),
  });
}

function visibleTurn() {
  const [from, to] = [turnOf(LEFT), turnOf(canvas.clientWidth - RIGHT)];
  return shared.turn >= from && shared.turn <= to ? shared.turn : (from + to) / 2;
}

// ---- showing

/** Brings a course into sight; `close` also stretches it so that lines stand apart. */
export function reveal(course, close = false) {
  const [, high] = inner();
  const all = rings().length || 1;
  if (close) {
    const local = (pan.sy * top()) / all;
    if (local < 12) pan.zoom(1, Math.min(12 / local, 8));
  }
  const y = yOf(course);
  const room = Math.min(60, high / 4);
  if (y < TOP + room || y > TOP + high - room || close) glide(TOP + high / 2 - y);
  redraw();
}

function glide(dy) {
  if (matchMedia("(prefers-reduced-motion: reduce)").matches) { pan.shift(0, dy); return; }
  const start = performance.now();
  let done = 0;
  const frame = (now) => {
    const share = Math.min(1, Math.max(0, (now - start) / 160));
    const wanted = dy * share * (2 - share);
    pan.shift(0, wanted - done);
    done = wanted;
    if (share < 1) requestAnimationFrame(frame);
  };
  requestAnimationFrame(frame);
}

/** Walks to the next doubtful ring (or the one before). */
/** Chooses a ring and brings it into view. */
export function show(number) {
  if (!shared.straight) return;
  choose(number);
  reveal(shared.straight.told.courses[shared.chosen - 1], true);
}

export function walk(onward) {
  const doubts = shared.view?.doubts ?? [];
  if (!doubts.length) return say("no ring is in doubt any more");
  const next = onward
    ? doubts.find((number) => number > shared.chosen) ?? doubts[0]
    : doubts.findLast((number) => number < shared.chosen) ?? doubts.at(-1);
  show(next);
}

function keyed(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const up = event.key === "ArrowUp";
  if (begun && (up || event.key === "ArrowDown")) {
    begun.course += (up ? 1 : -1) * (event.shiftKey ? 5 : Math.max(0.5, 1 / pan.sy));
    begun.course = Math.min(Math.max(begun.course, 0.5), top());
    reveal(begun.course);
  } else if (begun && event.key === "Enter") set();
  else if (up || event.key === "ArrowDown") {
    choose(Math.min(Math.max(1, shared.chosen + (up ? 1 : -1)), rings().length));
    if (shared.chosen) reveal(shared.straight.told.courses[shared.chosen - 1]);
  } else if (event.key === "ArrowLeft" || event.key === "ArrowRight") {
    shared.turn = (shared.turn + (event.key === "ArrowRight" ? 0.02 : 0.98)) % 1;
    pan.shift(event.key === "ArrowRight" ? -30 : 30, 0);
  } else if (event.key === "Home" || event.key === "End") {
    choose(event.key === "Home" ? 1 : rings().length);
    reveal(shared.straight.told.courses[shared.chosen - 1]);
  } else if (event.key === "PageUp" || event.key === "PageDown") {
    choose(Math.min(Math.max(1, shared.chosen + (event.key === "PageUp" ? 10 : -10)), rings().length));
    reveal(shared.straight.told.courses[shared.chosen - 1]);
  } else if (event.key === "+" || event.key === "=") pan.step(true);
  else if (event.key === "-") pan.step(false);
  else if (event.key === "0") fit();
  else return;
  event.preventDefault();
}
canvas.addEventListener("keydown", keyed);

document.getElementById("unrolled-in").addEventListener("click", () => pan.step(true));
document.getElementById("unrolled-out").addEventListener("click", () => pan.step(false));
document.getElementById("unrolled-fit").addEventListener("click", fit);
new ResizeObserver(() => {
  if (pan.whole || pan.sx < 2) fit(); else pan.settle();
}).observe(canvas);
canvas.addEventListener("wheel", () => { pan.whole = false; });

listen((what) => {
  if (what === "stump") {
    canvas.setAttribute("aria-valuemax", String(rings().length));
    canvas.setAttribute("aria-valuemin", rings().length ? "1" : "0");
    const none = document.getElementById("unrolled-none");
    none.hidden = Boolean(shared.straight);
    if (!shared.straight && shared.view) {
      const refusal = shared.view.stump.reading.refusal;
      none.textContent = refusal ? `No rings were read: ${refusal.detail}. To do: ${refusal.advice}. Or drag the pith to where it is in the photo.` : "";
    }
  }
  if (what === "chosen" || what === "stump") {
    canvas.setAttribute("aria-valuenow", String(shared.chosen || (rings().length ? 1 : 0)));
    canvas.setAttribute("aria-valuetext", shared.chosen ? `${words(shared.chosen)}, ${surety(shared.chosen)}` : "no ring chosen");
  }
  redraw();
});

/** Where a ring is on the screen, in CSS pixels of the window: for tests and for the ghost. */
export function spotOf(turn, course) {
  const box = canvas.getBoundingClientRect();
  return [box.left + xOf(turn), box.top + yOf(course)];
}
export const ringAt = (turn, course) => ring(within(turn, course));
