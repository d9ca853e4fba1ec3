// Marks and facts go to the desk one by one; each comes back read and saved.

import { post, STATUS, stumpPath } from "./api.js";
import { say } from "./message.js";
import { during } from "./progress.js";
import { changed, choose, state } from "./selection.js";

const READING_AGAIN = "Reading the rings again with your mark. Stop takes the mark back.";
const RING_EDITS = ["add", "split", "remove", "join", "keep", "move"];

let showView = async () => {};
let reload = async () => {};
let queue = Promise.resolve();
let running = 0;

/** What to do with a view that the desk sends, and how to load the stump again. */
export function connect(handlers) { ({ showView, reload } = handlers); }

/** Whether an edit of this tab is under way. */
export const busy = () => running > 0;

/** One after the other, so that each names the revision it was made on. */
function inTurn(work) {
  running += 1;
  document.body.setAttribute("aria-busy", "true");
  const next = queue.then(work, work).finally(() => {
    running -= 1;
    if (!running) document.body.removeAttribute("aria-busy");
    document.body.dataset.revision = String(state.view?.revision ?? 0);
  });
  queue = next.catch(() => {});
  return next;
}

/** Does something before any edit that is asked for later. */
export const first = inTurn;

async function send(way, body = {}) {
  const view = await during(state.view.file, READING_AGAIN, () => post(`${stumpPath(state.view.file)}/${way}`, { revision: state.view.revision, ...body }));
  await showView(view, { saved: true });
  return view;
}

/** Makes one edit; true when it is done and saved, else the error. `quiet` says no
 *  error, `silent` not what was done. */
export function act(edit, { quiet = false, silent = false, near = null } = {}) {
  return inTurn(async () => {
    try {
      const before = state.view.stump.reading.rings.length;
      const chosen = state.chosen;
      const view = await send("edit", { edit });
      follow(edit, chosen, before, near);
      if (!silent) report(view, edit, before);
      return true;
    } catch (error) {
      if (error.status === STATUS.changedElsewhere) await reload();
      if (error.status === STATUS.stopped) changed("stump");
      if (!quiet || [STATUS.stopped, STATUS.changedElsewhere].includes(error.status)) say(error.text ?? String(error), true);
      return error;
    }
  });
}

/** Says what was done, and what else changed by it. */
function report(view, edit, before) {
  const expected = { add: 1, split: 1, remove: -1, join: -1 }[edit.do] ?? 0;
  const now = view.stump.reading.rings.length;
  const more = RING_EDITS.includes(edit.do) && now - before !== expected ? `; the rings around it were read again, ${now} in all` : "";
  say(`${view.done ?? "done"}${more}`);
}

/** After an edit the ring in question stays chosen. */
function follow(edit, chosen, before, near) {
  const now = state.view.stump.reading.rings.length;
  if ((edit.do === "add" || edit.do === "move") && near !== null) {
    const courses = state.geometry?.info.courses ?? [];
    let best = 0;
    courses.forEach((course, index) => { if (!best || Math.abs(course - near) < Math.abs(courses[best - 1] - near)) best = index + 1; });
    choose(best);
  } else if (chosen > now || now !== before) choose(Math.min(chosen, now));
}

function step(way) {
  return inTurn(async () => {
    try {
      const view = await send(way);
      choose(state.chosen);
      say(view.done ?? "done");
    } catch (error) {
      if (error.status === STATUS.changedElsewhere) await reload();
      say(error.text ?? String(error), true);
    }
  });
}
export const undo = () => step("undo");
export const redo = () => step("redo");

/** Keeps, removes or splits the ring chosen. */
export function judge(what) {
  if (!state.chosen) return say("choose a ring first, or go to a doubtful one");
  return act({ do: what, ring: state.chosen });
}
