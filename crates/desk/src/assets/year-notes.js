// What a person remembers of single years, shown on the growth chart.

import { act } from "./edits.js";
import { say } from "./message.js";
import { listen, state } from "./selection.js";

const form = document.getElementById("remember");
const yearBox = document.getElementById("remember-year");
const whatBox = document.getElementById("remember-what");
const button = document.getElementById("remember-set");

const known = () => state.view?.stump.facts.remembered.find((one) => String(one.year) === yearBox.value.trim());

function label() {
  button.textContent = !known() ? "Add note" : whatBox.value.trim() ? "Change note" : "Remove note";
}

/** Puts a year into the form, with its note if there is one. */
export function pick(year) {
  yearBox.value = year;
  whatBox.value = known()?.what ?? "";
  label();
}

yearBox.addEventListener("input", () => { whatBox.value = known()?.what ?? ""; label(); });
whatBox.addEventListener("input", label);

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const typed = yearBox.value.trim();
  const year = Number(typed);
  // Anything else than a whole number is the person's slip, and named as such.
  if (!/^-?\d{1,4}$/.test(typed)) {
    say(`"${typed}" is not a year. To do: write it in digits, as in 1988.`, true);
    yearBox.setAttribute("aria-invalid", "true");
    yearBox.focus();
    return;
  }
  yearBox.removeAttribute("aria-invalid");
  if ((await act({ do: "remember", year, what: whatBox.value })) === true) { whatBox.value = ""; yearBox.value = ""; label(); }
});

listen((what) => {
  if (what !== "stump" || !state.view) return;
  // The same for those who do not see the chart.
  document.getElementById("remembered").replaceChildren(...state.view.stump.facts.remembered.map((one) =>
    Object.assign(document.createElement("li"), { textContent: `${one.year}: ${one.what}` })));
  label();
});
