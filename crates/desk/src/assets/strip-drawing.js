// The strip drawn straight: the wood, the rings that count with their numbers,
// years and dots, the rings that are proposed, and the cursor.

import { CHOSEN, DOUBT, FONT, INK, PAPER, SOFT, faint, sharp, thick } from "./drawing.js";
import { doubtful, state } from "./selection.js";
import { alongAt, byHand, info, proposals, ringAtCursor, rings, snapped } from "./strip-marks.js";

/** Room for numbers above and years below, in CSS pixels. */
export const MARGIN = { top: 28, foot: 24 };
/** From this confidence a proposal is sure. */
const SURE = 0.8;
/** Steps along a line across the strip. */
const STEPS = 60;
/** Rings of which each is numbered where there is room for it, in CSS pixels. */
const ROOM_PX = 24;

/** Draws everything; `map` places along and aside on the canvas. */
export function draw(canvas, map) {
  const [pen, wide, high] = sharp(canvas);
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, wide, high);
  if (!info()) return;
  pen.imageSmoothingQuality = "high";
  map.picture(pen);
  pen.save();
  pen.beginPath();
  pen.rect(0, map.y(-info().width_px / 2), wide, map.y(info().width_px / 2) - map.y(-info().width_px / 2));
  pen.clip();
  if (!state.hidden) {
    ends(pen, map);
    for (const one of proposals()) proposal(pen, map, one);
    for (const one of rings()) ring(pen, map, one);
  }
  pen.restore();
  if (!state.hidden) numbers(pen, map, high);
  cursor(pen, map);
}

/** A line across the strip, bent as the rings are; from one share of the width to another. */
function across(pen, map, along, color, width, [from, to] = [0, 1], dash = []) {
  const half = info().width_px / 2;
  pen.strokeStyle = color;
  pen.lineWidth = width;
  pen.setLineDash(dash);
  pen.beginPath();
  for (let step = 0; step <= STEPS; step++) {
    const aside = -half + 2 * half * (from + ((to - from) * step) / STEPS);
    const at = alongAt(along, aside);
    if (!Number.isNaN(at)) pen.lineTo(map.x(at), map.y(aside));
  }
  pen.stroke();
  pen.setLineDash([]);
}

function ends(pen, map) {
  for (const along of [0, info().length_px]) {
    pen.strokeStyle = INK;
    pen.lineWidth = thick(1);
    pen.setLineDash([2, 4]);
    pen.beginPath();
    pen.moveTo(map.x(along), 0);
    pen.lineTo(map.x(along), 4000);
    pen.stroke();
    pen.setLineDash([]);
  }
}

/** Above and below only, so that the wood between stays bare. */
function proposal(pen, map, { along_px: along, confidence }) {
  const sure = confidence >= SURE;
  for (const part of [[0, 0.28], [0.72, 1]]) {
    across(pen, map, along, faint("250 245 233", sure ? 0.9 : 0.4), thick(sure ? 3 : 2), part);
    across(pen, map, along, faint("43 33 24", sure ? 0.95 : 0.45), thick(sure ? 1.6 : 1), part, sure ? [] : [3, 3]);
  }
}

function ring(pen, map, one) {
  const doubt = !byHand() && doubtful(one.number);
  const at = one === map.held?.ring ? map.held.along : one.along;
  across(pen, map, at, PAPER, thick(3.6));
  across(pen, map, at, doubt ? DOUBT : one.number === state.chosen && !byHand() ? CHOSEN : INK, thick(one.number % 10 ? 1.5 : 2.2), [0, 1], doubt ? [6, 3] : []);
  dots(pen, map, one, at);
}

/** One dot at each 10th ring, two at each 50th, three at each 100th. */
function dots(pen, map, { number }, along) {
  const count = number % 100 === 0 ? 3 : number % 50 === 0 ? 2 : number % 10 === 0 ? 1 : 0;
  const half = info().width_px / 2;
  for (let nth = 0; nth < count; nth++) {
    const y = map.y(half) - 12 - nth * 13;
    pen.beginPath();
    pen.arc(map.x(alongAt(along, map.aside(y)) || along), y, 5, 0, 7);
    pen.fillStyle = INK;
    pen.fill();
    pen.strokeStyle = PAPER;
    pen.lineWidth = 1.6;
    pen.stroke();
  }
}

/** Where a ring meets the upper or the lower side of the strip; its middle where it does not. */
const edge = (along, side) => alongAt(along, (side * info().width_px) / 2) || along;

/** Numbers above and years below; where there is no room for all, every tenth. */
function numbers(pen, map, high) {
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  const all = rings();
  let last = -Infinity;
  for (const one of all) {
    const x = map.x(edge(one.along, -1));
    const tenth = one.number % 10 === 0;
    const roomy = x - last >= ROOM_PX && map.x(all[all.indexOf(one) + 1]?.along ?? Infinity) - x >= ROOM_PX;
    if (!tenth && !roomy && one !== all.at(-1)) continue;
    if (x - last < ROOM_PX && !tenth) continue;
    last = x;
    pen.font = `${tenth ? 700 : 400} 14px ${FONT}`;
    pen.fillStyle = INK;
    pen.fillText(String(one.number), x, map.y(-info().width_px / 2) - 11);
    if (one.year === null || (!tenth && !roomy)) continue;
    const below = map.x(edge(one.along, 1));
    pen.fillStyle = SOFT;
    pen.font = `13px ${FONT}`;
    if (tenth || map.apart() > 40) pen.fillText(String(one.year), below, Math.min(high - 9, map.y(info().width_px / 2) + 11));
  }
}

/** The cursor, and where a ring set there would be. */
function cursor(pen, map) {
  const x = map.x(state.cursor);
  const on = ringAtCursor(map.scale());
  for (const [color, width] of [[PAPER, 4], [CHOSEN, 1.6]]) {
    pen.strokeStyle = color;
    pen.lineWidth = width;
    pen.beginPath();
    const [above, below] = [map.y(-info().width_px / 2), map.y(info().width_px / 2)];
    pen.moveTo(x, above - 5); pen.lineTo(x, above + 9);
    pen.moveTo(x, below - 9); pen.lineTo(x, below + 5);
    pen.stroke();
  }
  if (map.held) return;
  if (on) across(pen, map, on.along, CHOSEN, thick(3));
  else {
    const at = snapped(state.cursor, map.scale());
    across(pen, map, at, PAPER, 3.6);
    across(pen, map, at, CHOSEN, 1.8, [0, 1], [5, 4]);
  }
}
