// Finds the sections that have every word of the search, those with a word in
// their heading first.
"use strict";

const most = 20;
const around = 60;
const field = document.getElementById("search");
const found = document.getElementById("found");
const contents = found.nextElementSibling;

field.form.hidden = false;
field.form.addEventListener("submit", (event) => event.preventDefault());
field.addEventListener("input", show);
show();

function show() {
  const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
  found.hidden = words.length === 0;
  contents.hidden = !found.hidden;
  const hits = words.length === 0 ? [] : matching(words);
  found.replaceChildren(...hits.map((section) => item(section, words[0])));
  if (words.length > 0 && hits.length === 0) {
    const nothing = document.createElement("li");
    nothing.textContent = "Nothing found.";
    found.append(nothing);
  }
}

function matching(words) {
  const inTitle = (section) => words.some((word) => section.title.toLowerCase().includes(word));
  return sections
    .filter((section) => {
      const text = `${section.title} ${section.words}`.toLowerCase();
      return words.every((word) => text.includes(word));
    })
    .sort((a, b) => inTitle(b) - inTitle(a))
    .slice(0, most);
}

function item(section, word) {
  const link = document.createElement("a");
  link.href = document.body.dataset.up + section.link;
  link.textContent = section.title;
  const line = document.createElement("p");
  const at = Math.max(section.words.toLowerCase().indexOf(word), 0);
  const from = Math.max(at - around, 0);
  const to = at + word.length + around;
  line.textContent =
    (from > 0 ? "…" : "") + section.words.slice(from, to) + (to < section.words.length ? "…" : "");
  const entry = document.createElement("li");
  entry.append(link, line);
  return entry;
}
