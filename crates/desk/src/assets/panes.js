// Narrow screens show one view at a time; on wide ones one can be made large.

import { changed } from "./selection.js";

const tabs = [...document.querySelectorAll("[role=tab]")];
const narrow = matchMedia("(max-width: 760px)");

export function tab(name) {
  document.body.dataset.tab = name;
  for (const one of tabs) {
    const on = one.id === `tab-${name}`;
    one.setAttribute("aria-selected", String(on));
    one.tabIndex = on ? 0 : -1;
    const view = document.getElementById(one.getAttribute("aria-controls"));
    view.classList.toggle("chosen", on);
    if (narrow.matches) { view.setAttribute("role", "tabpanel"); view.setAttribute("aria-labelledby", one.id); }
  }
  changed("tab");
}

tabs.forEach((one, index) => {
  one.addEventListener("click", () => tab(one.id.slice(4)));
  one.addEventListener("keydown", (event) => {
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!by) return;
    const next = tabs[(index + by + tabs.length) % tabs.length];
    next.focus();
    tab(next.id.slice(4));
  });
});
tab("unrolled");

/** Makes one view large, or all as they were. */
export function large(name) {
  const now = document.body.dataset.large === name ? "" : name;
  document.body.dataset.large = now;
  for (const button of document.querySelectorAll("[data-large]")) {
    if (button !== document.body) button.setAttribute("aria-pressed", String(button.dataset.large === now));
  }
  changed("tab");
}
for (const button of document.querySelectorAll("button[data-large]")) button.addEventListener("click", () => large(button.dataset.large));

/** Makes the view that has the focus large; without one, the unrolled stump. */
export const largeHere = () => large(document.activeElement?.closest?.(".view")?.id === "photo" ? "photo" : document.body.dataset.counting ? "strip" : "unrolled");
