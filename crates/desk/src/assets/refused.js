// A photo on which no rings were read: why, and the two ways on.

import { listen, state } from "./selection.js";
import * as panes from "./panes.js";
import { drawForHand } from "./strip-tool.js";

const box = document.getElementById("refused");
const why = document.getElementById("refused-why");
const again = document.getElementById("refused-again");

/** A sentence from a clause. */
const sentence = (words) => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;

document.getElementById("count-by-hand").addEventListener("click", () => {
  panes.tab("photo");
  drawForHand();
  document.getElementById("photo-canvas").focus({ preventScroll: true });
});

listen((what) => {
  if (what !== "stump") return;
  // Once a strip is drawn, the way on is chosen.
  const refusal = state.view?.strip ? null : state.view?.stump.reading.refusal;
  box.hidden = !refusal;
  if (!refusal) return;
  why.textContent = sentence(refusal.detail);
  again.textContent = sentence(refusal.advice);
  // Where the advice speaks of a strip it is not said twice.
  document.getElementById("refused-dress").hidden = refusal.advice.includes("strip");
});
