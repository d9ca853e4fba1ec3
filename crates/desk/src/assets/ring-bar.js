// The ring chosen, in words, and what can be done with it.

import { judge } from "./edits.js";
import { doubtful, has, listen, ring, state } from "./selection.js";
import { certainty, notYet, ringWords } from "./words.js";

const at = (id) => document.getElementById(id);

function describe() {
  const box = at("ring-words");
  const doubts = state.view?.doubts ?? [];
  const number = state.chosen;
  const one = ring(number);
  box.replaceChildren();
  if (one) {
    const strong = document.createElement("b");
    strong.textContent = ringWords(number);
    const how = document.createElement("span");
    const nth = doubts.indexOf(number);
    how.textContent = certainty(number) + (nth >= 0 ? ` (${nth + 1} of ${doubts.length} in doubt)` : "");
    if (nth >= 0) how.className = "doubt";
    box.append(strong, ", ", how);
  } else if (!state.geometry) box.textContent = notYet() ?? "No rings were read on this photo.";
  else if (doubts.length) box.textContent = `${doubts.length} ${doubts.length === 1 ? "ring is" : "rings are"} in doubt. Go through them, or choose a ring.`;
  else box.textContent = "No ring is in doubt. Choose a ring to see it.";
}

function enable() {
  const doubts = state.view?.doubts ?? [];
  const one = ring(state.chosen);
  const bark = has(one, "at-bark");
  at("next-doubt").disabled = !doubts.length || notYet() !== null;
  at("next-words").textContent = doubts.length || !state.geometry ? "Next doubt" : "No doubt left";
  at("keep").disabled = !one || bark || (has(one, "marked") && !doubtful(state.chosen));
  at("remove").disabled = !one || bark;
  at("split").disabled = !one;
  at("add").disabled = !state.geometry || bark;
  at("move").disabled = !one;
  at("join").disabled = !one || bark;
}

for (const what of ["keep", "remove", "split"]) at(what).addEventListener("click", () => judge(what));
listen((what) => {
  if (what !== "chosen" && what !== "stump" && what !== "units") return;
  // Where a person counts along a strip, strip-bar.js says how far they are.
  if (!state.view?.stump.marks.strip?.by_hand) describe();
  enable();
});
