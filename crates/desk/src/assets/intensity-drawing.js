// The radial intensity profile drawn: height as in the unrolled stump, lightness to the
// right, ring boundaries across.

import { FONT, sharp, thick } from "./drawing.js";
import { doubtful, has, rings, state } from "./selection.js";
import { MARGIN } from "./unrolled-drawing.js";

const { top: TOP, foot: FOOT } = MARGIN;
/** Room at either side, in CSS pixels. */
const SIDE = 8;
/** Range of lightness that is shown at least, so that noise looks like noise. */
const LEAST_RANGE = 10;
/** Room beside the curve, as a share of its range. */
const AIR = 0.06;
/** Ring boundaries nearer than this are not all drawn, as in the unrolled stump. */
const APART_PX = 3.2;

/** Draws everything; `map` places courses, `profile` is the curve or null. */
export function draw(canvas, map, profile) {
  const [pen, wide, high] = sharp(canvas);
  if (!wide) return;
  const colors = colorsOf(canvas);
  pen.fillStyle = colors.paper;
  pen.fillRect(0, 0, wide, high);
  const box = { left: SIDE, wide: wide - 2 * SIDE, top: TOP, high: high - TOP - FOOT };
  pen.save();
  pen.beginPath();
  pen.rect(box.left, box.top, box.wide, box.high);
  pen.clip();
  if (!state.hidden) boundaries(pen, map, box, colors);
  if (profile) curve(pen, places(profile, map, box), box, colors);
  pen.restore();
  pen.strokeStyle = colors.ink;
  pen.lineWidth = 1;
  pen.strokeRect(box.left - 0.5, box.top - 0.5, box.wide + 1, box.high + 1);
  pen.fillStyle = colors.soft;
  pen.font = `13px ${FONT}`;
  pen.textBaseline = "middle";
  pen.textAlign = "left";
  pen.fillText("dark", box.left, high - FOOT + 15);
  pen.textAlign = "right";
  pen.fillText("light", box.left + box.wide, high - FOOT + 15);
}

/** The page's own colors, whoever chose them. */
function colorsOf(canvas) {
  const style = getComputedStyle(canvas);
  return {
    paper: style.backgroundColor, ink: style.color, soft: style.borderTopColor,
    doubt: style.borderRightColor, chosen: style.borderBottomColor, rule: style.borderLeftColor,
  };
}

function boundaries(pen, map, box, colors) {
  const all = map.apart() > APART_PX;
  for (const one of rings()) {
    const special = one.number === state.chosen || one.number === state.hovered;
    const tenth = one.number % 10 === 0;
    const doubt = doubtful(one.number);
    if (!all && !special && !tenth && !doubt && !has(one, "at-bark")) continue;
    const y = map.y(state.geometry.info.courses[one.number - 1]);
    pen.strokeStyle = special ? colors.chosen : doubt ? colors.doubt : tenth ? colors.ink : colors.rule;
    pen.lineWidth = special ? thick(2.4) : tenth || doubt ? thick(1.6) : thick(1);
    pen.setLineDash(doubt ? [6, 4] : []);
    pen.beginPath();
    pen.moveTo(box.left, y);
    pen.lineTo(box.left + box.wide, y);
    pen.stroke();
  }
  pen.setLineDash([]);
}

/** The places in view as [y, lightness or null]: means where several share a pixel. */
function places({ courses, lightness }, map, box) {
  const found = [];
  let row = null;
  courses.forEach((course, index) => {
    const y = map.y(course);
    if (y < box.top - 4 || y > box.top + box.high + 4) return;
    const value = lightness[index];
    if (row && row.from - y < 0.5 && (value === null) === (row.count === 0)) {
      if (value !== null) { row.sum += value; row.count += 1; }
      return;
    }
    row = { from: y, sum: value ?? 0, count: value === null ? 0 : 1 };
    found.push(row);
  });
  return found.map(({ from, sum, count }) => [from, count ? sum / count : null]);
}

function curve(pen, found, box, colors) {
  const seen = found.flatMap(([, value]) => (value === null ? [] : [value]));
  if (!seen.length) return;
  const [least, most] = [Math.min(...seen), Math.max(...seen)];
  const range = Math.max(most - least, LEAST_RANGE) * (1 + 2 * AIR);
  const x = (value) => box.left + box.wide * (0.5 + (value - (least + most) / 2) / range);
  pen.beginPath();
  let down = false;
  for (const [y, value] of found) {
    if (value === null) { down = false; continue; }
    if (down) pen.lineTo(x(value), y); else pen.moveTo(x(value), y);
    down = true;
  }
  pen.lineJoin = "round";
  // Paper below the ink, so that the curve stands before the boundaries.
  for (const [color, width] of [[colors.paper, 3.2], [colors.ink, 1.3]]) {
    pen.strokeStyle = color;
    pen.lineWidth = thick(width);
    pen.stroke();
  }
}
