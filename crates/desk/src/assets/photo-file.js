// Renaming the photo, and removing it from the folder; both can be undone.

import { post, stumpPath } from "./api.js";
import { say, setNotice } from "./message.js";
import { listen, state } from "./selection.js";
import { stem } from "./words.js";

const name = document.getElementById("rename-to");

/** Says what was done, with a button that takes it back. */
function offerUndo(words) {
  setNotice(words, [["Undo", async () => {
    try {
      const { file } = await post("/undo-move", {});
      setNotice("");
      location.hash = `#stump=${encodeURIComponent(file)}`;
    } catch (error) { say(error.text ?? String(error), true); }
  }]]);
}

/** Goes to a stump or the folder, and says what was done once it is shown. */
async function go(hash, shown, words) {
  location.hash = hash;
  await new Promise((done) => setTimeout(done, 0));
  while (document.body.dataset.shown !== shown) {
    if (document.body.dataset.shown === "error") return;
    await new Promise((done) => setTimeout(done, 100));
  }
  offerUndo(words);
}

document.getElementById("rename").addEventListener("submit", async (event) => {
  event.preventDefault();
  const before = state.view.file;
  try {
    const { file } = await post(`${stumpPath(before)}/rename`, { to: name.value });
    await go(`#stump=${encodeURIComponent(file)}`, file, `${before} is called ${file} now.`);
  } catch (error) { say(error.text ?? String(error), true); }
});

document.getElementById("remove-photo").addEventListener("click", async () => {
  const { file } = state.view;
  try {
    await post(`${stumpPath(file)}/remove`, {});
    await go("", "folder", `${file} was removed: it is in the folder \u201cremoved\u201d inside this one, with what you entered.`);
  } catch (error) { say(error.text ?? String(error), true); }
});

listen((what) => { if (what === "stump" && state.view) name.value = stem(state.view.file); });
