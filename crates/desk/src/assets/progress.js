// A reading that takes long: how far it has come, and stopping it.

import { json, post, stumpPath } from "./api.js";

const box = document.getElementById("waiting");
const bar = document.getElementById("waiting-bar");
const wordsBox = document.getElementById("waiting-words");
const button = document.getElementById("waiting-stop");
const SHOWN_AFTER_MS = 350;
const POLL_MS = 250;
let run = 0;
let file = "";
let stopping = false;

/** Waits for work on a stump; shows the progress of the reading when it takes long. */
export async function during(stump, words, work) {
  const mine = ++run;
  file = stump;
  const slow = setTimeout(() => { if (mine === run) poll(mine, words); }, SHOWN_AFTER_MS);
  try {
    return await work();
  } finally {
    clearTimeout(slow);
    if (mine === run) { run += 1; box.hidden = true; }
  }
}

async function poll(mine, words) {
  wordsBox.textContent = words;
  bar.removeAttribute("value");
  stopping = false;
  box.hidden = false;
  while (mine === run) {
    try {
      const progress = await json(`${stumpPath(file)}/progress`);
      if (mine !== run) return;
      if (progress.running) bar.value = progress.percent; else bar.removeAttribute("value");
      // While another stump is being read there is nothing here to stop.
      button.disabled = stopping || !progress.running;
    } catch { return; }
    await new Promise((done) => setTimeout(done, POLL_MS));
  }
}

/** Stops the long reading that is shown; whether there was one. */
export function stop() {
  if (box.hidden || button.disabled) return false;
  stopping = true;
  button.disabled = true;
  wordsBox.textContent = "Stopping\u2026";
  post(`${stumpPath(file)}/stop`, {}).catch(() => {});
  return true;
}
button.addEventListener("click", stop);
