// The photo drawn: its rings, the bark edge, and everything marked on it.

import { CHOSEN, DOUBT, FONT, INK, PAPER, faint, magnifier, sharp, thick } from "./drawing.js";
import { doubtful, drawn, has, state } from "./selection.js";
import { drawStrip } from "./strip-on-photo.js";
import * as tools from "./tools.js";
import { length } from "./words.js";

/** Steps in the outline of a line that is begun. */
const STEPS = 120;

/** Draws everything. `view`: what maps places of the photo to the canvas. `hand`: what is being drawn by hand,
 *  { pith, tape, stroke, brush, cross, finger }. */
export function draw(canvas, view, hand) {
  const [pen, wide, high] = sharp(canvas);
  pen.fillStyle = "#e9e0cb";
  pen.fillRect(0, 0, wide, high);
  if (!state.view) return;
  view.picture(pen);
  if (!state.hidden) ringLines(pen, view);
  if (!state.hidden) marks(pen, view, hand);
  begun(pen, view);
  if (hand.cross) cross(pen, view, hand.cross);
  if (hand.finger) magnifier(pen, [wide, high], hand.finger, view.picture);
}

function outline(pen, view, places, color, width, dash = []) {
  pen.beginPath();
  let down = false;
  for (let step = 0; step <= places.length; step++) {
    const place = places[step % places.length];
    if (!place) { down = false; continue; }
    const [x, y] = view.toScreen(place[0], place[1]);
    if (down) pen.lineTo(x, y); else pen.moveTo(x, y);
    down = true;
  }
  pen.setLineDash(dash);
  pen.strokeStyle = color;
  pen.lineWidth = width;
  pen.stroke();
  pen.setLineDash([]);
}

function ringLines(pen, view) {
  const all = drawn().rings;
  const { reading } = state.view.stump;
  const apart = all.length ? ((all.at(-1)?.radius_px ?? 0) * view.sx) / all.length : 0;
  // Along a strip rings are seen only across it; strip-on-photo.js draws them there.
  for (const one of reading.strip ? [] : all) {
    if (has(one, "at-bark")) continue;
    if (doubtful(one.number) && !state.earlier) {
      outline(pen, view, one.outline_px, PAPER, thick(3.2));
      outline(pen, view, one.outline_px, DOUBT, thick(1.8), [6, 3]);
    } else if (one.number % 10 === 0) {
      outline(pen, view, one.outline_px, faint("250 245 233", 0.75), thick(3.2));
      outline(pen, view, one.outline_px, INK, thick(1.7));
    } else if (apart > 3.4) outline(pen, view, one.outline_px, faint("250 245 233", 0.8), thick(1.1));
  }
  if (reading.bark_edge_px.length) {
    outline(pen, view, reading.bark_edge_px, PAPER, thick(4));
    outline(pen, view, reading.bark_edge_px, INK, thick(2));
  }
  if (!state.earlier) {
    if (state.hovered !== state.chosen) strong(pen, view, all[state.hovered - 1], 1.8);
    strong(pen, view, all[state.chosen - 1], 3);
  }
  if (!reading.strip) tenths(pen, view, all, apart);
  if (state.place) dot(pen, view, state.place, 5, CHOSEN);
}

function strong(pen, view, one, width) {
  if (!one) return;
  outline(pen, view, one.outline_px, PAPER, thick(width) + 3);
  outline(pen, view, one.outline_px, CHOSEN, thick(width), doubtful(one.number) ? [8, 4] : []);
}

/** Numbers on the tenth rings, up and to the right of the pith, or down and to the right. */
function tenths(pen, view, all, apart) {
  if (apart * 10 < 14) return;
  pen.font = `700 13px ${FONT}`;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  let last = [-99, -99];
  // Steps run clockwise from the right, in the photo as it is.
  const step = (turn) => Math.round((turn + 1 - state.quarters / 4) * STEPS) % STEPS;
  for (const one of all) {
    if (one.number % 10) continue;
    const place = one.outline_px[step(7 / 8)] ?? one.outline_px[step(1 / 8)];
    if (!place) continue;
    const [x, y] = view.toScreen(place[0], place[1]);
    if (Math.hypot(x - last[0], y - last[1]) < 20) continue;
    last = [x, y];
    const text = String(one.number);
    const half = pen.measureText(text).width / 2 + 4;
    pen.fillStyle = PAPER;
    pen.fillRect(x - half, y - 9, 2 * half, 18);
    pen.fillStyle = INK;
    pen.fillText(text, x, y + 1);
  }
}

/** The ring that is begun and not set yet. */
function begun(pen, view) {
  const { pending, geometry } = state;
  if (!pending || pending.kind === "join" || !geometry) return;
  const places = Array.from({ length: STEPS }, (_, step) => geometry.place(step / STEPS, pending.course));
  outline(pen, view, places, PAPER, 4.5);
  outline(pen, view, places, CHOSEN, 2.2, [7, 4]);
  dot(pen, view, geometry.place(pending.turn, pending.course), 7, CHOSEN);
}

function dot(pen, view, place, radius, color) {
  const [x, y] = view.toScreen(place[0], place[1]);
  pen.beginPath();
  pen.arc(x, y, radius, 0, 7);
  pen.fillStyle = color;
  pen.fill();
  pen.strokeStyle = PAPER;
  pen.lineWidth = 2;
  pen.stroke();
}

function marks(pen, view, hand) {
  const { marks: entered, reading } = state.view.stump;
  for (const area of entered.unreadable) hatched(pen, view, area);
  drawStrip(pen, view, hand.strip, tools.current() === "strip");
  if (hand.stroke.length) painting(pen, view, hand);
  for (const place of entered.bark) dot(pen, view, place, 6, INK);
  const tape = hand.tape ?? entered.tape;
  if (tape?.to) ruler(pen, view, tape, hand.tape ? "" : length(entered.tape.length_mm));
  const pith = hand.pith ?? entered.pith ?? (reading.pith && [reading.pith.x_px, reading.pith.y_px]);
  if (pith) pithSign(pen, view, pith, hand.pith ?? entered.pith);
}

function painting(pen, view, { stroke, brush }) {
  pen.strokeStyle = "rgb(43 33 24 / .55)";
  pen.lineWidth = Math.max(2, 2 * brush * view.sx);
  pen.lineCap = "round";
  pen.lineJoin = "round";
  pen.beginPath();
  for (const place of stroke) pen.lineTo(...view.toScreen(place[0], place[1]));
  if (stroke.length === 1) pen.lineTo(...view.toScreen(stroke[0][0] + 0.1, stroke[0][1]));
  pen.stroke();
  pen.lineCap = "butt";
}

function pithSign(pen, view, pith, given) {
  const [x, y] = view.toScreen(pith[0], pith[1]);
  for (const [color, width] of [[PAPER, 5], [given ? CHOSEN : INK, 2]]) {
    pen.strokeStyle = color;
    pen.lineWidth = width;
    pen.beginPath();
    pen.arc(x, y, 9, 0, 7);
    for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) { pen.moveTo(x + 5 * dx, y + 5 * dy); pen.lineTo(x + 15 * dx, y + 15 * dy); }
    pen.stroke();
  }
}

/** The cross that arrow keys move. */
function cross(pen, view, place) {
  const [x, y] = view.toScreen(place[0], place[1]);
  for (const [color, width] of [[PAPER, 4], [CHOSEN, 1.6]]) {
    pen.strokeStyle = color;
    pen.lineWidth = width;
    pen.beginPath();
    pen.moveTo(x - 16, y); pen.lineTo(x + 16, y); pen.moveTo(x, y - 16); pen.lineTo(x, y + 16);
    pen.stroke();
  }
}

function hatched(pen, view, area) {
  pen.save();
  pen.beginPath();
  for (const place of area) pen.lineTo(...view.toScreen(place[0], place[1]));
  pen.closePath();
  pen.strokeStyle = INK;
  pen.lineWidth = 1.5;
  pen.stroke();
  pen.clip();
  const [xs, ys] = [0, 1].map((axis) => area.map((place) => view.toScreen(place[0], place[1])[axis]));
  const [left, right, up, down] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  pen.fillStyle = "rgb(250 245 233 / .45)";
  pen.fillRect(left, up, right - left, down - up);
  pen.beginPath();
  for (let x = left - (down - up); x < right; x += 8) { pen.moveTo(x, down); pen.lineTo(x + (down - up), up); }
  pen.lineWidth = 1;
  pen.stroke();
  pen.restore();
}

function ruler(pen, view, tape, text) {
  const [ax, ay] = view.toScreen(tape.from[0], tape.from[1]);
  const [bx, by] = view.toScreen(tape.to[0], tape.to[1]);
  const long = Math.hypot(bx - ax, by - ay) || 1;
  const [nx, ny] = [-(by - ay) / long * 8, (bx - ax) / long * 8];
  for (const [color, width] of [[PAPER, 5], [CHOSEN, 2.2]]) {
    pen.strokeStyle = color;
    pen.lineWidth = width;
    pen.beginPath();
    pen.moveTo(ax, ay); pen.lineTo(bx, by);
    pen.moveTo(ax - nx, ay - ny); pen.lineTo(ax + nx, ay + ny);
    pen.moveTo(bx - nx, by - ny); pen.lineTo(bx + nx, by + ny);
    pen.stroke();
  }
  if (!text) return;
  pen.font = `700 14px ${FONT}`;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  const half = pen.measureText(text).width / 2 + 6;
  const [mx, my] = [(ax + bx) / 2, (ay + by) / 2];
  pen.fillStyle = PAPER;
  pen.fillRect(mx - half, my - 11, 2 * half, 22);
  pen.fillStyle = INK;
  pen.fillText(text, mx, my + 1);
}
