// The person's own marks, each of which can be taken back, and starting over.

import { act } from "./edits.js";
import { listen, state } from "./selection.js";
import { length } from "./words.js";

const box = document.getElementById("marks-list");
const none = document.getElementById("marks-none");
const startOver = document.getElementById("start-over");

/** Where a ring mark is, as a person knows it. */
function ringAt(place) {
  if (!state.geometry) return "";
  const course = state.geometry.locate(place)[1];
  const { courses } = state.geometry.info;
  const number = courses.findIndex((one) => one >= course - 0.5) + 1;
  return number ? ` at ring ${number}` : " outside the last ring";
}

/** All marks in words: kind, place in its list, words. */
function entries(marks) {
  const list = (kind, places, words) => places.map((place, index) => [kind, index, words(place)]);
  return [
    ...(marks.pith ? [["pith", 0, "Pith set"]] : []),
    ...(marks.tape ? [["tape", 0, `Tape of ${length(marks.tape.length_mm)}`]] : []),
    ...list("rings", marks.rings, (mark) => (mark.kind === "boundary" ? `Ring boundary${ringAt(mark.at)}` : `No ring boundary${ringAt(mark.at)}`)),
    ...list("joined", marks.joined, (line) => `Joined lines${ringAt(line[0])}`),
    ...list("bark", marks.bark, () => "Bark edge"),
    ...(marks.strip ? [["strip", 0, marks.strip.by_hand ? `Strip, counted by hand: ${(marks.strip.rings ?? []).length} rings set` : "Strip"]] : []),
    ...list("unreadable", marks.unreadable, () => "Unreadable area"),
  ];
}

function show() {
  const all = entries(state.view.stump.marks);
  none.hidden = all.length > 0;
  startOver.hidden = !all.length;
  box.replaceChildren(...all.map(([mark, index, words]) => {
    const item = document.createElement("li");
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Take back" });
    button.setAttribute("aria-label", `Take back: ${words}`);
    button.addEventListener("click", () => act({ do: "take-back", mark, index }));
    item.append(words, button);
    return item;
  }));
}

startOver.addEventListener("click", () => act({ do: "start-over" }));
listen((what) => { if ((what === "stump" || what === "units") && state.view) show(); });
