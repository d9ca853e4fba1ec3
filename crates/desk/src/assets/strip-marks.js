// Along the marked strip: its places, the rings on it, where a ring snaps to, and
// what a person does there. A place is so far along the strip from its inner end,
// and so far aside of its middle line, in pixels of the photo.

import { act } from "./edits.js";
import { say } from "./message.js";
import { changed, has, state } from "./selection.js";

/** Nearer than this to a ring, in CSS pixels, the cursor is on it. */
const ON_RING_PX = 10;
/** A ring snaps to a peak no farther away than this, in CSS pixels. */
const SNAP_PX = 14;

export const strip = () => state.view?.stump.marks.strip ?? null;
export const info = () => state.view?.strip ?? null;
/** Where rings are set by hand; the entry leaves an empty list out. */
export const places = () => strip()?.rings ?? [];
export const byHand = () => strip()?.by_hand ?? false;

// ---- places

function frame({ from, to }) {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const long = Math.hypot(dx, dy) || 1;
  return { from, cos: dx / long, sin: dy / long };
}

/** How far along and aside a place of the photo is. */
export function locate(place, of = strip()) {
  const { from, cos, sin } = frame(of);
  const [x, y] = [place[0] - from[0], place[1] - from[1]];
  return [x * cos + y * sin, y * cos - x * sin];
}

/** The place of the photo that is so far along and aside. */
export function place(along, aside = 0, of = strip()) {
  const { from, cos, sin } = frame(of);
  return [from[0] + along * cos - aside * sin, from[1] + along * sin + aside * cos];
}

/** Where the pith is, along and aside. */
function pith() {
  const { marks, reading } = state.view.stump;
  const read = reading.pith && [reading.pith.x_px, reading.pith.y_px];
  return locate(marks.pith ?? (byHand() ? strip().from : read ?? strip().from));
}

/** How far along the middle line the ring through a place is: rings are circles here. */
export function onMiddle(along, aside) {
  const [px, py] = pith();
  return px + Math.sqrt(Math.max(0, (along - px) ** 2 + (aside - py) ** 2 - py ** 2));
}

/** How far along a ring is that crosses the middle line at `middle`, so far aside;
 *  NaN where the ring does not reach so far aside. */
export function alongAt(middle, aside) {
  const [px, py] = pith();
  return px + Math.sqrt((middle - px) ** 2 + py ** 2 - (aside - py) ** 2);
}

// ---- rings

/** The rings that count, from the pith: { number, along, year, bark, set }. */
export function rings() {
  if (!strip() || !info()) return [];
  const { reading } = state.view.stump;
  const year = (index) => reading.rings[index]?.year ?? null;
  const bark = (index) => has(reading.rings[index], "at-bark");
  if (!byHand()) {
    return reading.rings.map((one, index) => ({ number: one.number, along: info().proposed[index]?.along_px ?? info().length_px, year: one.year, bark: bark(index), set: null }));
  }
  const set = places().map((at) => ({ at, along: onMiddle(...locate(at)) })).sort((a, b) => a.along - b.along);
  const all = set.map(({ at, along }, index) => ({ number: index + 1, along, year: year(index), bark: bark(index), set: at }));
  // The bark edge ends the last year, whether it was set or not.
  if (reading.rings.length > all.length && bark(all.length)) all.push({ number: all.length + 1, along: info().length_px, year: year(all.length), bark: true, set: null });
  return all;
}

/** The ends of years that the program would set and the person did not, where a person counts. */
export function proposals() {
  if (!byHand()) return [];
  const all = info().proposed;
  const set = rings();
  return all.filter(({ along_px: along }, index) => {
    const gap = Math.min(...[all[index - 1], all[index + 1]].filter(Boolean).map((other) => Math.abs(other.along_px - along)));
    return !set.some((one) => Math.abs(one.along - along) <= Math.max(1, 0.35 * gap));
  });
}

/** The ring nearest to a place along the strip, if it is within `reach`. */
export function ringNear(along, reach) {
  const near = rings().reduce((best, one) => (!best || Math.abs(one.along - along) < Math.abs(best.along - along) ? one : best), null);
  return near && Math.abs(near.along - along) <= reach ? near : null;
}

/** The ring that the cursor is on. `scale`: CSS pixels for one pixel of the photo. */
export const ringAtCursor = (scale) => ringNear(state.cursor, ON_RING_PX / scale);

/** Where a ring set here ends: the likeliest end of latewood close by. */
export function snapped(along, scale) {
  if (!state.snap) return along;
  const reach = SNAP_PX / scale;
  let best = { worth: 0, at: along };
  for (const [at, chance] of info().peaks) {
    const off = Math.abs(at - along);
    const worth = off <= reach ? chance * (1 - (0.6 * off) / reach) : 0;
    if (worth > best.worth) best = { worth, at };
  }
  return best.at;
}

// ---- what a person does

export function moveCursor(along) {
  if (!info()) return;
  state.cursor = Math.min(Math.max(along, 0), info().length_px);
  changed("cursor");
}

/** The next place to look at, outward or inward: a ring, a proposal, or an end of the strip. */
export function nextPlace(outward) {
  const proposed = byHand() && info().proposed.length ? info().proposed.map((one) => one.along_px) : info().peaks.map(([at]) => at);
  const places = [0, info().length_px, ...rings().map((one) => one.along), ...proposed].sort((a, b) => a - b);
  const beyond = 0.6;
  return outward ? places.find((at) => at > state.cursor + beyond) ?? info().length_px : places.findLast((at) => at < state.cursor - beyond) ?? 0;
}

/** Sets a ring; where the program counts, it is a mark on the rings that it follows. */
export function set(along) {
  moveCursor(along);
  if (byHand()) return act({ do: "set-ring", at: place(along) }, { silent: true });
  if (state.geometry) return act({ do: "add", at: place(along) });
  return say("the program counts no rings on this strip: choose \u201cCount it by hand\u201d first", true);
}

/** Takes away the ring at the cursor, or the last one before it. */
export function takeAway(scale) {
  const before = rings().findLast((one) => one.along <= state.cursor && (one.set || !byHand()));
  const at = ringAtCursor(scale);
  const one = at && (at.set || !byHand()) ? at : before;
  if (!one) return say(at ? "the last ring ends at the bark: move the outer end of the strip" : "there is no ring before the cursor");
  if (!byHand()) return act({ do: "remove", ring: one.number });
  moveCursor(one.along);
  return act({ do: "take-ring", at: one.set });
}

/** Moves a ring to where it was dragged. */
export function shift(one, along) {
  moveCursor(along);
  return byHand() ? act({ do: "shift-ring", from: one.set, to: place(along) }, { silent: true }) : act({ do: "move", ring: one.number, to: place(along) });
}

/** Sets everything that is proposed up to the cursor. */
export function accept() {
  if (!byHand()) return say("choose \u201cCount it by hand\u201d first: now the program counts");
  return act({ do: "accept-rings", to: place(state.cursor) });
}

export const countBy = (hand) => act({ do: "count-strip", "by-hand": hand });
export const clear = () => act({ do: "clear-strip" });

// ---- what a person says of the ends

const same = (one, other) => Boolean(one) && Math.hypot(one[0] - other[0], one[1] - other[1]) < 0.5;
export const startsAtPith = () => Boolean(strip()) && same(state.view.stump.marks.pith, strip().from);
const barkMark = () => state.view.stump.marks.bark.findIndex((mark) => same(mark, strip().to));
export const endsAtBark = () => Boolean(strip()) && barkMark() >= 0;

export const sayStart = () => act({ do: "pith", at: startsAtPith() ? null : strip().from });
export function sayEnd() {
  const index = barkMark();
  return act(index >= 0 ? { do: "take-back", mark: "bark", index } : { do: "bark", at: strip().to });
}
