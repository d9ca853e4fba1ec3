// The page begins here: the key in the address, then the folder or a stump.

import { STATUS, enter, post } from "./api.js";
import "./age.js";
import "./first-visit.js";
import "./growth.js";
import "./keys.js";
import "./marks-list.js";
import "./outputs.js";
import "./photo-file.js";
import "./refused.js";
import "./ring-bar.js";
import "./strip-bar.js";
import "./year-notes.js";
import * as folder from "./folder.js";
import { say, setNotice } from "./message.js";
import { listen, setSun, state } from "./selection.js";
import * as stump from "./stump-page.js";
import * as unrolled from "./unrolled.js";

const at = (id) => document.getElementById(id);

async function openFolder() {
  stump.close();
  at("title").textContent = "All stumps";
  document.title = "Stumpbook";
  setNotice("");
  at("folder").hidden = false;
  await folder.show();
  document.body.dataset.shown = "folder";
}

function noKey() {
  stump.close();
  at("folder").hidden = true;
  setNotice("");
  at("closed").hidden = false;
}

async function route() {
  const address = new URLSearchParams(location.hash.slice(1));
  const printed = address.get("key");
  if (printed) {
    // The key leaves the address at once, so that it is not in the history.
    address.delete("key");
    history.replaceState(null, "", address.size ? `#${address}` : location.pathname);
    await enter(printed);
  }
  at("closed").hidden = true;
  const file = address.get("stump");
  at("folder").hidden = Boolean(file);
  try {
    if (file) await stump.open(file); else await openFolder();
  } catch (error) {
    if (error.status === STATUS.noKey) noKey(); else setNotice(error.text ?? String(error));
  }
  const ring = Number(address.get("ring"));
  if (!file || !(ring > 0) || !state.view) return;
  await stump.completed();
  unrolled.show(ring);
}

at("lock-out").addEventListener("click", async () => {
  at("help").close();
  try {
    const { browsers } = await post("/lock-out-others", {});
    say(browsers ? `${browsers} other ${browsers === 1 ? "browser is" : "browsers are"} locked out; the address in the terminal lets one in again` : "no other browser has come in");
  } catch (error) { say(error.text ?? String(error), true); }
});

addEventListener("hashchange", route);
for (const link of document.querySelectorAll("[data-home]")) {
  link.addEventListener("click", (event) => { event.preventDefault(); if (location.hash) location.hash = ""; else route(); });
}
listen((what) => { if (what === "hovered") document.body.dataset.hovered = String(state.hovered); });
setSun(state.sun);
route();
