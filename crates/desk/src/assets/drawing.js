// What both canvases need: a sharp canvas, one redraw a frame, colors, and the
// magnifier.

import { state } from "./selection.js";

export const INK = "#2b2118";
export const PAPER = "#faf5e9";
export const SOFT = "#64574a";
export const DOUBT = "#a33b12";
export const CHOSEN = "#0a5a9c";
export const FONT = '"Gentium Book Basic", serif';

/** A line's width in CSS pixels: wider in the sun, where thin lines vanish. */
export const thick = (width) => (state.sun ? 1.2 + 1.5 * width : width);
/** A faint color at its usual strength, or full in the sun. */
export const faint = (rgb, alpha) => `rgb(${rgb} / ${state.sun ? 1 : alpha})`;

/** Pixels of a canvas for one CSS pixel. */
export const density = () => Math.min(window.devicePixelRatio || 1, 2.5);

/** A canvas as sharp as the screen; its context in CSS pixels, and its size. */
export function sharp(canvas) {
  const by = density();
  const [wide, high] = [canvas.clientWidth, canvas.clientHeight];
  if (canvas.width !== Math.round(wide * by) || canvas.height !== Math.round(high * by)) {
    canvas.width = Math.round(wide * by);
    canvas.height = Math.round(high * by);
  }
  const pen = canvas.getContext("2d");
  pen.setTransform(by, 0, 0, by, 0, 0);
  return [pen, wide, high];
}

/** One redraw a frame, however often it is asked for. */
export function onceAFrame(draw) {
  let waiting = false;
  return () => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => { waiting = false; draw(); });
  };
}

/** How much larger the magnifier shows the wood. */
const MAGNIFIED = 3;
const MAGNIFIER_RADIUS = 58;

/** A round window in an upper corner, away from the finger at `at`, that shows
 *  what is under it; `drawPicture(pen)` draws the bare picture as it stands. */
export function magnifier(pen, [wide], at, drawPicture) {
  const gap = MAGNIFIER_RADIUS + 8;
  const x = at[0] < wide / 2 ? wide - gap : gap;
  pen.save();
  pen.beginPath();
  pen.arc(x, gap, MAGNIFIER_RADIUS, 0, 7);
  pen.fillStyle = PAPER;
  pen.fill();
  pen.clip();
  pen.translate(x, gap);
  pen.scale(MAGNIFIED, MAGNIFIED);
  pen.translate(-at[0], -at[1]);
  drawPicture(pen);
  pen.restore();
  pen.save();
  for (const [color, width] of [[PAPER, 3.5], [CHOSEN, 1.5]]) {
    pen.strokeStyle = color;
    pen.lineWidth = width;
    pen.beginPath();
    pen.moveTo(x - 14, gap); pen.lineTo(x - 3, gap); pen.moveTo(x + 3, gap); pen.lineTo(x + 14, gap);
    pen.moveTo(x, gap - 14); pen.lineTo(x, gap - 3); pen.moveTo(x, gap + 3); pen.lineTo(x, gap + 14);
    pen.stroke();
  }
  pen.strokeStyle = INK;
  pen.lineWidth = 2;
  pen.beginPath();
  pen.arc(x, gap, MAGNIFIER_RADIUS, 0, 7);
  pen.stroke();
  pen.restore();
}
