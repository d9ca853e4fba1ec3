// Marks go to the desk one by one; each comes back read, and saved.

import { post } from "./ask.js";
import { during } from "./waiting.js";
import { changed, choose, has, listen, ring, shared, surety, words } from "./lit.js";

let showView = async () => {};
let heardFor = 0;
let queue = Promise.resolve();

/** What to do with a view that the desk sends. */
export const onView = (show) => { showView = show; };

/** Says something for a while; a fault stays longer. */
export function say(text, bad = false) {
  const box = document.getElementById("heard");
  box.textContent = text;
  box.classList.toggle("bad", bad);
  box.classList.add("shown");
  clearTimeout(heardFor);
  heardFor = setTimeout(() => box.classList.remove("shown"), bad ? 9000 : 3200);
}

const ANEW = "The face is read anew. What you marked is saved.";
/** How the desk answers when a reading was stopped. */
export const STOPPED = 410;

const path = () => `/stumps/${encodeURIComponent(shared.view.file)}`;

/** One after the other, so that each knows the revision it is made on. */
function inTurn(work) {
  const next = queue.then(work, work);
  queue = next.catch(() => {});
  return next;
}

/** Does one thing; true when it is done and saved, else the fault. */
export function act(edit, { quiet = false, near = null } = {}) {
  return inTurn(async () => {
    document.body.setAttribute("aria-busy", "true");
    try {
      const before = shared.view.stump.reading.rings.length;
      const view = await during(shared.view.file, ANEW, () => post(`${path()}/edit`, { revision: shared.view.revision, edit }));
      const chosen = shared.chosen;
      await showView(view);
      follow(edit, chosen, before, near);
      tell(view, edit, before);
      return true;
    } catch (fault) {
      if (fault.status === 409) await again();
      if (fault.status === STOPPED) changed("stump");
      if (!quiet || fault.status === STOPPED || fault.status === 409) say(`${fault.message}. To do: ${fault.advice}.`, true);
      return fault;
    } finally {
      document.body.removeAttribute("aria-busy");
      document.body.dataset.revision = String(shared.view?.revision ?? 0);
    }
  });
}

/** Says what was done, and what else changed by it. */
function tell(view, edit, before) {
  const wanted = { add: 1, split: 1, remove: -1, join: -1 }[edit.do] ?? 0;
  const now = view.stump.reading.rings.length;
  const ringEdit = ["add", "split", "remove", "join", "keep", "move"].includes(edit.do);
  const more = ringEdit && now - before !== wanted ? `; the rings around it were weighed anew, ${now} in all` : "";
  say(`${view.done ?? "done"}${more}`);
}

/** After a mark the ring in question stays chosen. */
function follow(edit, chosen, before, near) {
  const now = shared.view.stump.reading.rings.length;
  if ((edit.do === "add" || edit.do === "move") && near !== null) {
    const courses = shared.straight?.told.courses ?? [];
    let best = 0;
    courses.forEach((course, index) => { if (!best || Math.abs(course - near) < Math.abs(courses[best - 1] - near)) best = index + 1; });
    choose(best);
  } else if (edit.do === "remove") choose(Math.min(chosen, now));
  else if (chosen > now || now !== before) choose(Math.min(chosen, now));
}

async function turned(way) {
  return inTurn(async () => {
    try {
      const view = await during(shared.view.file, ANEW, () => post(`${path()}/${way}`, { revision: shared.view.revision }));
      await showView(view);
      choose(Math.min(shared.chosen, view.stump.reading.rings.length));
      say(view.done ?? "done");
    } catch (fault) {
      if (fault.status === 409) await again();
      say(`${fault.message}. To do: ${fault.advice}.`, true);
    }
  });
}
export const undo = () => turned("undo");
export const redo = () => turned("redo");

let reload = async () => {};
/** How to load the stump again. */
export const onAgain = (load) => { reload = load; };
const again = () => reload();

/** The ring chosen in words, and which of its buttons can be pressed. */
function tellRing() {
  const box = document.getElementById("ring-words");
  const doubts = shared.view?.doubts ?? [];
  const number = shared.chosen;
  const one = ring(number);
  box.replaceChildren();
  if (one) {
    const strong = document.createElement("b");
    strong.textContent = words(number);
    const how = document.createElement("span");
    const nth = doubts.indexOf(number);
    how.textContent = surety(number) + (nth >= 0 ? ` (${nth + 1} of ${doubts.length} in doubt)` : "");
    if (nth >= 0) how.className = "doubt";
    box.append(strong, ", ", how);
  } else {
    box.textContent = doubts.length ? `${doubts.length} ${doubts.length === 1 ? "ring is" : "rings are"} in doubt. Walk through them, or choose a ring.` : "No ring is in doubt. Choose one to look at it.";
  }
  const next = document.getElementById("next-doubt");
  next.disabled = !doubts.length;
  document.getElementById("next-words").textContent = doubts.length ? "Next doubt" : "No doubt left";
  const bark = has(one, "at-bark");
  document.getElementById("keep").disabled = !one || bark || has(one, "marked");
  document.getElementById("remove").disabled = !one || bark;
  document.getElementById("split").disabled = !one;
  document.getElementById("add").disabled = !shared.straight || bark;
  document.getElementById("join").disabled = !one || bark;
}

listen((what) => {
  if (what === "chosen" || what === "stump" || what === "units") tellRing();
});

/** Keep, remove or split the ring chosen. */
export function judge(what) {
  if (!shared.chosen) return say("choose a ring first, or walk to a doubtful one");
  return act({ do: what, ring: shared.chosen });
}
export { changed };
