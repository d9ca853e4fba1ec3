// The folder: its stumps with count, age, doubts and what is still missing.

import { json, picture, stumpPath } from "./api.js";
import { readNew, whenRead } from "./read-new.js";
import { stem } from "./words.js";
import { setLimit, whenReceived } from "./uploads.js";

const at = (id) => document.getElementById(id);
const sort = at("sort");
const filter = at("filter");
let stumps = [];
/** Small pictures by photo, as addresses of blobs. */
const pictures = new Map();
let round = 0;

const span = (kind, words = "", small = "") => {
  const one = Object.assign(document.createElement("span"), { className: kind, textContent: words });
  if (small) one.append(Object.assign(document.createElement("small"), { textContent: small }));
  return one;
};

const KEEPS = {
  all: () => true,
  doubtful: (one) => one.state === "read" && one.doubts > 0,
  refused: (one) => one.state === "refused" || one.state === "error",
  unread: (one) => one.state === "unread",
};
/** The desk sends names in natural order; sorting is stable, so equal ones keep it. */
const ORDERS = {
  name: () => 0,
  doubts: (a, b) => b.doubts - a.doubts,
  age: (a, b) => (b.age?.[0] ?? -1) - (a.age?.[0] ?? -1),
  state: (a, b) => ["error", "refused", "unread", "read"].indexOf(a.state) - ["error", "refused", "unread", "read"].indexOf(b.state),
};

export async function show() {
  const listed = await json("/folder");
  setLimit(listed.most_upload_bytes);
  at("folder-name").textContent = `\u201c${listed.folder}\u201d`;
  stumps = listed.stumps;
  draw();
}

function draw() {
  const mine = ++round;
  const chosen = stumps.filter(KEEPS[filter.value]).sort(ORDERS[sort.value]);
  const lines = chosen.map(line);
  at("stumps").replaceChildren(...lines.map((one) => one.item));
  at("no-stumps").hidden = stumps.length > 0;
  at("none-chosen").hidden = chosen.length > 0 || !stumps.length;
  at("list-tools").hidden = !stumps.length;
  const unread = stumps.filter(KEEPS.unread).length;
  at("read-new").hidden = !unread;
  at("read-new").textContent = `Read ${unread === 1 ? "the new photo" : `all ${unread} new photos`}`;
  loadPictures(lines, mine);
}

/** Small pictures one after the other, the upper ones first. */
async function loadPictures(lines, mine) {
  for (const { file, image } of lines) {
    if (mine !== round) return;
    try {
      if (!pictures.has(file)) pictures.set(file, URL.createObjectURL(await picture(`${stumpPath(file)}/thumb`)));
      image.replaceWith(Object.assign(new Image(), { src: pictures.get(file), alt: "" }));
    } catch { /* the line itself says what is wrong with the photo */ }
  }
}

function line(stump) {
  const item = document.createElement("li");
  const link = document.createElement("a");
  link.href = `#stump=${encodeURIComponent(stump.file)}`;
  const image = span("bare");
  const { count, age } = stump;
  const about = [stump.species, stump.felled ? `felled ${stump.felled}` : ""].filter(Boolean).join(", ");
  link.append(image, span("name", stem(stump.file), about || stump.file));
  if (stump.state === "read" && count) {
    link.append(
      span("big", `${count.best} rings`, [`${count.low} to ${count.high}`, stump.counted_along].filter(Boolean).join(", ")),
      age ? span("big", `${age[0]} years`, `${age[1]} to ${age[2]}`) : span("big", "", "no age: no bark edge found"),
      span(stump.doubts ? "doubts-of doubt" : "doubts-of", stump.doubts ? `${stump.doubts} in doubt` : "no doubt left"),
      span("lacking", "", stump.missing.length ? `still missing: ${stump.missing.join(", ")}` : "nothing missing"),
    );
  } else {
    const words = { unread: "not read yet", refused: "no rings read", error: "cannot be opened" }[stump.state];
    link.append(span("big", "", words), span(""), span("doubts-of"), span("lacking", "", stump.message ?? ""));
  }
  item.append(link);
  return { item, image, file: stump.file };
}

for (const control of [sort, filter]) control.addEventListener("change", draw);
at("read-new").addEventListener("click", () => readNew(stumps.filter(KEEPS.unread).map((one) => one.file)));
whenRead(() => show().catch(() => {}));
whenReceived(async (files) => {
  await show().catch(() => {});
  await readNew(files);
});
