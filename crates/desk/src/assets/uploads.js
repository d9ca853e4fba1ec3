// New photos: chosen, taken with the camera, or dropped anywhere on the page.

import { upload } from "./api.js";

const arrivals = document.getElementById("arrivals");
const adding = document.querySelector(".adding");
const queue = [];
let limit = Infinity;
let working = false;
let onReceived = async () => {};

/** The largest file that the desk accepts, in bytes. */
export const setLimit = (bytes) => { limit = bytes; };
/** What to do with the names of the photos that were received. */
export const whenReceived = (does) => { onReceived = does; };

function add(files) {
  for (const file of files) {
    const item = document.createElement("li");
    const bar = Object.assign(document.createElement("progress"), { max: 1, value: 0 });
    bar.setAttribute("aria-label", `Upload of ${file.name}`);
    const words = Object.assign(document.createElement("span"), { textContent: "waiting" });
    item.append(Object.assign(document.createElement("span"), { textContent: file.name }), bar, words);
    arrivals.append(item);
    queue.push({ file, bar, words });
  }
  work();
}

async function send({ file, bar, words }) {
  if (file.size > limit) throw Object.assign(new Error(), { text: `the file has ${Math.round(file.size / 1048576)} MB, more than the ${Math.round(limit / 1048576)} MB accepted. To do: choose the photo as JPEG, or save it smaller.` });
  words.textContent = "sending";
  const name = await upload(file, (share) => {
    bar.value = share * 0.95;
    if (share >= 1) words.textContent = "being checked";
  });
  bar.value = 1;
  const link = Object.assign(document.createElement("a"), { href: `#stump=${encodeURIComponent(name)}`, textContent: name });
  words.replaceChildren("saved as ", link, name === file.name ? "" : ", as that name was taken or needed other characters");
  return name;
}

async function work() {
  if (working) return;
  working = true;
  const received = [];
  while (queue.length) {
    const next = queue.shift();
    try {
      received.push(await send(next));
    } catch (error) {
      next.words.className = "error";
      next.words.textContent = error.text ?? String(error);
    }
  }
  working = false;
  await onReceived(received);
}

for (const id of ["choose", "camera"]) {
  const input = document.getElementById(id);
  input.addEventListener("change", () => { add(input.files); input.value = ""; });
}
// Only a device that is held in the hand opens a camera here.
document.getElementById("camera").closest("label").hidden = !matchMedia("(pointer: coarse)").matches;

// A stray drop must not leave the page.
addEventListener("dragover", (event) => { event.preventDefault(); adding.classList.add("over"); });
addEventListener("dragleave", () => adding.classList.remove("over"));
addEventListener("drop", (event) => {
  event.preventDefault();
  adding.classList.remove("over");
  if (!event.dataTransfer?.files.length) return;
  if (document.getElementById("folder").hidden) location.hash = "";
  add(event.dataTransfer.files);
});
