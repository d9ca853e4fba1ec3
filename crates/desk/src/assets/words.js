// Rings and lengths in words.

import { has, ring, state } from "./selection.js";

/** A length as a person reads it. */
export function length(mm, digits = null) {
  if (mm === null || mm === undefined) return "";
  return state.units === "inch"
    ? `${(mm / 25.4).toFixed(digits ?? (mm < 254 ? 2 : 1))} in`
    : mm < 100 ? `${mm.toFixed(digits ?? 1)} mm` : `${(mm / 10).toFixed(digits ?? 1)} cm`;
}

/** A ring in a few words. */
export function ringWords(number) {
  const one = ring(number);
  if (!one) return "";
  const parts = [`Ring ${number}`];
  if (one.year !== null) parts.push(`${one.year}`);
  parts.push(one.width_mm === null ? `${one.width_px.toFixed(0)} px wide` : `${length(one.width_mm)} wide`);
  return parts.join(", ");
}

/** How certain a ring is, in words. */
export function certainty(number) {
  const one = ring(number);
  if (!one) return "";
  if (has(one, "marked")) return "marked by you";
  if (has(one, "at-bark")) return "ends at the bark edge";
  if (has(one, "maybe-two")) return "may be two rings";
  const percent = Math.round(one.confidence * 100);
  if (has(one, "doubtful")) return `doubtful: ${percent} % certain`;
  return `${Math.min(99, percent)} % certain`;
}

/** A name without its ending. */
export const stem = (file) => file.replace(/\.[^.]+$/, "");

/** Why rings cannot be marked yet, where they are only being unrolled; else null. */
export const notYet = () => (state.view?.complete === false ? "The stump is being unrolled; its rings can be marked in a moment." : null);
