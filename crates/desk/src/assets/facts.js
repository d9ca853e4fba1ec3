// What the person knows, and the age with its parts, live.

import { json } from "./ask.js";
import { act } from "./marking.js";
import { listen, long, setUnits, shared } from "./lit.js";

const form = document.getElementById("facts-form");
const CLASSES = ["", "ring-porous", "semi-ring-porous", "diffuse-porous", "conifer"];
const PARTS = { rings: "Rings counted", "missing-pith": "Rings lost at the heart", "cut-height": "Years to the cut" };
const fields = new Map();

function field(name, label, control, why = "") {
  const row = document.createElement("div");
  row.className = control.tagName === "TEXTAREA" ? "field tall" : "field";
  const tag = document.createElement("label");
  const id = `fact-${name}`;
  control.id = id;
  tag.htmlFor = id;
  tag.textContent = label;
  const hint = document.createElement("span");
  hint.className = "why";
  hint.id = `${id}-why`;
  hint.textContent = why;
  const fault = document.createElement("span");
  fault.className = "fault";
  fault.id = `${id}-fault`;
  fault.hidden = true;
  control.setAttribute("aria-describedby", `${hint.id} ${fault.id}`);
  row.append(tag, control, hint, fault);
  form.append(row);
  fields.set(name, { control, hint, fault });
  return control;
}

function told(name, label, control, why) {
  field(name, label, control, why);
  control.addEventListener("change", async () => {
    const { fault } = fields.get(name);
    const trouble = await act({ do: "fact", name, text: control.value }, { quiet: true });
    fault.hidden = trouble === true;
    control.setAttribute("aria-invalid", String(trouble !== true));
    if (trouble !== true) fault.textContent = `${trouble.message}; ${trouble.advice}`;
  });
}

const input = (placeholder) => Object.assign(document.createElement("input"), { placeholder, autocomplete: "off", spellcheck: false });
function select(choices) {
  const one = document.createElement("select");
  for (const [value, words] of choices) one.append(new Option(words, value));
  return one;
}

/** Builds the form once. */
export async function build() {
  if (fields.size) return;
  const species = input("white oak");
  species.setAttribute("list", "species-list");
  told("species", "Species", species);
  told("wood", "Wood class", select(CLASSES.map((name) => [name, name || "not told"])));
  told("felled", "Felled", input("2025-11-08"));
  told("cut-height", "Height of the cut", input("12in"));
  told("across", "Width inside bark", input("24in"));
  told("hollow", "Hollow, radius", input("3in"));
  told("hemisphere", "Hemisphere", select([["northern", "northern"], ["southern", "southern"]]), "where the tree stood");
  told("note", "Note", document.createElement("textarea"));
  const units = select([["inch", "inches"], ["metric", "metric"]]);
  field("units", "Show lengths in", units);
  units.value = shared.units;
  units.addEventListener("change", () => setUnits(units.value));
  const list = document.createElement("datalist");
  list.id = "species-list";
  for (const kind of await json("/species")) list.append(new Option(`${kind.latin}, ${kind.class}`, kind.name));
  form.append(list);
}

function fill() {
  const { facts, reading } = shared.view.stump;
  const put = (name, value) => {
    const { control, fault } = fields.get(name);
    if (document.activeElement !== control || control.tagName === "SELECT") control.value = value ?? "";
    fault.hidden = true;
    control.removeAttribute("aria-invalid");
  };
  put("species", facts.species);
  put("wood", facts.wood);
  put("felled", facts.felled);
  put("cut-height", long(facts.cut_height_mm).replace(" ", ""));
  put("across", long(facts.across_inside_bark_mm).replace(" ", ""));
  put("hollow", long(facts.hollow_radius_mm).replace(" ", ""));
  put("hemisphere", facts.hemisphere);
  put("note", facts.note);
  const wood = reading.wood;
  fields.get("species").hint.textContent = facts.species && wood ? `brings ${wood.class} wood` : "";
  fields.get("wood").hint.textContent = wood?.from === "guessed" ? `taken for ${wood.class}, a guess from the picture` : "";
  fields.get("felled").hint.textContent = !facts.felled && shared.view.taken ? `the photo was taken ${shared.view.taken}` : "";
  const scale = reading.scale;
  fields.get("across").hint.textContent = scale ? (scale.from === "tape" ? "scale from the tape" : "scale from this width") : "or drag a line along the tape in the photo";
}

function years(value) { return Math.abs(value - Math.round(value)) < 0.05 ? String(Math.round(value)) : value.toFixed(1); }
const range = (low, high) => (low === high ? "" : `${low}\u2013${high}`);

function age() {
  const { reading } = shared.view.stump;
  const body = document.getElementById("age-parts");
  body.replaceChildren();
  const none = document.getElementById("age-none");
  document.getElementById("age").hidden = !reading.age;
  none.hidden = Boolean(reading.age);
  if (!reading.age) {
    none.textContent = reading.readable
      ? "The bark edge is not seen, so outer rings are missing too: no age is told. Mark the bark edge in the photo if you see it."
      : "No rings were read, so no age is told.";
    return;
  }
  const row = (what, how, best, between, kind = "") => {
    const tr = document.createElement("tr");
    tr.className = kind;
    const first = document.createElement("td");
    first.append(what);
    if (how) first.append(Object.assign(document.createElement("small"), { textContent: how }));
    const cell = (words) => Object.assign(document.createElement("td"), { className: "number", textContent: words });
    tr.append(first, cell(best), cell(between));
    body.append(tr);
  };
  for (const part of reading.age.parts) row(PARTS[part.what] ?? part.what, part.what === "rings" ? "" : part.how, years(part.best), range(years(part.low), years(part.high)));
  row(reading.age.as_of === null ? "Age" : `Age in ${reading.age.as_of}`, "", String(reading.age.best), range(reading.age.low, reading.age.high), "whole");
}

function cautions() {
  const box = document.getElementById("cautions");
  box.replaceChildren();
  const { reading } = shared.view.stump;
  const lines = reading.cautions.map((one) => one.text.replace(/ and give --hollow 3in/, ", tell it above").replace(/; (give|use) --[^;]*$/, "").replace(/--species or --wood/, "the species or wood class"));
  if (reading.refusal) lines.unshift(`${reading.refusal.detail}. To do: ${reading.refusal.advice}.`);
  if (!lines.length) lines.push("Nothing stands against these numbers that the program could see.");
  for (const words of lines) box.append(Object.assign(document.createElement("li"), { textContent: words.charAt(0).toUpperCase() + words.slice(1) }));
}

listen((what) => {
  if (what !== "stump" && what !== "units") return;
  if (!shared.view || !fields.size) return;
  fill();
  age();
  cautions();
});
