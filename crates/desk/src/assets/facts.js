// What a person knows about the tree.

import { json } from "./api.js";
import { act } from "./edits.js";
import { listen, setSun, setUnits, state } from "./selection.js";
import { length } from "./words.js";

const form = document.getElementById("facts-form");
const CLASSES = ["", "ring-porous", "semi-ring-porous", "diffuse-porous", "conifer"];
const fields = new Map();

function addField(name, label, control, why = "") {
  const row = document.createElement("div");
  row.className = control.tagName === "TEXTAREA" ? "field tall" : "field";
  const tag = document.createElement("label");
  const id = `fact-${name}`;
  control.id = id;
  tag.htmlFor = id;
  tag.textContent = label;
  const hint = Object.assign(document.createElement("span"), { className: "why", id: `${id}-why`, textContent: why });
  const error = Object.assign(document.createElement("span"), { className: "field-error", id: `${id}-error`, hidden: true });
  control.setAttribute("aria-describedby", `${hint.id} ${error.id}`);
  row.append(tag, control, hint, error);
  form.append(row);
  fields.set(name, { control, hint, error });
}

/** A field whose text the desk checks; a wrong one stays, with its error, until it is corrected. */
function addFact(name, label, control, why) {
  addField(name, label, control, why);
  control.addEventListener("change", async () => {
    const { error } = fields.get(name);
    const problem = await act({ do: "fact", name, text: control.value }, { quiet: true });
    error.hidden = problem === true;
    if (problem === true) control.removeAttribute("aria-invalid"); else control.setAttribute("aria-invalid", "true");
    error.textContent = problem === true ? "" : problem.text;
    if (problem === true) fill();
  });
}

const input = (example) => Object.assign(document.createElement("input"), { placeholder: `e.g. ${example}`, autocomplete: "off", spellcheck: false });
function select(choices) {
  const one = document.createElement("select");
  for (const [value, words] of choices) one.append(new Option(words, value));
  return one;
}

/** Builds the form once. */
export async function build() {
  if (fields.size) return;
  const kinds = await json("/species");
  if (fields.size) return;
  const species = input("white oak");
  species.setAttribute("list", "species-list");
  addFact("species", "Species", species);
  addFact("wood", "Wood class", select(CLASSES.map((name) => [name, name || "not given"])));
  addFact("felled", "Felled", input("2025-11-08"));
  addFact("cut-height", "Height of the cut", input("12in"));
  addFact("across", "Width inside bark", input("24in"));
  addFact("hollow", "Hollow, radius", input("3in"));
  addFact("hemisphere", "Hemisphere", select([["northern", "northern"], ["southern", "southern"]]), "where the tree stood");
  addFact("note", "Note", Object.assign(document.createElement("textarea"), { placeholder: " " }));
  const units = select([["inch", "inches"], ["metric", "metric"]]);
  addField("units", "Show lengths in", units);
  units.value = state.units;
  units.addEventListener("change", () => setUnits(units.value));
  const light = select([["no", "as usual"], ["yes", "thick lines, for the sun"]]);
  addField("sun", "Lines", light);
  light.value = state.sun ? "yes" : "no";
  light.addEventListener("change", () => setSun(light.value === "yes"));
  const list = document.createElement("datalist");
  list.id = "species-list";
  for (const kind of kinds) list.append(new Option(`${kind.latin}, ${kind.class}`, kind.name));
  form.append(list);
}

function put(name, value, other) {
  const { control, error } = fields.get(name);
  if (other) { control.removeAttribute("aria-invalid"); error.hidden = true; }
  // What is being typed, or was typed wrong, is not overwritten.
  if (control.getAttribute("aria-invalid") === "true") return;
  if (!other && document.activeElement === control && control.tagName !== "SELECT") return;
  control.value = value ?? "";
}

let filled = "";

function fill() {
  const { facts, reading } = state.view.stump;
  const other = filled !== state.view.file;
  filled = state.view.file;
  const compact = (mm) => length(mm).replace(" ", "");
  for (const [name, value] of Object.entries({
    species: facts.species, wood: facts.wood, felled: facts.felled, hemisphere: facts.hemisphere, note: facts.note,
    "cut-height": compact(facts.cut_height_mm), across: compact(facts.across_inside_bark_mm), hollow: compact(facts.hollow_radius_mm),
  })) put(name, value, other);
  const hint = (name, words) => { fields.get(name).hint.textContent = words; };
  const { wood, scale } = reading;
  hint("species", facts.species && wood ? `has ${wood.class} wood` : "");
  hint("wood", wood?.from === "guessed" ? `assumed ${wood.class}, a guess from the picture` : "");
  hint("felled", !facts.felled && state.view.taken ? `the photo was taken ${state.view.taken}` : "");
  hint("across", scale ? { tape: "the scale is from the tape", card: "the scale is from the card" }[scale.from] ?? "the scale is from this width" : "or mark a tape in the photo");
}

listen((what) => {
  if ((what === "stump" || what === "units") && state.view && fields.size) fill();
});
