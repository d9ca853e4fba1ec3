// The page begins here: the key, the folder or a stump, and the keys.

import { Fault, bytes, enter, json, leave, picture } from "./ask.js";
import * as facts from "./facts.js";
import * as folder from "./folder.js";
import * as growth from "./growth.js";
import { changed, choose, listen, shared } from "./lit.js";
import { judge, onAgain, onView, redo, say, STOPPED, undo } from "./marking.js";
import * as photo from "./photo.js";
import { Straight } from "./straight.js";
import * as unrolled from "./unrolled.js";
import { during, stop } from "./waiting.js";

const at = (id) => document.getElementById(id);
const TAB = crypto.getRandomValues(new Uint32Array(2)).join("-");
const EVERY_MS = 2000;
let level = null;
let told = { others: 0 };

// ---- one stump

/** Shows a view as the desk told it; pictures are fetched only when they changed. */
async function show(view) {
  const other = shared.view?.file !== view.file;
  const fresh = view.straight && (other || level !== view.straight.level);
  let straight = shared.straight;
  if (!view.straight) {
    straight = null;
    level = null;
  } else if (fresh) {
    const name = encodeURIComponent(view.file);
    const [field, wood] = await Promise.all([bytes(`/stumps/${name}/field`), picture(`/stumps/${name}/unrolled`)]);
    straight = new Straight(view.straight, field, pithOf(view));
    const laid = await createImageBitmap(wood);
    shared.wood?.close();
    shared.wood = laid;
    level = view.straight.level;
  } else straight.told = view.straight;
  // All at once, or a redraw in between would see rings without lines.
  shared.lines = straight ? view.stump.reading.rings.map((one) => straight.line(one.outline_px)) : [];
  shared.straight = straight;
  shared.view = view;
  head(view);
  changed("stump");
  if (fresh) unrolled.fit();
  document.body.dataset.revision = String(view.revision);
}

const pithOf = (view) => [view.stump.reading.pith.x_px, view.stump.reading.pith.y_px];

function head(view) {
  const { reading } = view.stump;
  const name = view.file.replace(/\.[^.]+$/, "");
  at("title").textContent = name;
  document.title = `${name} \u00b7 Stumpbook`;
  at("figures").hidden = false;
  at("steps").hidden = false;
  const { count, age } = reading;
  at("count-best").textContent = count ? String(count.best) : "\u2013";
  at("count-words").textContent = count ? `rings${count.low === count.high ? "" : `, ${count.low} to ${count.high}`}` : "no rings read";
  at("age-best").textContent = age ? String(age.best) : "\u2013";
  at("age-words").textContent = age ? `years old${age.low === age.high ? "" : `, ${age.low} to ${age.high}`}` : "no age told";
  at("undo").disabled = !view.undo;
  at("redo").disabled = !view.redo;
  at("undo").title = view.undo ? `Undo: ${view.undo}` : "";
  at("redo").title = view.redo ? `Do again: ${view.redo}` : "";
  at("saved").textContent = `Saved ${new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit", hour12: false })}`;
}

async function openStump(file) {
  at("folder").hidden = true;
  at("stump").hidden = true;
  notice("");
  shared.view = null;
  shared.photo?.close();
  shared.photo = null;
  shared.wood?.close();
  shared.wood = null;
  shared.straight = null;
  shared.lines = [];
  level = null;
  shared.chosen = 0;
  try {
    await facts.build();
    const view = await during(file, `The rings of ${file} are being read.`, () => json(`/stumps/${encodeURIComponent(file)}`));
    at("stump").hidden = false;
    await show(view);
    notice("");
    choose(0);
    photo.use("look");
    shared.photo = await createImageBitmap(await picture(`/stumps/${encodeURIComponent(file)}/photo`));
    photo.fitFace();
    changed("picture");
    document.body.dataset.shown = file;
    watch();
  } catch (fault) {
    at("title").textContent = file;
    if (fault.status === 401) { closed(); return; }
    if (fault.status === STOPPED) { location.hash = ""; say("the reading was stopped; the photo is kept, not read yet"); return; }
    notice(`${fault.message}. To do: ${fault.advice ?? "load the page again"}.`);
  }
}

onView(show);
onAgain(async () => { if (shared.view) await show(await json(`/stumps/${encodeURIComponent(shared.view.file)}`)); });

/** Asks whether the stump was changed elsewhere, and who else looks at it. */
async function watch() {
  if (!shared.view || document.hidden) return;
  const { file, revision } = shared.view;
  try {
    const seen = await json(`/stumps/${encodeURIComponent(file)}/watch?tab=${TAB}`);
    if (shared.view?.file !== file) return;
    if (seen.revision > shared.view.revision && seen.revision > revision) {
      await show(await json(`/stumps/${encodeURIComponent(file)}`));
      say("changed in another tab or window; this is how it stands now");
    }
    if (seen.others !== told.others) {
      told.others = seen.others;
      notice(seen.others ? "This stump is open in another tab or window too. What is marked there shows here; a mark made at the same moment is told, not lost in silence." : "");
    }
  } catch (fault) {
    if (fault instanceof Fault && fault.status === 0) notice("The desk does not answer: the program in the terminal has ended. What was shown as saved is saved.");
  }
}
setInterval(watch, EVERY_MS);
document.addEventListener("visibilitychange", watch);
addEventListener("pagehide", () => { if (shared.view) leave(`/stumps/${encodeURIComponent(shared.view.file)}/watch?tab=${TAB}`); });

function notice(words) {
  at("notice").textContent = words;
  at("notice").hidden = !words;
}

// ---- the folder

async function openFolder() {
  if (shared.view) leave(`/stumps/${encodeURIComponent(shared.view.file)}/watch?tab=${TAB}`);
  shared.view = null;
  told.others = 0;
  at("stump").hidden = true;
  at("figures").hidden = true;
  at("steps").hidden = true;
  at("title").textContent = "The desk";
  document.title = "Stumpbook";
  notice("");
  at("folder").hidden = false;
  delete document.body.dataset.shown;
  try {
    await folder.show();
    document.body.dataset.shown = "folder";
  } catch (fault) {
    if (fault.status === 401) closed(); else notice(`${fault.message}. To do: ${fault.advice}.`);
  }
}

function closed() {
  at("folder").hidden = true;
  at("stump").hidden = true;
  notice("");
  at("closed").hidden = false;
}

// ---- narrow screens show one view at a time

const tabs = [...document.querySelectorAll("[role=tab]")];
const narrow = matchMedia("(max-width: 760px)");
function tab(name) {
  for (const one of tabs) {
    const on = one.id === `tab-${name}`;
    one.setAttribute("aria-selected", String(on));
    one.tabIndex = on ? 0 : -1;
    const view = at(one.getAttribute("aria-controls"));
    view.classList.toggle("chosen", on);
    if (narrow.matches) { view.setAttribute("role", "tabpanel"); view.setAttribute("aria-labelledby", one.id); }
  }
  growth.redraw();
}
tabs.forEach((one, index) => {
  one.addEventListener("click", () => tab(one.id.slice(4)));
  one.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!by) return;
    const next = tabs[(index + by + tabs.length) % tabs.length];
    next.focus();
    tab(next.id.slice(4));
  });
});
tab("unrolled");

// ---- keys

const KEYS = {
  n: () => unrolled.walk(true), p: () => unrolled.walk(false),
  k: () => judge("keep"), x: () => judge("remove"), delete: () => judge("remove"), s: () => judge("split"),
  a: () => unrolled.beginAdd(), m: () => unrolled.beginMove(), j: () => unrolled.beginJoin(true),
  "?": () => at("keys-list").showModal(),
};
addEventListener("keydown", (event) => {
  if (event.key === "Escape" && !shared.view) { stop(); return; }
  if (!shared.view || event.isComposing) return;
  const typing = event.target.closest?.("input, textarea, select, dialog");
  const name = event.key.toLowerCase();
  if ((event.ctrlKey || event.metaKey) && !typing) {
    if (name === "z" && !event.shiftKey) { event.preventDefault(); undo(); }
    else if (name === "y" || (name === "z" && event.shiftKey)) { event.preventDefault(); redo(); }
    return;
  }
  if (event.key === "Escape" && !event.target.closest?.("dialog")) { if (!stop() && !unrolled.cancel()) photo.cancel(); return; }
  if (typing || event.altKey || event.ctrlKey || event.metaKey) return;
  const does = KEYS[name];
  if (!does) return;
  event.preventDefault();
  does();
  if (["n", "p", "a", "m"].includes(name)) at("unrolled-canvas").focus({ preventScroll: true });
});
at("undo").addEventListener("click", undo);
at("redo").addEventListener("click", redo);
at("keys").addEventListener("click", () => at("keys-list").showModal());
at("next-doubt").addEventListener("click", () => unrolled.walk(true));
for (const what of ["keep", "remove", "split"]) at(what).addEventListener("click", () => judge(what));
at("add").addEventListener("click", () => { unrolled.beginAdd(); at("unrolled-canvas").focus(); });
at("join").addEventListener("click", () => unrolled.beginJoin(false));
listen((what) => { if (what === "lit") document.body.dataset.lit = String(shared.lit); });

// ---- where to begin

async function route() {
  const asked = new URLSearchParams(location.hash.slice(1));
  const printed = asked.get("key");
  if (printed) {
    // The key leaves the address at once: nobody finds it in the history.
    asked.delete("key");
    history.replaceState(null, "", asked.size ? `#${asked}` : location.pathname);
    await enter(printed);
  }
  at("closed").hidden = true;
  const file = asked.get("stump");
  if (file) await openStump(file); else await openFolder();
  const ring = Number(asked.get("ring"));
  if (file && ring > 0 && shared.view) unrolled.show(ring);
}
addEventListener("hashchange", route);
at("home").addEventListener("click", (event) => { event.preventDefault(); if (location.hash) location.hash = ""; else route(); });
route();
