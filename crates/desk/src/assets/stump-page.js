// One stump: loading it, showing what the desk sends, and noticing changes
// that other tabs and programs make.

import { ApiError, STATUS, bytes, json, leave, picture, post, stumpPath } from "./api.js";
import * as edits from "./edits.js";
import * as facts from "./facts.js";
import { Geometry } from "./geometry.js";
import { say, setNotice } from "./message.js";
import * as photo from "./photo.js";
import { during } from "./progress.js";
import { changed, choose, rings, state } from "./selection.js";
import { give, prepare } from "./smaller.js";
import * as tools from "./tools.js";
import * as unrolled from "./unrolled.js";
import { stem } from "./words.js";

const at = (id) => document.getElementById(id);
const TAB = crypto.getRandomValues(new Uint32Array(2)).join("-");
const WATCH_EVERY_MS = 2000;
/** A photo of more pixels than this is shown as a small copy first. */
const LARGE_PX = 3e6;
let version = null;
let others = 0;

/** Shows a view as the desk sent it; pictures are fetched only when they changed. */
async function show(view, { saved = false } = {}) {
  const other = state.view?.file !== view.file;
  const fresh = view.unrolled && (other || version !== view.unrolled.version);
  let geometry = state.geometry;
  if (!view.unrolled) {
    geometry = null;
    version = null;
  } else if (fresh) {
    const [numbers, wood] = await Promise.all([bytes(`${stumpPath(view.file)}/field`), picture(`${stumpPath(view.file)}/unrolled`)]);
    const { pith } = view.stump.reading;
    geometry = new Geometry(view.unrolled, numbers, [pith.x_px, pith.y_px]);
    const bitmap = await createImageBitmap(wood);
    give(state.wood);
    state.wood = bitmap;
    prepare(bitmap);
    version = view.unrolled.version;
  } else geometry.info = view.unrolled;
  await showStrip(view, other);
  // Lines before the last change can be compared only while the picture is the same.
  state.before = other || fresh ? null : { rings: rings(), lines: state.lines };
  // All at once, or a redraw in between would see rings without lines.
  state.lines = geometry ? view.stump.reading.rings.map((one) => geometry.line(one.outline_px)) : [];
  state.geometry = geometry;
  state.view = view;
  head(view, saved);
  changed("stump");
  if (other) unrolled.fit(); else if (fresh) unrolled.refresh();
  document.body.dataset.revision = String(view.revision);
}

let shownStrip = "";

/** Fetches the picture of the strip where that is another one. */
async function showStrip(view, other) {
  const { strip } = view.stump.marks;
  const wanted = strip ? JSON.stringify([strip.from, strip.to, strip.width_px]) : "";
  if (!other && wanted === shownStrip) return;
  const bitmap = strip ? await createImageBitmap(await picture(`${stumpPath(view.file)}/strip`)) : null;
  state.strip?.close();
  state.strip = bitmap;
  shownStrip = wanted;
}

function head(view, saved) {
  const name = stem(view.file);
  at("title").textContent = name;
  document.title = `${name} \u00b7 Stumpbook`;
  for (const id of ["figures", "steps", "way"]) at(id).hidden = false;
  const { count, age } = view.stump.reading;
  const range = (one) => (one.low === one.high ? "" : `, ${one.low} to ${one.high}`);
  at("count-best").textContent = count ? String(count.best) : "\u2013";
  at("count-words").textContent = count ? `rings${range(count)}` : view.stump.marks.strip?.by_hand ? "no ring set yet" : "no rings read";
  at("count-how").textContent = view.counted_along ?? "";
  at("count-how").hidden = !view.counted_along;
  at("age-best").textContent = age ? String(age.best) : "\u2013";
  at("age-words").textContent = age ? `years old${range(age)}` : "no age";
  for (const [id, label, step] of [["undo", "Undo", view.undo], ["redo", "Redo", view.redo]]) {
    at(id).disabled = !step;
    at(id).title = step ? `${label}: ${step}` : "";
  }
  if (saved) at("saved").textContent = `Saved ${new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit", hour12: false })}`;
  neighbors(view.neighbors);
}

/** The ways to the photos before and after this one in the folder. */
function neighbors({ previous, next, number, of }) {
  for (const [id, file] of [["previous", previous], ["next", next]]) {
    const link = at(id);
    link.hidden = !file;
    if (!file) continue;
    link.href = `#stump=${encodeURIComponent(file)}`;
    link.title = stem(file);
  }
  at("way-words").textContent = of > 1 ? `${number} of ${of}` : "";
}

function forget() {
  if (state.view) leave(`${stumpPath(state.view.file)}/watch?tab=${TAB}`);
  give(state.photo);
  give(state.wood);
  state.strip?.close();
  shownStrip = "";
  Object.assign(state, { view: null, photo: null, wood: null, strip: null, cursor: 0, geometry: null, before: null, lines: [], chosen: 0, hovered: 0, place: null, turn: 0.4, pending: null, hidden: false, earlier: false });
  changed("pending");
  version = null;
  others = 0;
  at("saved").textContent = "";
  delete document.body.dataset.shown;
}

/** Leaves the stump that is shown. */
export function close() {
  forget();
  for (const id of ["stump", "figures", "steps", "way"]) at(id).hidden = true;
}

/** Opens a photo's stump; an error is thrown where only the caller knows the way on. */
export async function open(file) {
  close();
  setNotice("");
  at("title").textContent = stem(file);
  try {
    await facts.build();
    await opened(file, await during(file, `Reading the rings of ${file}.`, () => json(`${stumpPath(file)}/saved`)));
  } catch (error) {
    if (error.status === STATUS.noKey) throw error;
    if (error.status === STATUS.stopped) { location.hash = ""; say("the reading was stopped; the photo is still there, not read yet"); return; }
    document.body.dataset.shown = "error";
    if (error.status === STATUS.otherPhoto) askForEntry(file, error); else setNotice(error.text ?? String(error));
  }
}

async function opened(file, view) {
  at("stump").hidden = false;
  await show(view);
  setNotice("");
  choose(0);
  tools.use("look");
  const large = view.size_px[0] * view.size_px[1] > LARGE_PX;
  await showPhoto(file, large ? "?small" : "");
  if (state.view?.file !== file) return;
  photo.fitFace();
  document.body.dataset.shown = file;
  watch();
  completing = view.complete ? Promise.resolve() : edits.first(() => complete(file));
  if (large) showPhoto(file, "").catch((error) => say(error.text ?? String(error), true));
}

/** Shows the photo, or a small copy of it. */
async function showPhoto(file, which) {
  const bitmap = await createImageBitmap(await picture(`${stumpPath(file)}/photo${which}`));
  if (state.view?.file !== file) { bitmap.close(); return; }
  give(state.photo);
  state.photo = bitmap;
  changed("picture");
  prepare(bitmap).then(() => changed("picture"));
}

/** A saved stump is shown at once, and unrolled after that. */
async function complete(file) {
  try {
    const view = await during(file, "Unrolling the stump. Its rings can be marked then.", () => json(stumpPath(file)));
    if (state.view?.file !== file) return;
    const same = view.revision === state.view.revision;
    await show(view);
    choose(state.chosen);
    if (!same) say("this version of the program has read the photo again");
  } catch (error) {
    if (state.view?.file === file) say(error.status === STATUS.stopped ? "the stump was not unrolled; open it again to mark its rings" : error.text ?? String(error), true);
  }
}

let completing = Promise.resolve();
/** When the stump that was opened last can be marked. */
export const completed = () => completing;

/** The entry beside the photo was made for another photo: what now is the person's choice. */
function askForEntry(file, error) {
  const start = (from) => async () => {
    try {
      setNotice("");
      await opened(file, await during(file, `Reading the rings of ${file}.`, () => post(`${stumpPath(file)}/start-entry`, { from })));
    } catch (failed) { setNotice(failed.text ?? String(failed)); }
  };
  setNotice(`${error.message}. The old entry stays in the folder under another name, whatever you choose.`, [
    ["Another tree: start a new entry", start("nothing")],
    ["Same tree: keep its facts only", start("facts")],
  ]);
}

async function reload() {
  if (state.view) await show(await json(stumpPath(state.view.file)));
}
edits.connect({ showView: show, reload });

/** Asks whether the stump was changed elsewhere, and who else has it open. */
async function watch() {
  if (!state.view || document.hidden || edits.busy()) return;
  const { file, revision } = state.view;
  try {
    const seen = await json(`${stumpPath(file)}/watch?tab=${TAB}`);
    // A mark of this tab that began meanwhile answers for itself.
    if (state.view?.file !== file || edits.busy()) return;
    if (seen.photo_changed) {
      await open(file);
      say("the photo's file was replaced; this is the new one");
      return;
    }
    if (seen.revision > state.view.revision && state.view.revision === revision) {
      await reload();
      say("changed in another tab or by another program; this is how it is now");
    }
    if (seen.others !== others) {
      others = seen.others;
      setNotice(others ? "This stump is open in another tab or window too. What is marked there appears here. If both mark at the same moment, the later one is asked to look first." : "");
    }
  } catch (error) {
    if (!(error instanceof ApiError)) throw error;
    const words = {
      0: "The desk does not answer: the program in the terminal has ended. What was shown as saved is saved.",
      [STATUS.noKey]: "The program was started again and does not know this browser. Open the newest address that the terminal shows.",
      [STATUS.notFound]: `${file} is no longer in the folder. What you entered is still in its .stump.json file there.`,
    }[error.status];
    if (words) { setNotice(words); others = -1; }
  }
}
setInterval(watch, WATCH_EVERY_MS);
document.addEventListener("visibilitychange", watch);
addEventListener("pagehide", () => { if (state.view) leave(`${stumpPath(state.view.file)}/watch?tab=${TAB}`); });
