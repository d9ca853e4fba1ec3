// Growth: one bar a ring, one bar a decade, and the notes on single years.

import { choose, doubtful, hover, listen, rings, state } from "./selection.js";
import { ringWords } from "./words.js";
import { pick } from "./year-notes.js";

const NS = "http://www.w3.org/2000/svg";
const LIMITS = [0.6, 0.85, 1.15, 1.5];

function make(name, attributes, ...inside) {
  const one = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
  one.append(...inside);
  return one;
}

const text = (x, y, words, anchor = "middle", kind = "") => make("text", { x, y, "text-anchor": anchor, class: kind }, words);

/** A round step that gives at most `most` of them up to `highest`. */
function step(highest, most) {
  if (!(highest > 0)) return 1;
  const raw = highest / most;
  const ten = 10 ** Math.floor(Math.log10(raw));
  return [1, 2, 5, 10].map((one) => one * ten).find((one) => one >= raw - 1e-12) ?? 10 * ten;
}

const digits = (one) => Math.max(0, -Math.floor(Math.log10(one) + 1e-9));

/** Widths as shown, and their unit. */
function widths(list, width) {
  const inMm = list.every((one) => width(one) !== null && width(one) !== undefined);
  if (!inMm) return null;
  const by = state.units === "inch" ? 1 / 25.4 : 1;
  return { values: list.map((one) => width(one) * by), unit: state.units === "inch" ? "inches" : "millimeters" };
}

/** The width of each box, noted when it changes: to ask for it in between would have the
 *  page arranged again. */
const wideOf = new Map();
const width = (box) => wideOf.get(box.id) ?? 0;

/** `above`: room over the plot, for notes on years. */
function frame(box, title, above = 0) {
  const wide = Math.max(280, width(box));
  const high = (wide < 420 ? 190 : 160) + above;
  const svg = make("svg", { viewBox: `0 0 ${wide} ${high}`, role: "img", "aria-label": title });
  return { svg, wide, left: 44, right: wide - 8, top: 26 + above, foot: high - 26, high };
}

function scale(sheet, highest, unit, across) {
  const { svg, left, right, top, foot } = sheet;
  const one = step(highest, 4);
  const most = Math.max(one, Math.ceil(highest / one - 1e-9) * one);
  for (let value = 0; value <= most + 1e-9; value += one) {
    const y = foot - ((foot - top) * value) / most;
    svg.append(make("line", { x1: left, x2: right, y1: y, y2: y, class: value === 0 ? "axis" : "rule" }));
    svg.append(text(left - 6, y + 4, value.toFixed(digits(one)), "end"));
  }
  svg.append(text(0, 12, unit, "start", "soft"), text(right, 12, across, "end", "soft"));
  return (value) => foot - ((foot - top) * value) / most;
}

// ---- ring by ring

let bars = [];

function increments() {
  const box = document.getElementById("increments");
  box.replaceChildren();
  bars = [];
  const all = rings();
  const caption = document.getElementById("increments-words");
  caption.textContent = "";
  if (!all.length || !width(box)) return;
  const dated = all.every((one) => one.year !== null);
  const shown = widths(all, (one) => one.width_mm) ?? { values: all.map((one) => one.width_px), unit: width(box) < 420 ? "pixels; no scale yet" : "pixels of the photo; no scale yet" };
  // A core that was not read is not one ring: it would dwarf the others.
  const unread = state.view.pith_unread;
  if (unread) shown.values[0] = 0;
  const notes = dated ? noteRows(all, Math.max(280, width(box)) - 52) : [];
  const rows = Math.max(0, ...notes.map((one) => one.row + 1));
  const sheet = frame(box, `Ring width, ${dated ? `${all[0].year} to ${all.at(-1).year}` : `ring 1 to ${all.length}`}`, rows * 15);
  const { svg, left, right, top, foot } = sheet;
  const y = scale(sheet, Math.max(...shown.values), `ring width, ${shown.unit}`, dated ? "by year of growth" : "by ring, from the pith");
  const pitch = (right - left) / all.length;
  const gap = pitch > 5 ? Math.min(4, pitch * 0.16) : pitch > 2.5 ? 0.4 : 0;
  all.forEach((one, index) => {
    const x = left + pitch * index;
    const doubt = doubtful(one.number);
    const bar = make("rect", { x: x + gap / 2, width: Math.max(0.6, pitch - gap), y: y(shown.values[index]), height: Math.max(0.5, foot - y(shown.values[index])), class: doubt ? "bar doubtful" : "bar" });
    bars.push(bar);
    svg.append(bar);
  });
  drawNotes(svg, notes, { left, pitch, foot });
  events(svg, { left, pitch, top });
  places(svg, all, { left, pitch, foot, right }, dated);
  const hit = make("rect", { x: left, y: top, width: right - left, height: foot - top, class: "hit" });
  const under = (event) => {
    const outer = svg.getBoundingClientRect();
    const x = ((event.clientX - outer.left) / outer.width) * sheet.wide;
    return Math.min(Math.max(1, Math.floor((x - left) / pitch) + 1), all.length);
  };
  hit.addEventListener("pointermove", (event) => hover(under(event)));
  hit.addEventListener("pointerleave", () => hover(0));
  hit.addEventListener("click", (event) => {
    const number = under(event);
    choose(number);
    if (dated) pick(all[number - 1].year);
  });
  svg.append(hit);
  box.append(svg);
  caption.textContent = `One bar for each ring, pith on the left; dots at each tenth.${unread ? " The core at the pith was not read and has no bar." : ""}${state.view.doubts.length ? " Dashed: in doubt." : ""}${state.view.stump.reading.events.length ? " \u25b2 growth rose, \u25bc fell, and stayed so." : ""}`;
  highlight();
}

function places(svg, all, { left, pitch, foot, right }, dated) {
  const one = Math.max(1, step(all.length, (right - left) / 58));
  for (const [index, ring] of all.entries()) {
    const x = left + pitch * (index + 0.5);
    const number = dated ? ring.year : ring.number;
    if (number % one === 0) {
      svg.append(make("line", { x1: x, x2: x, y1: foot, y2: foot + 5, class: "axis" }));
      svg.append(text(Math.min(x, right - 12), foot + 23, String(number)));
    }
    if (ring.number % 10 === 0) {
      const count = ring.number % 100 === 0 ? 3 : ring.number % 50 === 0 ? 2 : 1;
      for (let dot = 0; dot < count; dot++) svg.append(make("circle", { cx: x + (dot - (count - 1) / 2) * 5, cy: foot + 8, r: 1.9, class: "dot" }));
    }
  }
}

function events(svg, { left, pitch, top }) {
  for (const event of state.view.stump.reading.events) {
    const x = left + pitch * event.ring;
    const up = event.kind === "release";
    svg.append(make("path", { d: up ? `M${x - 5} ${top - 2}h10l-5 -9z` : `M${x - 5} ${top - 11}h10l-5 9z`, class: "event" }));
  }
}

/** The notes at their years, in rows so that no two meet. */
function noteRows(all, wide) {
  const ends = [];
  return state.view.stump.facts.remembered.flatMap((known) => {
    const index = all.findIndex((one) => one.year === known.year);
    if (index < 0) return [];
    const x = (wide * (index + 0.5)) / all.length;
    const long = known.what.length * 6.4 + 10;
    const turned = x + long > wide;
    const from = turned ? x - long : x;
    let row = ends.findIndex((end) => end < from);
    if (row < 0) row = ends.length;
    ends[row] = turned ? x : x + long;
    return [{ index, what: known.what, turned, row }];
  });
}

function drawNotes(svg, notes, { left, pitch, foot }) {
  for (const { index, what, turned, row } of notes) {
    const x = left + pitch * (index + 0.5);
    const y = 30 + row * 15;
    svg.append(make("line", { x1: x, x2: x, y1: y - 9, y2: foot, class: "known" }));
    svg.append(text(turned ? x - 5 : x + 5, y, what, turned ? "end" : "start", "note"));
  }
}

// ---- decade by decade

function decades() {
  const box = document.getElementById("decades");
  box.replaceChildren();
  const caption = document.getElementById("decades-words");
  caption.textContent = "";
  const all = state.view?.stump.reading.decades ?? [];
  if (!all.length || !width(box)) return;
  const dated = all.every((one) => one.from_year !== null);
  const shown = widths(all, (one) => one.mean_width_mm);
  const values = shown ? shown.values : all.map((one) => one.against_trend ?? 0);
  const sheet = frame(box, "Growth by decade");
  const { svg, left, right, foot } = sheet;
  const y = scale(sheet, Math.max(...values), shown ? `mean ring width, ${shown.unit}` : "against its own trend", dated ? "by decade" : "by tens of rings");
  const pitch = Math.min(90, (right - left) / all.length);
  all.forEach((one, index) => {
    const share = Math.min(10, one.rings) / 10;
    const wide = Math.max(pitch * 0.2, pitch * 0.84 * share);
    const middle = left + pitch * (index + 0.5);
    const fill = one.against_trend === null ? "var(--rule)" : `var(--g${LIMITS.filter((limit) => one.against_trend >= limit).length + 1})`;
    const bar = make("rect", { x: middle - wide / 2, width: wide, y: y(values[index]), height: Math.max(0, foot - y(values[index])), stroke: "var(--ink)" });
    bar.style.fill = fill;
    const name = dated ? `${one.from_year}s` : `rings ${one.first_ring} to ${one.first_ring + one.rings - 1}`;
    bar.append(make("title", {}, `${name}: ${values[index].toFixed(shown?.unit === "inches" ? 3 : 2)} ${shown ? shown.unit : "of the trend"}`));
    svg.append(bar);
    const every = Math.ceil(38 / pitch);
    const nth = dated ? one.from_year / 10 : index;
    if (nth % every === 0) svg.append(text(middle, foot + 16, dated ? String(one.from_year) : String(one.first_ring)));
  });
  box.append(svg);
  caption.replaceChildren("Darker: faster than expected at that age.");
}

function highlight() {
  bars.forEach((bar, index) => bar.classList.toggle("is-lit", index + 1 === state.hovered || index + 1 === state.chosen));
}

function redraw() {
  if (!state.view) return;
  increments();
  decades();
}

listen((what) => {
  if (["stump", "units", "tab"].includes(what)) redraw();
  if (what === "hovered" || what === "chosen") {
    highlight();
    const number = state.hovered || state.chosen;
    document.getElementById("growth-hint").textContent = number ? ringWords(number) : "";
  }
});
const observer = new ResizeObserver((entries) => {
  const before = [...wideOf.values()].join();
  for (const { target, contentRect } of entries) wideOf.set(target.id, Math.round(contentRect.width));
  if ([...wideOf.values()].join() !== before) redraw();
});
for (const id of ["increments", "decades"]) observer.observe(document.getElementById(id));
