// What is begun and not set yet: a ring to add or to move, or two lines to
// join. The bar below the views names it and has a button for each key, so
// that a thumb can nudge, set and cancel it too.

import { act } from "./edits.js";
import { at } from "./geometry.js";
import { say } from "./message.js";
import { changed, has, listen, ring, state } from "./selection.js";

const bar = document.getElementById("pending");
const wordsBox = document.getElementById("pending-words");
const setButton = document.getElementById("pending-set");

/** `pending`: { kind: "add" | "move" | "join", ring, turn, course, by: "drag" | "touch" | "keys" } */
export function begin(pending) {
  state.pending = pending;
  changed("pending");
}

/** Gives up what is begun; whether there was anything. */
export function cancel() {
  const had = state.pending !== null;
  state.pending = null;
  changed("pending");
  return had;
}

/** Begins where the lines beside it are; the photo may end before. */
function beginAt(pending) {
  if (Number.isNaN(pending.course)) return say("here this ring is not in the photo: click its line where you see it, then try again", true);
  return begin(pending);
}

/** Begins a ring between the one chosen and the next outward. */
export function beginAdd(turn) {
  const next = state.lines[state.chosen];
  if (state.chosen && !next) return say("outside the last line is the bark: move the bark edge out first", true);
  const line = state.lines[state.chosen - 1];
  const low = line ? at(line, turn) : 0;
  return beginAt({ kind: "add", turn, course: (low + at(next ?? state.lines[0], turn)) / 2, by: "keys" });
}

export function beginMove(turn) {
  if (!state.chosen) return say("choose a ring first");
  return beginAt({ kind: "move", ring: state.chosen, turn, course: at(state.lines[state.chosen - 1], turn), by: "keys" });
}

export function beginJoin() {
  if (!state.chosen) return say("choose a ring first");
  if (has(ring(state.chosen), "at-bark")) return say("the bark edge cannot be joined with a ring", true);
  return begin({ kind: "join", ring: state.chosen, turn: state.turn, by: "touch" });
}

/** Joins the ring chosen with the next one outward. */
export function joinNext() {
  if (!state.chosen) return say("choose a ring first");
  const number = state.chosen;
  cancel();
  return act({ do: "join", ring: number, with: number + 1 });
}

/** Joins with the line that was pointed at. */
export function joinWith(number, turn) {
  const first = state.pending;
  cancel();
  const place = (of, there) => state.geometry.place(there, at(state.lines[of - 1], there));
  return act({ do: "join", ring: first.ring, with: number, at: place(first.ring, first.turn), also: place(number, turn) });
}

/** Moves what is begun outward or inward, by a small share of the ring's width. */
export function nudge(outward, far = false) {
  const { pending } = state;
  if (!pending || pending.kind === "join") return;
  const courses = state.geometry.info.courses;
  const next = courses.findIndex((course) => course > pending.course);
  const gap = next > 0 ? courses[next] - courses[next - 1] : courses[0] ?? 10;
  const by = Math.max(0.5, gap / (far ? 3 : 14));
  begin({ ...pending, course: Math.min(Math.max(pending.course + (outward ? by : -by), 0.5), state.geometry.info.top_course) });
}

/** Sets what is begun. */
export function set() {
  const { pending } = state;
  if (!pending) return;
  if (pending.kind === "join") { joinNext(); return; }
  const { kind, turn, course, ring: number } = pending;
  cancel();
  const place = state.geometry.place(turn, course);
  act(kind === "add" ? { do: "add", at: place } : { do: "move", ring: number, to: place }, { near: course });
}

function show() {
  const { pending } = state;
  const shown = pending !== null && pending.by !== "drag";
  bar.hidden = !shown;
  document.getElementById("ring-bar").classList.toggle("is-pending", shown);
  if (!shown) return;
  const { kind } = pending;
  wordsBox.textContent = {
    add: "New ring: the dashed line.",
    move: `Moving ring ${pending.ring}.`,
    join: `Point at the line next to ring ${pending.ring} that is the same ring.`,
  }[kind];
  setButton.textContent = { add: "Add here", move: "Move here", join: "Join with next out" }[kind];
  for (const id of ["pending-out", "pending-in"]) document.getElementById(id).hidden = kind === "join";
}

setButton.addEventListener("click", set);
document.getElementById("pending-cancel").addEventListener("click", cancel);
document.getElementById("pending-out").addEventListener("click", () => nudge(true));
document.getElementById("pending-in").addEventListener("click", () => nudge(false));
listen((what) => { if (what === "pending") show(); });
