// The age with its parts, and what to know before trusting the numbers.

import { listen, state } from "./selection.js";

const PARTS = { rings: "Rings counted", "missing-pith": "Rings missing at the pith", "cut-height": "Years to the cut" };
const years = (value) => (Math.abs(value - Math.round(value)) < 0.05 ? String(Math.round(value)) : value.toFixed(1));
const range = (low, high) => (low === high ? "" : `${low}\u2013${high}`);

function row(what, how, best, between, kind = "") {
  const tr = document.createElement("tr");
  tr.className = kind;
  const cell = (words, name = "number") => Object.assign(document.createElement("td"), { className: name, textContent: words });
  const first = cell(what, "");
  if (how) first.append(Object.assign(document.createElement("small"), { textContent: how }));
  tr.append(first, cell(best), cell(between));
  return tr;
}

function age() {
  const { reading } = state.view.stump;
  const { age: found } = reading;
  const none = document.getElementById("age-none");
  document.getElementById("age").hidden = !found;
  none.hidden = Boolean(found);
  none.textContent = reading.readable && reading.strip?.by_hand
    ? "The rings set do not reach the bark yet, so there is no age. If the strip ends at the bark, say so with the button below it."
    : reading.readable
    ? "The bark edge was not found, so outer rings are missing too and there is no age. Mark the bark edge in the photo if you see it."
    : "No rings were read, so there is no age.";
  const rows = found ? [
    ...found.parts.map((part) => row(PARTS[part.what] ?? part.what, part.what === "rings" ? "" : part.how, years(part.best), range(years(part.low), years(part.high)))),
    row(found.as_of === null ? "Age" : `Age in ${found.as_of}`, "", String(found.best), range(found.low, found.high), "whole"),
  ] : [];
  document.getElementById("age-parts").replaceChildren(...rows);
}

/** Advice on the command line's options, as advice for this page. */
function onThisPage(text) {
  return text
    .replace(/ and give --hollow 3in/, ", and enter it above")
    .replace(/; (give|use) --[^;]*$/, "")
    .replace(/--species or --wood/, "the species or wood class");
}

function cautions() {
  const { reading } = state.view.stump;
  const lines = [
    ...(reading.refusal ? [`${reading.refusal.detail}. To do: ${reading.refusal.advice}.`] : []),
    ...state.view.warnings,
    ...reading.cautions.map((one) => onThisPage(one.text)),
  ];
  if (!lines.length) lines.push("The program found nothing that speaks against these numbers.");
  document.getElementById("cautions").replaceChildren(...lines.map((words, index) => Object.assign(document.createElement("li"), {
    textContent: words.charAt(0).toUpperCase() + words.slice(1),
    className: state.view.warnings.includes(words) ? "warning" : "",
    id: `caution-${index}`,
  })));
}

listen((what) => {
  if ((what === "stump" || what === "units") && state.view) { age(); cautions(); }
});
