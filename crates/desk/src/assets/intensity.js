// The radial intensity profile beside the unrolled stump: how light the wood is at each
// height of that picture, with the ring boundaries on it. Here it is fetched, shown and
// hidden; intensity-drawing.js draws it.

import { json, stumpPath } from "./api.js";
import { busy } from "./edits.js";
import { draw as drawProfile } from "./intensity-drawing.js";
import { say } from "./message.js";
import { changed, listen, rings, state } from "./selection.js";

const STORED = "stumpbook-profile";
/** How long no mark is made before the curve is fetched again, in milliseconds. */
const QUIET_MS = 300;

const canvas = document.getElementById("intensity-canvas");
const button = document.getElementById("intensity-show");
let shown = localStorage.getItem(STORED) === "shown";
/** The curve as the desk sent it, and the picture that its courses belong to. */
let profile = null;
let waiting = 0;

/** Draws the profile; `map` places courses on the canvas of the unrolled stump. */
export function draw(map) {
  if (shown && state.geometry) drawProfile(canvas, map, fits(profile) ? profile : null);
}

/** Whether a curve belongs to the unrolled stump that is shown. */
const fits = (one) => one !== null && one.file === state.view?.file && one.version === state.view.unrolled?.version;

/** Fetches the curve once no more marks are being made. */
function fetchSoon(after = QUIET_MS) {
  clearTimeout(waiting);
  if (!shown || !state.view?.unrolled) return;
  const { file, revision } = state.view;
  if (fits(profile) && profile.revision === revision) return;
  waiting = setTimeout(async () => {
    if (busy()) { fetchSoon(); return; }
    try {
      const { version } = state.view.unrolled;
      const info = await json(`${stumpPath(file)}/intensity`);
      // A mark made meanwhile has asked for its own.
      if (state.view?.file !== file || state.view.unrolled?.version !== version) return;
      profile = { ...info, file, version };
      canvas.dataset.revision = String(info.revision);
      changed("intensity");
    } catch (error) { say(error.text ?? String(error), true); }
  }, after);
}

/** Shows or hides it. */
function arrange() {
  document.body.classList.toggle("with-profile", shown);
  canvas.hidden = !shown;
  button.setAttribute("aria-pressed", String(shown));
  button.disabled = Boolean(state.view) && !state.geometry;
}

function describe() {
  const doubts = state.view?.doubts.length ?? 0;
  canvas.setAttribute("aria-label", `Radial intensity profile: how light the wood is, from the pith below to the bark above, with ${rings().length} ring boundaries${doubts ? `, ${doubts} of them in doubt` : ""}`);
}

button.addEventListener("click", () => {
  shown = !shown;
  localStorage.setItem(STORED, shown ? "shown" : "hidden");
  arrange();
  fetchSoon(0);
  changed("intensity");
});

listen((what) => {
  if (what !== "stump") return;
  arrange();
  describe();
  fetchSoon();
});
arrange();
