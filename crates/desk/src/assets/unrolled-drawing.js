// The unrolled stump drawn: wood, lines, and the numbers and years beside them.

import { CHOSEN, DOUBT, FONT, INK, PAPER, SOFT, faint, magnifier, sharp, thick } from "./drawing.js";
import { at } from "./geometry.js";
import { doubtful, drawn, has, rings, state } from "./selection.js";

/** Room for numbers, years and directions, in CSS pixels. */
export const MARGIN = { left: 62, get right() { return rings()[0]?.year === null ? 14 : 52; }, top: 12, foot: 26 };
const { left: LEFT, top: TOP, foot: FOOT } = MARGIN;
/** The ways from the pith, clockwise. */
const WAYS = ["right", "down", "left", "up"];
/** Steps along a line as it is drawn. */
const STEPS = 120;

/** Draws everything; `map` places turns and courses on the canvas. */
export function draw(canvas, map) {
  const [pen, wide, high] = sharp(canvas);
  pen.fillStyle = PAPER;
  pen.fillRect(0, 0, wide, high);
  if (!state.geometry) return;
  const [sheetWide, sheetHigh] = [wide - LEFT - MARGIN.right, high - TOP - FOOT];
  pen.save();
  pen.beginPath();
  pen.rect(LEFT, TOP, sheetWide, sheetHigh);
  pen.clip();
  pen.imageSmoothingQuality = "high";
  map.picture(pen);
  if (!state.hidden) lines(pen, map);
  const { pending } = state;
  if (pending && pending.kind !== "join") {
    line(pen, map, () => map.y(pending.course), PAPER, 4.5);
    line(pen, map, () => map.y(pending.course), CHOSEN, 2.5, [7, 4]);
    handle(pen, map, pending);
  }
  if (state.place && !state.hidden) pointer(pen, map);
  pen.restore();
  pen.strokeStyle = INK;
  pen.lineWidth = 1;
  pen.strokeRect(LEFT - 0.5, TOP - 0.5, sheetWide + 1, sheetHigh + 1);
  margins(pen, map, wide, high);
  if (map.finger) magnifier(pen, [wide, high], map.finger, map.picture);
}

/** A line across: `y` gives its height at a share of the turn. */
function line(pen, map, y, color, width, dash = []) {
  pen.strokeStyle = color;
  pen.lineWidth = width;
  pen.setLineDash(dash);
  pen.beginPath();
  let down = false;
  for (let step = 0; step <= STEPS; step++) {
    const here = y(step / STEPS);
    if (Number.isNaN(here)) { down = false; continue; }
    if (down) pen.lineTo(map.x(step / STEPS), here); else pen.moveTo(map.x(step / STEPS), here);
    down = true;
  }
  pen.stroke();
  pen.setLineDash([]);
}

/** The wood of one ring, tinted. */
function tint(pen, map, outer, inner, color) {
  if (!outer) return;
  pen.fillStyle = color;
  pen.beginPath();
  for (let step = 0; step <= STEPS; step++) {
    const course = Number.isNaN(outer[step]) ? at(outer, (step + 1) / STEPS) || 0 : outer[step];
    pen.lineTo(map.x(step / STEPS), map.y(course));
  }
  for (let step = STEPS; step >= 0; step--) {
    const course = !inner || Number.isNaN(inner[step]) ? 0 : inner[step];
    pen.lineTo(map.x(step / STEPS), map.y(course));
  }
  pen.fill();
}

function lines(pen, map) {
  const shown = drawn();
  const apart = map.apart();
  const along = (index) => (turn) => map.y(shown.lines[index][Math.round(turn * STEPS)]);
  if (!state.earlier && state.chosen) tint(pen, map, shown.lines[state.chosen - 1], shown.lines[state.chosen - 2], "rgb(10 90 156 / .20)");
  shown.rings.forEach((one, index) => {
    if (!shown.lines[index]) return;
    const y = along(index);
    if (has(one, "at-bark")) line(pen, map, y, INK, thick(2.5));
    else if (doubtful(one.number) && !state.earlier) {
      line(pen, map, y, faint("250 245 233", 0.85), thick(4));
      line(pen, map, y, DOUBT, thick(2.2), [8, 4]);
    } else if (one.number % 10 === 0) {
      line(pen, map, y, faint("250 245 233", 0.6), thick(3.6));
      line(pen, map, y, INK, thick(1.9));
    } else if (apart > 3.2) {
      if (apart > 9) line(pen, map, y, faint("250 245 233", 0.5), thick(2.6));
      line(pen, map, y, faint("43 33 24", 0.82), thick(apart > 9 ? 1.1 : 0.7));
    }
  });
  if (state.earlier) return;
  const marked = (number, width) => {
    if (!number || !shown.lines[number - 1]) return;
    line(pen, map, along(number - 1), PAPER, thick(width) + 3);
    line(pen, map, along(number - 1), CHOSEN, thick(width), doubtful(number) ? [8, 4] : []);
  };
  if (state.hovered !== state.chosen) marked(state.hovered, 1.8);
  marked(state.chosen, 3);
}

/** Where a ring that is begun can be dragged. */
function handle(pen, map, pending) {
  const [x, y] = [map.x(pending.turn), map.y(pending.course)];
  pen.fillStyle = CHOSEN;
  pen.strokeStyle = PAPER;
  pen.lineWidth = 2;
  pen.beginPath();
  pen.arc(x, y, 8, 0, 7);
  pen.fill();
  pen.stroke();
}

function pointer(pen, map) {
  const [turn, course] = state.geometry.locate(state.place);
  pen.fillStyle = CHOSEN;
  pen.strokeStyle = PAPER;
  pen.lineWidth = 2;
  pen.beginPath();
  pen.arc(map.x(turn), map.y(course), 5, 0, 7);
  pen.fill();
  pen.stroke();
}

/** Numbers and the dots of the trade on the left, years on the right. */
function margins(pen, map, wide, high) {
  const all = rings();
  const turn = map.turn(LEFT);
  const heightOf = (number) => {
    const course = at(state.lines[number - 1], turn);
    return map.y(Number.isNaN(course) ? state.geometry.info.courses[number - 1] : course);
  };
  const chosenAt = state.chosen && state.lines[state.chosen - 1] ? heightOf(state.chosen) : Infinity;
  const every = map.apart() >= 17;
  let last = Infinity;
  pen.textBaseline = "middle";
  for (const one of all) {
    const y = heightOf(one.number);
    if (y < TOP - 1 || y > high - FOOT + 1) continue;
    const tenth = one.number % 10 === 0;
    const special = one.number === state.chosen;
    const doubt = doubtful(one.number);
    pen.fillStyle = special ? CHOSEN : doubt ? DOUBT : INK;
    if (tenth || special || every) {
      pen.fillRect(LEFT - 7, y - (tenth ? 1 : 0.5), 6, tenth ? 2 : 1);
      pen.fillRect(wide - MARGIN.right + 1, y - (tenth ? 1 : 0.5), 6, tenth ? 2 : 1);
      // The ring chosen is always named; its neighbors give way to it.
      if (special || (Math.abs(last - y) > 14 && Math.abs(chosenAt - y) > 14)) {
        numbers(pen, one, y, wide, special || tenth);
        last = y;
      }
      if (tenth) dots(pen, one.number, y);
    }
    if (doubt) {
      // A wedge at both sides: a shape, not only a color.
      pen.fillStyle = DOUBT;
      wedge(pen, LEFT - 1, y, -7);
      wedge(pen, wide - MARGIN.right + 1, y, 7);
    } else if (has(one, "marked")) {
      pen.fillStyle = CHOSEN;
      pen.fillRect(LEFT - 8, y - 3, 6, 6);
    }
  }
  directions(pen, map, wide, high);
}

function numbers(pen, one, y, wide, strong) {
  pen.font = `${strong ? "700 16px" : "13.5px"} ${FONT}`;
  pen.textAlign = "right";
  pen.fillText(String(one.number), LEFT - 11, y + 1);
  if (one.year === null) return;
  pen.font = `${strong ? "15px" : "13px"} ${FONT}`;
  pen.textAlign = "left";
  pen.fillText(String(one.year), wide - MARGIN.right + 10, y + 1);
}

/** Which way each part of the turn is in the photo as it is shown, from the pith; where there is no
 *  room for all words, the outer ones go first. */
function directions(pen, map, wide, high) {
  pen.fillStyle = SOFT;
  pen.font = `13px ${FONT}`;
  const taken = [];
  for (const nth of [0, 4, 2, 1, 3]) {
    const x = map.x(nth / 4);
    if (x < LEFT - 1 || x > wide - MARGIN.right + 1) continue;
    pen.fillRect(x - 0.5, high - FOOT + 1, 1, 5);
    const name = WAYS[(nth + state.quarters) % 4];
    const long = pen.measureText(name).width;
    const from = x - (nth === 0 ? 0 : nth === 4 ? long : long / 2);
    if (taken.some(([left, right]) => from < right + 5 && from + long > left - 5)) continue;
    taken.push([from, from + long]);
    pen.textAlign = "left";
    pen.fillText(name, from, high - FOOT + 15);
  }
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
