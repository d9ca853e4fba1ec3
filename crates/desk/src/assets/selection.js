// What all views share: the stump as the desk sent it, and what is chosen and
// pointed at. There is no second model: marks change only what the desk sends.

export const state = {
  view: null, // the stump as the desk sent it last
  geometry: null, // see geometry.js; null where no rings were read
  lines: [], // for each ring its courses around the turn, NaN where not seen
  photo: null, // ImageBitmap of the photo
  wood: null, // ImageBitmap of the unrolled stump
  quarters: 0, // by how many quarters the photo is shown turned, clockwise
  strip: null, // ImageBitmap of the marked strip, straight
  cursor: 0, // how far along the strip the cursor is, in photo pixels
  snap: true, // whether a ring set on the strip goes to the likeliest place near
  before: null, // { rings, lines } before the last change, to compare
  chosen: 0, // number of the ring chosen; 0 is none
  hovered: 0, // number of the ring pointed at
  place: null, // place pointed at, in photo pixels
  turn: 0.4, // where along the turn the chosen ring was pointed at
  pending: null, // what is begun and not set yet; see pending.js
  hidden: false, // whether the lines are hidden, to see the bare wood
  earlier: false, // whether the lines before the last change are shown
  units: localStorage.getItem("stumpbook-units") ?? "inch",
  sun: localStorage.getItem("stumpbook-sun") === "yes",
};

const listeners = [];
/** Calls `hear(what)` when something changes: "stump", "picture", "chosen", "hovered", "units", "pending", "lines", "cursor", "intensity", "turned". */
export const listen = (hear) => listeners.push(hear);
export const changed = (what) => listeners.forEach((hear) => hear(what));

export const rings = () => state.view?.stump.reading.rings ?? [];
export const ring = (number) => rings()[number - 1];
export const doubtful = (number) => state.view?.doubts.includes(number) ?? false;
export const has = (one, note) => one?.notes.includes(note) ?? false;

/** The rings and lines to draw: those of now, or those before the last change. */
export const drawn = () => (state.earlier && state.before ? state.before : { rings: rings(), lines: state.lines });

export function hover(number, place = null) {
  if (state.hovered === number && state.place === place) return;
  state.hovered = number;
  state.place = place;
  changed("hovered");
}

export function choose(number, turn = null) {
  state.chosen = Math.min(Math.max(number, 0), rings().length);
  if (turn !== null) state.turn = turn;
  changed("chosen");
}

export function setUnits(units) {
  state.units = units;
  localStorage.setItem("stumpbook-units", units);
  changed("units");
}

/** Thicker lines and pure black on white, for a screen in the sun. */
export function setSun(on) {
  state.sun = on;
  localStorage.setItem("stumpbook-sun", on ? "yes" : "no");
  document.body.classList.toggle("sun", on);
  changed("lines");
}
