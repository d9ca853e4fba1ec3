// Growth: one bar a ring, one bar a decade, and what is remembered of years.

import { act } from "./marking.js";
import { choose, doubtful, light, listen, rings, shared, words } from "./lit.js";

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
  const by = shared.units === "inch" ? 1 / 25.4 : 1;
  return { values: list.map((one) => width(one) * by), unit: shared.units === "inch" ? "inches" : "millimetres" };
}

function frame(box, title) {
  const wide = Math.max(280, Math.round(box.clientWidth));
  const high = wide < 420 ? 200 : 178;
  const svg = make("svg", { viewBox: `0 0 ${wide} ${high}`, role: "img", "aria-label": title });
  return { svg, wide, left: 44, right: wide - 8, top: 22, foot: high - 38, high };
}

function scale(sheet, highest, unit) {
  const { svg, left, right, top, foot } = sheet;
  const one = step(highest, 4);
  const most = Math.max(one, Math.ceil(highest / one - 1e-9) * one);
  for (let value = 0; value <= most + 1e-9; value += one) {
    const y = foot - ((foot - top) * value) / most;
    svg.append(make("line", { x1: left, x2: right, y1: y, y2: y, class: value === 0 ? "axis" : "rule" }));
    svg.append(text(left - 6, y + 4, value.toFixed(digits(one)), "end"));
  }
  svg.append(text(0, 12, unit, "start", "soft"));
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
  if (!all.length || !box.clientWidth) return;
  const dated = all.every((one) => one.year !== null);
  const shown = widths(all, (one) => one.width_mm) ?? { values: all.map((one) => one.width_px), unit: "pixels of the photo; no scale yet" };
  const sheet = frame(box, `Ring width, ${dated ? `${all[0].year} to ${all.at(-1).year}` : `ring 1 to ${all.length}`}`);
  const { svg, left, right, top, foot } = sheet;
  const y = scale(sheet, Math.max(...shown.values), `ring width, ${shown.unit}`);
  const pitch = (right - left) / all.length;
  const gap = pitch > 5 ? Math.min(4, pitch * 0.16) : pitch > 2.5 ? 0.4 : 0;
  all.forEach((one, index) => {
    const x = left + pitch * index;
    const doubt = doubtful(one.number);
    const bar = make("rect", { x: x + gap / 2, width: Math.max(0.6, pitch - gap), y: y(shown.values[index]), height: Math.max(0.5, foot - y(shown.values[index])), class: doubt ? "bar doubtful" : "bar" });
    bars.push(bar);
    svg.append(bar);
  });
  remembered(svg, all, { left, pitch, top, foot, right }, dated);
  events(svg, { left, pitch, top });
  places(svg, all, { left, pitch, foot, right, high: sheet.high }, dated);
  const hit = make("rect", { x: left, y: top, width: right - left, height: foot - top, class: "hit" });
  const under = (event) => {
    const outer = svg.getBoundingClientRect();
    const x = ((event.clientX - outer.left) / outer.width) * sheet.wide;
    return Math.min(Math.max(1, Math.floor((x - left) / pitch) + 1), all.length);
  };
  hit.addEventListener("pointermove", (event) => light(under(event)));
  hit.addEventListener("pointerleave", () => light(0));
  hit.addEventListener("click", (event) => {
    const number = under(event);
    choose(number);
    if (dated) document.getElementById("remember-year").value = all[number - 1].year;
  });
  svg.append(hit);
  box.append(svg);
  caption.textContent = `One bar a ring, pith on the left.${shared.view.doubts.length ? " Dashed: rings in doubt." : ""}${(shared.view.stump.reading.events ?? []).length ? " Wedges: growth rose \u25b2 or fell \u25bc and stayed so." : ""}`;
  relit();
}

function places(svg, all, { left, pitch, foot, right, high }, dated) {
  const one = Math.max(1, step(all.length, (right - left) / 58));
  for (const [index, ring] of all.entries()) {
    const x = left + pitch * (index + 0.5);
    const number = dated ? ring.year : ring.number;
    if (number % one === 0) {
      svg.append(make("line", { x1: x, x2: x, y1: foot, y2: foot + 5, class: "axis" }));
      svg.append(text(Math.min(x, right - 12), foot + 28, String(number)));
    }
    if (ring.number % 10 === 0) {
      const count = ring.number % 100 === 0 ? 3 : ring.number % 50 === 0 ? 2 : 1;
      for (let dot = 0; dot < count; dot++) svg.append(make("circle", { cx: x + (dot - (count - 1) / 2) * 5, cy: foot + 11, r: 1.9, class: "dot" }));
    }
  }
  svg.append(text(right, high - 1 + 0, dated ? "year of growth; dots: each 10th ring" : "ring, counted from the pith", "end", "soft"));
}

function events(svg, { left, pitch, top }) {
  for (const event of shared.view.stump.reading.events) {
    const x = left + pitch * event.ring;
    const up = event.kind === "release";
    svg.append(make("path", { d: up ? `M${x - 5} ${top + 2}h10l-5 -9z` : `M${x - 5} ${top - 7}h10l-5 9z`, class: "event" }));
  }
}

/** What is remembered, at its year; names stand clear of each other. */
function remembered(svg, all, { left, pitch, top, foot, right }, dated) {
  if (!dated) return;
  let clear = -Infinity;
  let row = 0;
  for (const known of shared.view.stump.facts.remembered) {
    const index = all.findIndex((one) => one.year === known.year);
    if (index < 0) continue;
    const x = left + pitch * (index + 0.5);
    row = x < clear ? (row + 1) % 3 : 0;
    const y = top + 10 + row * 14;
    svg.append(make("line", { x1: x, x2: x, y1: y - 8, y2: foot, class: "known" }));
    const wide = known.what.length * 6.2;
    const end = x + 4 + wide > right;
    svg.append(text(end ? x - 4 : x + 4, y, known.what, end ? "end" : "start"));
    clear = Math.max(clear, end ? x : x + 8 + wide);
  }
}

// ---- decade by decade

function decades() {
  const box = document.getElementById("decades");
  box.replaceChildren();
  const caption = document.getElementById("decades-words");
  caption.textContent = "";
  const all = shared.view?.stump.reading.decades ?? [];
  if (!all.length || !box.clientWidth) return;
  const dated = all.every((one) => one.from_year !== null);
  const shown = widths(all, (one) => one.mean_width_mm);
  const values = shown ? shown.values : all.map((one) => one.against_trend ?? 0);
  const sheet = frame(box, "Growth by decade");
  const { svg, left, right, foot } = sheet;
  const y = scale(sheet, Math.max(...values), shown ? `mean ring width, ${shown.unit}` : "against this tree\u2019s own trend");
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
  svg.append(text(right, sheet.high - 1, dated ? "decade" : "first ring of ten", "end", "soft"));
  box.append(svg);
  caption.replaceChildren("Darker: faster than this tree\u2019s own age would lead one to expect.");
}

function relit() {
  bars.forEach((bar, index) => bar.classList.toggle("is-lit", index + 1 === shared.lit || index + 1 === shared.chosen));
}

function list() {
  const box = document.getElementById("remembered");
  box.replaceChildren();
  for (const known of shared.view.stump.facts.remembered) {
    const item = document.createElement("li");
    const forget = document.createElement("button");
    forget.type = "button";
    forget.textContent = "Forget";
    forget.setAttribute("aria-label", `Forget ${known.year}, ${known.what}`);
    forget.addEventListener("click", () => act({ do: "remember", year: known.year, what: "" }));
    item.append(`${known.year}: ${known.what}`, forget);
    box.append(item);
  }
}

document.getElementById("remember").addEventListener("submit", async (event) => {
  event.preventDefault();
  const year = Number.parseInt(document.getElementById("remember-year").value, 10);
  const what = document.getElementById("remember-what");
  if (!Number.isInteger(year) || !what.value.trim()) return;
  if (await act({ do: "remember", year, what: what.value })) what.value = "";
});

export function redraw() {
  if (!shared.view) return;
  increments();
  decades();
}

listen((what) => {
  if (what === "stump") { redraw(); list(); }
  if (what === "units") redraw();
  if (what === "lit" || what === "chosen") {
    relit();
    const number = shared.lit || shared.chosen;
    document.getElementById("growth-hint").textContent = number ? words(number) : "";
  }
});
let known = 0;
new ResizeObserver(([entry]) => { const now = Math.round(entry.contentRect.width); if (now !== known) { known = now; redraw(); } }).observe(document.getElementById("increments"));
