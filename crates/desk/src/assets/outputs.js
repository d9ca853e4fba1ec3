// The sheet, the ring widths and the pictures: made, seen and downloaded.

import { post, stumpPath } from "./api.js";
import { state } from "./selection.js";

const dialog = document.getElementById("outputs");
const list = document.getElementById("outputs-list");
const paper = document.getElementById("outputs-paper");
const title = document.getElementById("outputs-title");

const KINDS = [
  ["sheet-pdf", "The sheet, PDF", "to print and to keep"],
  ["sheet-html", "The sheet, web page", "to read on a screen or to send"],
  ["csv", "Ring widths, CSV", "one line a ring, for a spreadsheet"],
  ["json", "Everything, JSON", "for other programs"],
  ["ring-map", "The photo with its rings, PNG", ""],
  ["unrolled", "The stump unrolled, PNG", ""],
  ["growth", "Growth by ring, PNG", ""],
  ["decades", "Growth by decade, PNG", ""],
];

const size = (bytes) => (bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1e3))} kB` : `${(bytes / 1e6).toFixed(1)} MB`);

function link(words, address, download) {
  const one = Object.assign(document.createElement("a"), { href: address, textContent: words, className: "button" });
  if (download) one.download = ""; else { one.target = "_blank"; one.rel = "noopener"; }
  return one;
}

async function make(what, result, button) {
  button.disabled = true;
  result.className = "made";
  result.textContent = "Making it\u2026";
  try {
    const made = await post(`${stumpPath(state.view.file)}/output`, { what, units: state.units, paper: paper.value, title: title.value || null });
    const notes = made.notes.map((note) => Object.assign(document.createElement("small"), { textContent: note }));
    result.replaceChildren(link("Open", made.address, false), link("Download", `${made.address}?download`, true), `${made.name}, ${size(made.bytes)}`, ...notes);
  } catch (error) {
    result.className = "made error";
    result.textContent = error.text ?? String(error);
  } finally { button.disabled = false; }
}

function build() {
  list.replaceChildren(...KINDS.map(([what, name, why]) => {
    const item = document.createElement("li");
    item.dataset.what = what;
    const words = document.createElement("span");
    words.append(name);
    if (why) words.append(Object.assign(document.createElement("small"), { textContent: why }));
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Make" });
    button.setAttribute("aria-label", `Make: ${name}`);
    const result = Object.assign(document.createElement("p"), { className: "made" });
    result.setAttribute("role", "status");
    button.addEventListener("click", () => make(what, result, button));
    item.append(words, button, result);
    return item;
  }));
}

document.getElementById("open-outputs").addEventListener("click", () => {
  build();
  paper.value = state.units === "inch" ? "letter" : "a4";
  title.value = "";
  dialog.showModal();
});
