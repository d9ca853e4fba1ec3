// A drawn face on which the reading is wrong by two or three rings. Which one
// it is changes as the reading gets better, so it is looked for.

import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import { folder, program } from "./harness.mjs";

/** Seeds that were wrong by two or three when this was last changed come first. */
const SEEDS = [3029, 3023, 622, 671, 551, 34, 648, 691, 441, 361, 636, 14, 12, 15, 19, 8, 3, 5, 9, ...Array.from({ length: 30 }, (_, nth) => 21 + nth)];

export async function wrong() {
  for (const seed of SEEDS) {
    const made = folder();
    execFileSync(program, ["practice", "--seed", String(seed), "--out", made], { stdio: "ignore" });
    const file = fs.readdirSync(made).find((name) => /\.(jpg|png)$/.test(name));
    const truth = JSON.parse(fs.readFileSync(path.join(made, file.replace(/\.\w+$/, ".truth.json"))));
    if (!truth.readable) continue;
    let reading;
    try {
      reading = JSON.parse(execFileSync(program, ["count", "--json", path.join(made, file)], { stdio: ["ignore", "pipe", "ignore"], maxBuffer: 1 << 28 }));
    } catch { continue; }
    if (![2, 3].includes(Math.abs(reading.count.best - truth.rings_visible)) || reading.scope === "rings-in-view") continue;
    fs.rmSync(path.join(made, file.replace(/\.\w+$/, ".stump.json")));
    return { file, made, truth };
  }
  throw new Error("no drawn face was read wrong by two or three rings: try more seeds");
}
