// What part of the photo is shown, how large and which way up. photo.js has the pointing
// and the keys, photo-drawing.js draws it.

import { density, onceAFrame } from "./drawing.js";
import { at } from "./geometry.js";
import { draw } from "./photo-drawing.js";
import { listen, rings, state } from "./selection.js";
import { fitting } from "./smaller.js";
import { back, matrix, turned, turnedSize, turnOn } from "./turning.js";
import { Viewport, glide } from "./viewport.js";

export const canvas = document.getElementById("photo-canvas");
/** A ring that is to be judged is at least this wide here, in CSS pixels. */
const READABLE_PX = 10;

/** What is being drawn by hand, in photo pixels; `finger` in CSS pixels. */
export const hand = { pith: null, tape: null, strip: null, stroke: [], brush: 1, cross: null, finger: null };
/** Whether the whole photo is shown when it fits, or only the face. */
let whole = false;

export const redraw = onceAFrame(() => draw(canvas, map, hand));
/** Its sheet is the photo turned. */
export const view = new Viewport(canvas, { redraw, limits, fit: () => (whole ? fit() : fitFace()) });
const size = () => state.view?.size_px ?? [1, 1];
const shownSize = () => turnedSize(size(), state.quarters);

/** Between places of the photo and the canvas. */
export const map = {
  /** CSS pixels for one pixel of the photo. */
  get sx() { return view.sx; },
  toScreen: (x, y) => view.toScreen(...turned([x, y], size(), state.quarters)),
  toPhoto: (px, py) => back(view.toSheet(px, py), size(), state.quarters),
  /** Draws the bare photo. */
  picture: (pen) => {
    if (!state.photo) return;
    pen.save();
    pen.imageSmoothingQuality = "high";
    pen.transform(view.sx, 0, 0, view.sy, view.x, view.y);
    pen.transform(...matrix(size(), state.quarters));
    pen.drawImage(fitting(state.photo, (view.sx * density() * size()[0]) / state.photo.width), 0, 0, ...size());
    pen.restore();
  },
};

function limits() {
  const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
  const [across, down] = shownSize();
  const least = 0.9 * Math.min(wide / across, high / down);
  return {
    least: [least, least],
    most: [8, 8],
    hold: (it) => {
      it.sx = Math.max(it.sx, least);
      it.sy = it.sx;
      const [w, h] = [across * it.sx, down * it.sy];
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
  const scale = Math.min(canvas.clientWidth / shownSize()[0], canvas.clientHeight / shownSize()[1]);
  view.set({ sx: scale, sy: scale });
}

/** Shows the face with a little around it: the rest of the picture is seldom needed. */
export function fitFace() {
  const seen = (state.view?.stump.reading.bark_edge_px ?? []).filter(Boolean).map((place) => turned(place, size(), state.quarters));
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

/** Turns the photo by a quarter; what is in the middle stays there. */
export function turn() {
  if (!state.view) return;
  const middle = [canvas.clientWidth / 2, canvas.clientHeight / 2];
  const place = map.toPhoto(...middle);
  turnOn();
  if (view.fitted) { view.fit(); return; }
  const [x, y] = map.toScreen(...place);
  view.shift(middle[0] - x, middle[1] - y);
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
  const [x, y] = map.toScreen(...geometry.place(state.turn, outer));
  glide(view, canvas.clientWidth / 2 - x, canvas.clientHeight / 2 - y);
}

/** The photo in words, for those who do not see it. */
function describe() {
  const what = state.view.stump.reading.count ? `The photo with its ${rings().length} rings` : "The photo; no rings were read";
  const way = ["", ", turned a quarter clockwise", ", turned upside down", ", turned a quarter counterclockwise"][state.quarters];
  canvas.setAttribute("aria-label", what + way);
}

const click = (id, does) => document.getElementById(id).addEventListener("click", does);
click("photo-in", () => view.step(true));
click("photo-out", () => view.step(false));
click("photo-fit", fit);
click("photo-turn", turn);

listen((what) => {
  if ((what === "stump" || what === "turned") && state.view) describe();
  if (what === "shown") showChosen();
  redraw();
});

/** Where a place of the photo is on the screen, in CSS pixels of the window. */
export function spotOf(place) {
  const box = canvas.getBoundingClientRect();
  const [x, y] = map.toScreen(place[0], place[1]);
  return [box.left + x, box.top + y];
}
/** CSS pixels for one pixel of the photo. */
export const pixelsPerPixel = () => view.sx;
