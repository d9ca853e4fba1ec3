// The page in a real browser, as a person uses it:
// node run.mjs PROGRAM SAMPLES [SHOTS]. ENGINE=firefox runs it in Firefox instead of
// Chromium; CHROMIUM and FIREFOX name the programs. FILES=photo,phone runs only these files,
// ONLY=words only the tests with these words in their names, and ASSETS=FOLDER takes
// the page from there, so that a change to it needs no building.

import { finish } from "./harness.mjs";

const ALL = ["marking", "photo", "zoom", "layout", "phone", "identity", "folder", "outputs", "corrections", "by_hand", "sheet"];
const asked = process.env.FILES?.split(",") ?? ALL;
for (const name of asked) await import(`./${name}.mjs`);
await finish();
