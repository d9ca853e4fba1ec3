// What all views share: the stump, its straightened rings, and what is lit.

export const shared = {
  view: null, // as the desk told it last
  straight: null, // see straight.js
  lines: [], // for each ring its courses around the turn, NaN where not seen
  photo: null, // ImageBitmap of the photo
  wood: null, // ImageBitmap of the unrolled stump
  chosen: 0, // number of the ring chosen; 0 is none
  lit: 0, // number of the ring pointed at
  place: null, // place pointed at, in photo pixels
  turn: 0, // where along the turn the chosen ring was pointed at
  units: localStorage.getItem("stumpbook-units") ?? "inch",
};

const hearers = [];
/** Calls `hear(what)` when something changes: "stump", "picture", "chosen", "lit", "units". */
export const listen = (hear) => hearers.push(hear);
export const changed = (what) => hearers.forEach((hear) => hear(what));

export const rings = () => shared.view?.stump.reading.rings ?? [];
export const ring = (number) => rings()[number - 1];
export const doubtful = (number) => shared.view?.doubts.includes(number) ?? false;
export const has = (one, note) => one?.notes.includes(note) ?? false;

export function light(number, place = null) {
  if (shared.lit === number && shared.place === place) return;
  shared.lit = number;
  shared.place = place;
  changed("lit");
}

export function choose(number, turn = null) {
  const last = rings().length;
  shared.chosen = Math.min(Math.max(number, 0), last);
  if (turn !== null) shared.turn = turn;
  changed("chosen");
}

export function setUnits(units) {
  shared.units = units;
  localStorage.setItem("stumpbook-units", units);
  changed("units");
}

/** A length as a person reads it. */
export function long(mm, digits = null) {
  if (mm === null || mm === undefined) return "";
  return shared.units === "inch"
    ? `${(mm / 25.4).toFixed(digits ?? (mm < 254 ? 2 : 1))} in`
    : mm < 100 ? `${mm.toFixed(digits ?? 1)} mm` : `${(mm / 10).toFixed(digits ?? 1)} cm`;
}

/** A ring in a few words. */
export function words(number) {
  const one = ring(number);
  if (!one) return "";
  const parts = [`Ring ${number}`];
  if (one.year !== null) parts.push(`${one.year}`);
  parts.push(one.width_mm === null ? `${one.width_px.toFixed(0)} px wide` : `${long(one.width_mm)} wide`);
  return parts.join(", ");
}

/** What is to be said of a ring's surety. */
export function surety(number) {
  const one = ring(number);
  if (!one) return "";
  if (has(one, "marked")) return "marked by you";
  if (has(one, "at-bark")) return "ends at the bark edge";
  if (has(one, "maybe-two")) return "may be two rings";
  if (has(one, "doubtful")) return `doubtful: ${Math.round(one.confidence * 100)} % sure`;
  return `${Math.min(99, Math.round(one.confidence * 100))} % sure`;
}
