// Reading the photos of a folder that were not read yet, one after the other,
// with progress and a way to stop.

import { STATUS, json, post, stumpPath } from "./api.js";

const box = document.getElementById("reading-new");
const bar = document.getElementById("reading-new-bar");
const words = document.getElementById("reading-new-words");
const button = document.getElementById("reading-new-stop");
const POLL_MS = 250;

const queue = [];
let current = "";
let stopped = false;
let done = 0;
let onRead = () => {};

/** What to do when one more photo was read. */
export const whenRead = (does) => { onRead = does; };

/** Reads photos; those that are waiting already are not added twice. */
export async function readNew(files) {
  for (const file of files) if (file !== current && !queue.includes(file)) queue.push(file);
  if (current || !queue.length) return;
  stopped = false;
  done = 0;
  button.disabled = false;
  box.hidden = false;
  const failed = [];
  while (queue.length && !stopped) {
    current = queue.shift();
    const poll = setInterval(report, POLL_MS);
    await report();
    try {
      await json(stumpPath(current));
    } catch (error) {
      if (error.status === STATUS.noKey || error.status === 0) stopped = true;
      if (error.status !== STATUS.stopped) failed.push(`${current}: ${error.text ?? error}`);
    } finally { clearInterval(poll); }
    done += 1;
    onRead(current);
  }
  const left = queue.length;
  queue.length = 0;
  current = "";
  box.hidden = !failed.length && !left;
  bar.hidden = true;
  button.hidden = true;
  words.textContent = [left || stopped ? `Stopped; ${left} ${left === 1 ? "photo is" : "photos are"} not read yet.` : "", ...failed].filter(Boolean).join(" ");
  if (!words.textContent) box.hidden = true;
}

/** Says which photo is being read, and how far all of it has come. */
async function report() {
  const file = current;
  const all = done + queue.length + 1;
  bar.hidden = false;
  button.hidden = false;
  words.textContent = `Reading ${file}, ${done + 1} of ${all}.`;
  try {
    const progress = await json(`${stumpPath(file)}/progress`);
    if (file === current) bar.value = (done + (progress.running ? progress.percent / 100 : 0)) / all;
  } catch { /* the reading itself reports what is wrong */ }
}

button.addEventListener("click", () => {
  stopped = true;
  button.disabled = true;
  post(`${stumpPath(current)}/stop`, {}).catch(() => {});
});
