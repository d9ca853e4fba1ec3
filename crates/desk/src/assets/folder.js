// The folder: its stumps with count, age, doubt and what is still missing;
// and new photos coming in.

import { json, picture, send } from "./ask.js";

const arrivals = document.getElementById("arrivals");
const adding = document.querySelector(".adding");
let most = Infinity;
let pictures = [];

const part = (kind, words = "", small = "") => {
  const one = document.createElement("span");
  one.className = kind;
  one.textContent = words;
  if (small) one.append(Object.assign(document.createElement("small"), { textContent: small }));
  return one;
};

export async function show() {
  const told = await json("/folder");
  most = told.most_upload_bytes;
  document.getElementById("folder-name").textContent = told.folder;
  const box = document.getElementById("stumps");
  const lines = told.stumps.map(line);
  pictures.forEach((address) => URL.revokeObjectURL(address));
  pictures = [];
  box.replaceChildren(...lines.map((one) => one.item));
  document.getElementById("no-stumps").hidden = told.stumps.length > 0;
  // Small pictures one after the other, the upper ones first.
  for (const { file, image } of lines) {
    if (!image.isConnected) return;
    try {
      const address = URL.createObjectURL(await picture(`/stumps/${encodeURIComponent(file)}/thumb`));
      pictures.push(address);
      const shown = Object.assign(new Image(), { src: address, alt: "" });
      image.replaceWith(shown);
    } catch { /* the line tells by itself what is wrong with the photo */ }
  }
}

function line(stump) {
  const item = document.createElement("li");
  const link = document.createElement("a");
  link.href = `#stump=${encodeURIComponent(stump.file)}`;
  const image = part("bare");
  const { count, age } = stump;
  const about = [stump.species, stump.felled ? `felled ${stump.felled}` : ""].filter(Boolean).join(", ");
  link.append(image, part("name", stump.file.replace(/\.[^.]+$/, ""), about || stump.file));
  if (stump.state === "read" && count) {
    link.append(
      part("big", `${count.best} rings`, `${count.low} to ${count.high}`),
      age ? part("big", `${age[0]} years`, `${age[1]} to ${age[2]}`) : part("big", "", "no age: bark not seen"),
      part(stump.doubts ? "doubts-of doubt" : "doubts-of", stump.doubts ? `${stump.doubts} in doubt` : "no doubt left"),
      part("lacking", "", stump.missing.length ? `still missing: ${stump.missing.join(", ")}` : "nothing missing"),
    );
  } else {
    const words = { unread: "not read yet", refused: "no rings read", trouble: "cannot be opened" }[stump.state];
    link.append(part("big", "", words), part(""), part("doubts-of"), part("lacking", "", stump.message ?? ""));
  }
  item.append(link);
  return { item, image, file: stump.file };
}

// ---- new photos

const waiting = [];
let busy = false;

function take(files) {
  for (const file of files) {
    const item = document.createElement("li");
    const bar = Object.assign(document.createElement("progress"), { max: 1, value: 0 });
    bar.setAttribute("aria-label", `${file.name}: how far`);
    const words = part("", "waiting");
    item.append(part("", file.name), bar, words);
    arrivals.append(item);
    waiting.push({ file, bar, words });
  }
  work();
}

async function work() {
  if (busy) return;
  busy = true;
  while (waiting.length) {
    const { file, bar, words } = waiting.shift();
    try {
      if (file.size > most) throw Object.assign(new Error(`the file has ${Math.round(file.size / 1048576)} MB, more than the ${Math.round(most / 1048576)} MB taken`), { advice: "choose the photo as JPEG, or save it smaller" });
      words.textContent = "sending";
      const name = await send(file, (share) => {
        bar.value = share * 0.95;
        if (share >= 1) words.textContent = "being looked at";
      });
      bar.value = 1;
      words.textContent = `kept as ${name}`;
    } catch (fault) {
      words.className = "bad";
      words.textContent = `${fault.message}; ${fault.advice}`;
    }
  }
  busy = false;
  await show().catch(() => {});
}

for (const id of ["choose", "camera"]) {
  const input = document.getElementById(id);
  input.addEventListener("change", () => { take(input.files); input.value = ""; });
}

// Dropped anywhere on the page; a stray drop must not leave the page.
addEventListener("dragover", (event) => { event.preventDefault(); adding.classList.add("over"); });
addEventListener("dragleave", () => adding.classList.remove("over"));
addEventListener("drop", (event) => {
  event.preventDefault();
  adding.classList.remove("over");
  if (!event.dataTransfer?.files.length) return;
  if (document.getElementById("folder").hidden) location.hash = "";
  take(event.dataTransfer.files);
});
