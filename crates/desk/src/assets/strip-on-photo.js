// The strip drawn on the photo: its outline, the rings across it, its handles.

import { CHOSEN, INK, PAPER, thick } from "./drawing.js";
import { doubtful, state } from "./selection.js";
import { alongAt, byHand, info, place, rings, strip } from "./strip-marks.js";
import { handles, lengthOf, widthOf } from "./strip-tool.js";

/** Steps along a ring across the strip. */
const STEPS = 24;

function path(pen, view, places, color, width, dash = []) {
  pen.beginPath();
  for (const one of places) pen.lineTo(...view.toScreen(one[0], one[1]));
  pen.setLineDash(dash);
  pen.strokeStyle = color;
  pen.lineWidth = width;
  pen.stroke();
  pen.setLineDash([]);
}

/** Draws the strip; `hand`: the one that is being drawn or moved; `held`: whether its handles show. */
export function drawStrip(pen, view, hand, held) {
  if (hand?.from && !hand.to) { handle(pen, view, hand.from); return; }
  const one = hand ?? strip();
  if (!one) return;
  if (!hand && info()) for (const each of rings()) ring(pen, view, each);
  const [long, half] = [lengthOf(one), widthOf(one) / 2];
  const corners = [[0, -half], [long, -half], [long, half], [0, half], [0, -half]].map(([along, aside]) => place(along, aside, one));
  path(pen, view, corners, PAPER, thick(4));
  path(pen, view, corners, CHOSEN, thick(1.8), hand ? [6, 4] : []);
  if (held) for (const spot of Object.values(handles(one))) handle(pen, view, spot);
}

function ring(pen, view, { number, along }) {
  const half = widthOf(strip()) / 2;
  const places = Array.from({ length: STEPS + 1 }, (_, step) => half * ((2 * step) / STEPS - 1))
    .map((aside) => [alongAt(along, aside), aside])
    .filter(([at]) => !Number.isNaN(at))
    .map(([at, aside]) => place(at, aside));
  const tenth = number % 10 === 0;
  path(pen, view, places, PAPER, thick(tenth ? 3.4 : 2.2));
  path(pen, view, places, number === state.chosen && !byHand() ? CHOSEN : INK, thick(tenth ? 1.8 : 0.9), doubtful(number) ? [5, 3] : []);
}

function handle(pen, view, at) {
  const [x, y] = view.toScreen(at[0], at[1]);
  pen.beginPath();
  pen.arc(x, y, 8, 0, 7);
  pen.fillStyle = CHOSEN;
  pen.fill();
  pen.strokeStyle = PAPER;
  pen.lineWidth = 2.5;
  pen.stroke();
}
