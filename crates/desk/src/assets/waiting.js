// A reading that takes long: how far it is, and stopping it.

import { json, post } from "./ask.js";

const box = document.getElementById("waiting");
const bar = document.getElementById("waiting-bar");
const wordsBox = document.getElementById("waiting-words");
const button = document.getElementById("waiting-stop");
const AFTER_MS = 350;
const EVERY_MS = 250;
let runs = 0;
let file = "";
let stopping = false;

/** Waits for what is done on a stump; shows how far it is when it takes long. */
export async function during(stump, words, work) {
  const mine = ++runs;
  file = stump;
  const slow = setTimeout(() => { if (mine === runs) look(mine, words); }, AFTER_MS);
  try {
    return await work();
  } finally {
    clearTimeout(slow);
    if (mine === runs) { runs += 1; box.hidden = true; }
  }
}

async function look(mine, words) {
  wordsBox.textContent = words;
  bar.removeAttribute("value");
  stopping = false;
  box.hidden = false;
  while (mine === runs) {
    try {
      const far = await json(`/stumps/${encodeURIComponent(file)}/far`);
      if (mine !== runs) return;
      if (far.runs) bar.value = far.percent; else bar.removeAttribute("value");
      // While another stump is being read there is nothing here to stop.
      button.disabled = stopping || !far.runs;
    } catch { return; }
    await new Promise((done) => setTimeout(done, EVERY_MS));
  }
}

/** Whether a long reading is shown, which Escape then stops. */
export function stop() {
  if (box.hidden || button.disabled) return false;
  stopping = true;
  button.disabled = true;
  wordsBox.textContent = "Stopping\u2026";
  post(`/stumps/${encodeURIComponent(file)}/stop`, {}).catch(() => {});
  return true;
}
button.addEventListener("click", stop);
