// Beside the strip: who counts, what its ends are, how many rings there are so far,
// and buttons for everything that a key does.

import { changed, has, listen, state } from "./selection.js";
import * as panes from "./panes.js";
import * as strip from "./strip.js";
import * as marks from "./strip-marks.js";

const at = (id) => document.getElementById(id);
const who = [...document.querySelectorAll("[data-counts]")];

/** "" without a strip, else who counts: "program" or "hand". */
const counting = () => (marks.strip() ? (marks.byHand() ? "hand" : "program") : "");

function arrange() {
  const before = document.body.dataset.counting ?? "";
  const now = counting();
  document.body.dataset.counting = now;
  at("tab-strip").hidden = !now;
  at("tab-unrolled").hidden = Boolean(now);
  // A strip that is new is shown at once; without one the stump unrolled is.
  const tab = document.body.dataset.tab;
  if (now && !before && tab !== "facts" && tab !== "growth") panes.tab("strip");
  else if (!now && tab === "strip") panes.tab("unrolled");
  else if (now && tab === "unrolled") panes.tab("strip");
  // The strip and the stump unrolled take each other's place, large or not.
  const large = document.body.dataset.large;
  if ((now && large === "unrolled") || (!now && large === "strip")) panes.large(now ? "strip" : "unrolled");
  for (const button of who) {
    const on = button.dataset.counts === now;
    button.setAttribute("aria-checked", String(on));
    button.tabIndex = on ? 0 : -1;
  }
  const proposed = marks.info()?.proposed.length ?? 0;
  at("strip-accept").disabled = !proposed;
  pressed("strip-pith", marks.startsAtPith());
  pressed("strip-bark", marks.endsAtBark());
  pressed("strip-snap", state.snap);
}

const pressed = (id, on) => at(id).setAttribute("aria-pressed", String(on));

/** The count so far, in words that are always in sight. */
export function soFar() {
  const { reading } = state.view.stump;
  const set = marks.places().length;
  if (!reading.count) {
    return marks.byHand()
      ? ["No ring is set yet.", "Point at the end of each ring, from the pith to the bark, and click, tap or press Enter."]
      : ["The program counts no rings on this strip.", "Count it by hand, or move its ends."];
  }
  const { best, low, high } = reading.count;
  const years = reading.rings.map((one) => one.year).filter((year) => year !== null);
  const span = years.length ? `, ${years[0]} to ${years.at(-1)}` : "";
  const toBark = reading.scope === "rings-in-view" ? "; not yet to the bark" : "";
  const added = marks.byHand() && best > set && has(reading.rings.at(-1), "at-bark") ? "; the last ends at the bark" : "";
  return [`${best} rings (${low} to ${high})${span}`, `, ${state.view.counted_along}${toBark}${added}.`];
}

function describe() {
  const box = at("ring-words");
  const [count, how] = soFar();
  const on = marks.ringAtCursor(strip.pixelsPerPixel());
  const here = on ? ` Cursor on ring ${on.number}${on.year === null ? "" : `, ${on.year}`}.` : "";
  box.replaceChildren(Object.assign(document.createElement("b"), { textContent: count }), how.startsWith(",") ? how : ` ${how}`, here);
  at("strip-take").disabled = !marks.rings().length;
}

who.forEach((button, index) => {
  button.addEventListener("click", () => { if (button.getAttribute("aria-checked") !== "true") marks.countBy(button.dataset.counts === "hand"); });
  button.addEventListener("keydown", (event) => {
    if (!["ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown"].includes(event.key)) return;
    event.preventDefault();
    const other = who[1 - index];
    other.focus();
    other.click();
  });
});

const click = (id, does) => at(id).addEventListener("click", does);
click("strip-set", () => strip.setHere());
click("strip-take", () => strip.takeHere());
click("strip-accept", () => marks.accept());
click("strip-left", () => strip.fine(false));
click("strip-right", () => strip.fine(true));
click("strip-back", () => strip.onward(false));
click("strip-on", () => strip.onward(true));
click("strip-pith", () => marks.sayStart());
click("strip-bark", () => marks.sayEnd());
click("strip-clear", () => marks.clear());
click("strip-snap", () => { state.snap = !state.snap; pressed("strip-snap", state.snap); changed("cursor"); });

listen((what) => {
  if (!state.view) return;
  if (what === "stump") arrange();
  if (marks.strip() && ["stump", "cursor", "chosen"].includes(what)) describe();
});
