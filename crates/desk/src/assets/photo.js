// The photo with its ring map; the pith as a handle, the bark edge, the tape,
// and the parts that cannot be read.

import { act, say } from "./marking.js";
import { choose, doubtful, has, light, listen, long, rings, shared } from "./lit.js";
import { DOUBT, INK, LIT, Pan, PAPER, framed, sharp } from "./pan.js";
import { at } from "./straight.js";

const canvas = document.getElementById("photo-canvas");
const wordsBox = document.getElementById("tool-words");
const clearBox = document.getElementById("tool-clear");
const tapeForm = document.getElementById("tape-form");
const tapeLength = document.getElementById("tape-length");
const GRAB = { mouse: 12, touch: 26 };

const redraw = framed(draw);
const pan = new Pan(canvas, { redraw, limits });
let tool = "look";
let drag = null;
let cross = null; // the keyboard's cross, in photo pixels
let tape = null; // a tape being drawn: { from, to }
let stroke = []; // places painted over
let brush = 40; // its radius in photo pixels

const WORDS = {
  look: "Drag to move, wheel or pinch to zoom. Click a ring to choose it.",
  pith: "Drag the cross to the pith, or click where it is. The face is read anew around it.",
  bark: "Click or drag to where the bark edge really runs; the line is bent through it.",
  tape: "Drag along the tape from one mark to another, then type what lies between.",
  paint: "Paint over what cannot be read: a knot, a check, a label. It counts no more.",
};

const moved = () => { pan.whole = false; pan.face = false; };
const size = () => shared.view?.size_px ?? [1, 1];

function limits() {
  const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
  const fit = Math.min(wide / size()[0], high / size()[1]);
  return {
    least: [fit * 0.9, fit * 0.9],
    most: [8, 8],
    hold: (it) => {
      it.sy = it.sx;
      const [w, h] = [size()[0] * it.sx, size()[1] * it.sy];
      it.x = w < wide ? (wide - w) / 2 : Math.min(0, Math.max(it.x, wide - w));
      it.y = h < high ? (high - h) / 2 : Math.min(0, Math.max(it.y, high - h));
    },
  };
}

export function fit() {
  pan.whole = true;
  pan.face = false;
  if (canvas.clientWidth < 20) return;
  const scale = Math.min(canvas.clientWidth / size()[0], canvas.clientHeight / size()[1]);
  Object.assign(pan, { sx: scale, sy: scale });
  pan.whole = true;
  pan.face = false;
  pan.settle();
}

/** Shows the face, with a little around it: the picture's rest is seldom wanted. */
export function fitFace() {
  const seen = (shared.view?.stump.reading.bark_edge_px ?? []).filter(Boolean);
  if (seen.length < 12) return fit();
  pan.face = true;
  if (canvas.clientWidth < 20) return;
  const [xs, ys] = [0, 1].map((axis) => seen.map((place) => place[axis]));
  const [left, right, up, down] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const scale = 0.93 * Math.min(canvas.clientWidth / (right - left), canvas.clientHeight / (down - up));
  Object.assign(pan, { sx: scale, sy: scale });
  pan.x = canvas.clientWidth / 2 - ((left + right) / 2) * scale;
  pan.y = canvas.clientHeight / 2 - ((up + down) / 2) * scale;
  pan.face = true;
  pan.whole = false;
  pan.settle();
}

// ---- drawing

function draw() {
  const [pen, wide, high] = sharp(canvas);
  pen.fillStyle = "#e9e0cb";
  pen.fillRect(0, 0, wide, high);
  if (!shared.view) return;
  pen.imageSmoothingQuality = "high";
  if (shared.photo) pen.drawImage(shared.photo, pan.x, pan.y, size()[0] * pan.sx, size()[1] * pan.sy);
  ringMap(pen);
  marks(pen);
}

function outline(pen, places, colour, width, dash = []) {
  pen.beginPath();
  let down = false;
  const count = places.length;
  for (let step = 0; step <= count; step++) {
    const place = places[step % count];
    if (!place) { down = false; continue; }
    const [x, y] = pan.toScreen(place[0], place[1]);
    if (down) pen.lineTo(x, y); else pen.moveTo(x, y);
    down = true;
  }
  pen.setLineDash(dash);
  pen.strokeStyle = colour;
  pen.lineWidth = width;
  pen.stroke();
  pen.setLineDash([]);
}

function ringMap(pen) {
  const all = rings();
  const { reading } = shared.view.stump;
  const apart = all.length ? ((all.at(-1)?.radius_px ?? 0) * pan.sx) / all.length : 0;
  for (const one of all) {
    const places = one.outline_px;
    if (has(one, "at-bark")) continue;
    if (doubtful(one.number)) {
      outline(pen, places, PAPER, 3.2);
      outline(pen, places, DOUBT, 1.8, [6, 3]);
    } else if (one.number % 10 === 0) {
      outline(pen, places, "rgb(250 245 233 / .75)", 3.2);
      outline(pen, places, INK, 1.7);
    } else if (apart > 3.4) {
      outline(pen, places, "rgb(250 245 233 / .8)", 1.1);
    }
  }
  const edge = reading.bark_edge_px.length ? reading.bark_edge_px : [];
  if (edge.length) {
    outline(pen, edge, PAPER, 4);
    outline(pen, edge, INK, 2);
  }
  const shown = (number, width) => {
    const one = all[number - 1];
    if (!one) return;
    outline(pen, one.outline_px, PAPER, width + 3);
    outline(pen, one.outline_px, LIT, width, doubtful(number) ? [8, 4] : []);
  };
  if (shared.lit !== shared.chosen) shown(shared.lit, 1.8);
  shown(shared.chosen, 3);
  tenths(pen, all, apart);
  if (shared.place) spot(pen, shared.place, 5, LIT);
}

/** Numbers on the tenth rings, up and to the right of the pith. */
function tenths(pen, all, apart) {
  if (apart * 10 < 20) return;
  pen.font = '700 13px "Gentium Book Basic", serif';
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  let last = [-99, -99];
  for (const one of all) {
    if (one.number % 10) continue;
    const place = one.outline_px[105] ?? one.outline_px[15];
    if (!place) continue;
    const [x, y] = pan.toScreen(place[0], place[1]);
    if (Math.hypot(x - last[0], y - last[1]) < 24) continue;
    last = [x, y];
    const text = String(one.number);
    const half = pen.measureText(text).width / 2 + 4;
    pen.fillStyle = PAPER;
    pen.fillRect(x - half, y - 9, 2 * half, 18);
    pen.fillStyle = INK;
    pen.fillText(text, x, y + 1);
  }
}

function spot(pen, place, radius, colour) {
  const [x, y] = pan.toScreen(place[0], place[1]);
  pen.beginPath();
  pen.arc(x, y, radius, 0, 7);
  pen.fillStyle = colour;
  pen.fill();
  pen.strokeStyle = PAPER;
  pen.lineWidth = 2;
  pen.stroke();
}

function marks(pen) {
  const { marks: said, reading } = shared.view.stump;
  for (const area of said.unreadable) hatched(pen, area);
  if (stroke.length) {
    pen.strokeStyle = "rgb(43 33 24 / .55)";
    pen.lineWidth = Math.max(2, 2 * brush * pan.sx);
    pen.lineCap = "round";
    pen.lineJoin = "round";
    pen.beginPath();
    for (const place of stroke) pen.lineTo(...pan.toScreen(place[0], place[1]));
    if (stroke.length === 1) pen.lineTo(...pan.toScreen(stroke[0][0] + 0.1, stroke[0][1]));
    pen.stroke();
    pen.lineCap = "butt";
  }
  if (said.bark.length) for (const place of said.bark) spot(pen, place, 6, INK);
  const line = tape ?? said.tape;
  if (line?.to) ruler(pen, line, tape ? "" : long(said.tape.length_mm));
  const pith = drag?.pith ?? pithPlace(reading, said);
  if (pith) {
    const [x, y] = pan.toScreen(pith[0], pith[1]);
    for (const [colour, width] of [[PAPER, 5], [said.pith ? LIT : INK, 2]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.beginPath();
      pen.arc(x, y, 9, 0, 7);
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) { pen.moveTo(x + 5 * dx, y + 5 * dy); pen.lineTo(x + 15 * dx, y + 15 * dy); }
      pen.stroke();
    }
  }
  if (cross && tool !== "look") {
    const [x, y] = pan.toScreen(cross[0], cross[1]);
    for (const [colour, width] of [[PAPER, 4], [LIT, 1.6]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = width;
      pen.beginPath();
      pen.moveTo(x - 16, y); pen.lineTo(x + 16, y); pen.moveTo(x, y - 16); pen.lineTo(x, y + 16);
      pen.stroke();
    }
  }
}

const pithPlace = (reading, said) => said.pith ?? (reading.pith ? [reading.pith.x_px, reading.pith.y_px] : null);

function hatched(pen, area) {
  pen.save();
  pen.beginPath();
  for (const place of area) pen.lineTo(...pan.toScreen(place[0], place[1]));
  pen.closePath();
  pen.strokeStyle = INK;
  pen.lineWidth = 1.5;
  pen.stroke();
  pen.clip();
  const xs = area.map((place) => pan.toScreen(place[0], 0)[0]);
  const ys = area.map((place) => pan.toScreen(0, place[1])[1]);
  const [left, right, up, down] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  pen.fillStyle = "rgb(250 245 233 / .45)";
  pen.fillRect(left, up, right - left, down - up);
  pen.beginPath();
  for (let x = left - (down - up); x < right; x += 8) { pen.moveTo(x, down); pen.lineTo(x + (down - up), up); }
  pen.lineWidth = 1;
  pen.stroke();
  pen.restore();
}

function ruler(pen, line, text) {
  const [ax, ay] = pan.toScreen(line.from[0], line.from[1]);
  const [bx, by] = pan.toScreen(line.to[0], line.to[1]);
  const far = Math.hypot(bx - ax, by - ay) || 1;
  const [nx, ny] = [-(by - ay) / far * 8, (bx - ax) / far * 8];
  for (const [colour, width] of [[PAPER, 5], [LIT, 2.2]]) {
    pen.strokeStyle = colour;
    pen.lineWidth = width;
    pen.beginPath();
    pen.moveTo(ax, ay); pen.lineTo(bx, by);
    pen.moveTo(ax - nx, ay - ny); pen.lineTo(ax + nx, ay + ny);
    pen.moveTo(bx - nx, by - ny); pen.lineTo(bx + nx, by + ny);
    pen.stroke();
  }
  if (!text) return;
  pen.font = '700 14px "Gentium Book Basic", serif';
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  const half = pen.measureText(text).width / 2 + 6;
  const [mx, my] = [(ax + bx) / 2, (ay + by) / 2];
  pen.fillStyle = PAPER;
  pen.fillRect(mx - half, my - 11, 2 * half, 22);
  pen.fillStyle = INK;
  pen.fillText(text, mx, my + 1);
}

// ---- pointing

const inPhoto = ([x, y]) => [Math.min(Math.max(x, 0), size()[0]), Math.min(Math.max(y, 0), size()[1])];

function onPith(spotAt, kind) {
  if (!shared.view) return false;
  const pith = pithPlace(shared.view.stump.reading, shared.view.stump.marks);
  if (!pith) return false;
  const [x, y] = pan.toScreen(pith[0], pith[1]);
  return Math.hypot(spotAt[0] - x, spotAt[1] - y) < (GRAB[kind] ?? GRAB.mouse) + 4;
}

canvas.addEventListener("pointerdown", (event) => {
  if (event.button > 0 || !shared.view) return;
  canvas.focus({ preventScroll: true });
  canvas.setPointerCapture(event.pointerId);
  if (pan.down(event)) { drag = null; stroke = []; if (tapeForm.hidden) tape = null; redraw(); return; }
  cross = null;
  const from = pan.spot(event);
  const place = pan.toSheet(...from);
  drag = { from, spot: from, moved: false, pith: null };
  if (tool === "pith" || (tool === "look" && onPith(from, event.pointerType))) drag.grab = "pith";
  else if (tool === "tape") { tape = { from: inPhoto(place), to: null }; drag.grab = "tape"; tapeForm.hidden = true; }
  else if (tool === "paint") { stroke = [place]; drag.grab = "paint"; }
  else if (tool === "bark") drag.grab = "bark";
});

canvas.addEventListener("pointermove", (event) => {
  if (pan.move(event)) { drag = null; return; }
  const now = pan.spot(event);
  const place = pan.toSheet(...now);
  if (!drag) { if (event.pointerType === "mouse") hover(now, place); return; }
  if (Math.hypot(now[0] - drag.from[0], now[1] - drag.from[1]) > 4) drag.moved = true;
  if (drag.moved) {
    if (drag.grab === "pith") drag.pith = place;
    else if (drag.grab === "tape") tape.to = inPhoto(place);
    else if (drag.grab === "paint") stroke.push(place);
    else if (drag.grab !== "bark") {
      moved();
      pan.shift(now[0] - drag.spot[0], now[1] - drag.spot[1]);
    }
  }
  drag.spot = now;
  redraw();
});

canvas.addEventListener("pointerup", (event) => {
  const pinched = pan.up(event);
  const done = drag;
  drag = null;
  if (!done || pinched) return;
  const place = pan.toSheet(...pan.spot(event));
  if (done.grab) finish(done.grab, place, done.moved);
  else if (!done.moved) pick(place);
  redraw();
});
canvas.addEventListener("pointercancel", (event) => { pan.up(event); drag = null; stroke = []; redraw(); });
canvas.addEventListener("pointerleave", () => light(0));

function finish(grab, place, moved) {
  if (grab === "pith" && (moved || tool === "pith")) act({ do: "pith", at: place });
  else if (grab === "pith") pick(place);
  else if (grab === "bark") act({ do: "bark", at: inPhoto(place) });
  else if (grab === "paint") paint();
  else if (grab === "tape") {
    if (moved) askLength(); else { tape = null; say("drag from one mark on the tape to another"); }
  }
}

function pick(place) {
  if (!shared.straight) return;
  const [turn, course] = shared.straight.locate(place);
  const number = shared.lines.findIndex((line) => at(line, turn) >= course) + 1;
  if (number) choose(number, turn);
}

function hover(now, place) {
  canvas.style.cursor = tool !== "look" ? "crosshair" : onPith(now, "mouse") ? "move" : "grab";
  if (!shared.straight) return;
  const [turn, course] = shared.straight.locate(place);
  light(shared.lines.findIndex((line) => at(line, turn) >= course) + 1, course >= shared.straight.told.top_course ? null : place);
}

function askLength() {
  tapeLength.value = "";
  tapeForm.hidden = false;
  tapeLength.focus();
}

tapeForm.addEventListener("submit", async (event) => {
  event.preventDefault();
  if (!tape?.to) return;
  const done = await act({ do: "tape", from: tape.from, to: tape.to, length: tapeLength.value });
  if (done !== true) return;
  tape = null;
  tapeForm.hidden = true;
  use("look");
  canvas.focus();
});
document.getElementById("tape-not").addEventListener("click", () => { tape = null; tapeForm.hidden = true; redraw(); canvas.focus(); });

/** Sends what was painted, as outlines. */
function paint() {
  const areas = outlines(stroke, brush);
  stroke = [];
  for (const area of areas) act({ do: "unreadable", area });
}

/** The outer outlines of everything within `radius` of a stroke: cells of a
 *  grid are filled, and the edges between filled and empty ones chained. */
export function outlines(places, radius) {
  const cell = radius / 3;
  const filled = new Set();
  const reach = 3;
  const thick = (x, y) => {
    const [cx, cy] = [Math.round(x / cell), Math.round(y / cell)];
    for (let dx = -reach; dx <= reach; dx++) for (let dy = -reach; dy <= reach; dy++) if (dx * dx + dy * dy <= reach * reach + 1) filled.add(`${cx + dx},${cy + dy}`);
  };
  places.forEach(([x, y], index) => {
    const [px, py] = places[Math.max(0, index - 1)];
    const count = Math.max(1, Math.ceil(Math.hypot(x - px, y - py) / cell));
    for (let nth = 0; nth <= count; nth++) thick(px + ((x - px) * nth) / count, py + ((y - py) * nth) / count);
  });
  // Directed edges, the filled cell on the right-hand side.
  const next = new Map();
  for (const name of filled) {
    const [x, y] = name.split(",").map(Number);
    const edge = (dx, dy, a, b) => { if (!filled.has(`${x + dx},${y + dy}`)) { const list = next.get(a) ?? []; list.push(b); next.set(a, list); } };
    edge(0, -1, `${x},${y}`, `${x + 1},${y}`);
    edge(1, 0, `${x + 1},${y}`, `${x + 1},${y + 1}`);
    edge(0, 1, `${x + 1},${y + 1}`, `${x},${y + 1}`);
    edge(-1, 0, `${x},${y + 1}`, `${x},${y}`);
  }
  const loops = [];
  while (next.size) {
    const start = next.keys().next().value;
    const loop = [];
    let here = start;
    do {
      const [x, y] = here.split(",").map(Number);
      loop.push([(x - 0.5) * cell, (y - 0.5) * cell]);
      const list = next.get(here);
      const to = list.pop();
      if (!list.length) next.delete(here);
      here = to;
    } while (here !== start && next.has(here));
    const area = loop.reduce((sum, [x, y], index) => { const [nx, ny] = loop[(index + 1) % loop.length]; return sum + x * ny - nx * y; }, 0);
    if (area > 0) loops.push(straightened(loop));
  }
  return loops;
}

/** A loop without the places that lie on a straight line. */
function straightened(loop) {
  return loop.filter(([x, y], index) => {
    const [ax, ay] = loop[(index + loop.length - 1) % loop.length];
    const [bx, by] = loop[(index + 1) % loop.length];
    return Math.abs((x - ax) * (by - y) - (y - ay) * (bx - x)) > 1e-6;
  }).map(([x, y]) => [Math.round(x * 10) / 10, Math.round(y * 10) / 10]);
}

// ---- tools and keys

export function use(name) {
  tool = name;
  for (const button of document.querySelectorAll("[data-tool]")) {
    const on = button.dataset.tool === name;
    button.setAttribute("aria-checked", String(on));
    button.tabIndex = on ? 0 : -1;
  }
  if (name !== "tape") { tape = null; tapeForm.hidden = true; }
  cross = null;
  brush = Math.max(6, 0.012 * Math.max(...size()));
  canvas.style.cursor = name === "look" ? "grab" : "crosshair";
  tellTool();
  redraw();
}

function tellTool() {
  wordsBox.textContent = WORDS[tool];
  clearBox.replaceChildren();
  const said = shared.view?.stump.marks;
  if (!said) return;
  const clear = (on, text, edit) => {
    if (!on) return;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = text;
    button.addEventListener("click", () => act(edit));
    clearBox.append(button);
  };
  if (tool === "pith") clear(said.pith, "Let the program find the pith", { do: "pith", at: null });
  if (tool === "bark") clear(said.bark.length, "Let the program find the bark edge", { do: "clear-bark" });
  if (tool === "tape") clear(said.tape, "Take the tape away", { do: "tape", from: null, to: null, length: null });
  if (tool === "paint") clear(said.unreadable.length, "Wipe off all paint", { do: "clear-unreadable" });
}

const buttons = [...document.querySelectorAll("[data-tool]")];
buttons.forEach((button, index) => {
  button.addEventListener("click", () => use(button.dataset.tool));
  button.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!by) return;
    event.preventDefault();
    const next = buttons[(index + by + buttons.length) % buttons.length];
    next.focus();
    use(next.dataset.tool);
  });
});

canvas.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  const by = event.shiftKey ? 40 : 8;
  if (way && tool !== "look") {
    cross ??= middle();
    cross = inPhoto([cross[0] + (way[0] * by) / pan.sx, cross[1] + (way[1] * by) / pan.sx]);
    redraw();
  } else if (way) { moved(); pan.shift(-way[0] * by * 4, -way[1] * by * 4); }
  else if (event.key === "+" || event.key === "=") { moved(); pan.step(true); }
  else if (event.key === "-") pan.step(false);
  else if (event.key === "0") fit();
  else if (event.key === "Enter" && tool !== "look") setCross();
  else return;
  event.preventDefault();
});

/** Where the keyboard's cross begins: the middle of what is seen. */
const middle = () => inPhoto(pan.toSheet(canvas.clientWidth / 2, canvas.clientHeight / 2));

/** Marks at the keyboard's cross. */
function setCross() {
  cross ??= middle();
  if (tool === "pith") act({ do: "pith", at: cross });
  else if (tool === "bark") act({ do: "bark", at: cross });
  else if (tool === "paint") { stroke = [cross]; paint(); }
  else if (!tape) { tape = { from: cross, to: null }; say("one end set: move the cross to the other, then Enter"); }
  else { tape.to = cross; askLength(); }
  redraw();
}

export function cancel() {
  const had = tape || stroke.length || tool !== "look";
  stroke = [];
  use("look");
  return Boolean(had);
}

document.getElementById("photo-in").addEventListener("click", () => { moved(); pan.step(true); });
document.getElementById("photo-out").addEventListener("click", () => { moved(); pan.step(false); });
document.getElementById("photo-fit").addEventListener("click", fit);
canvas.addEventListener("wheel", () => { moved(); });
new ResizeObserver(() => { if (pan.face) fitFace(); else if (pan.whole) fit(); else pan.settle(); }).observe(canvas);

listen((what) => {
  if (what === "stump") {
    const { reading } = shared.view.stump;
    canvas.setAttribute("aria-label", reading.count ? `The photo with its ${reading.count.best} rings` : "The photo; no rings were read");
    tellTool();
  }
  redraw();
});

/** Where a place of the photo is on the screen, in CSS pixels of the window. */
export function spotOf(place) {
  const box = canvas.getBoundingClientRect();
  const [x, y] = pan.toScreen(place[0], place[1]);
  return [box.left + x, box.top + y];
}
