// Calls to the desk. Each carries this browser's key; a fault comes with what to do.

const KEPT = "stumpbook-key";
let key = localStorage.getItem(KEPT) ?? "";

export class Fault extends Error {
  constructor(status, told) {
    super(told.error ?? "the desk did not answer");
    this.status = status;
    this.advice = told.advice ?? "check that the program still runs in the terminal";
  }
}

/** Spends the key of the printed address for a key of this browser's own. */
export async function enter(printed) {
  const answer = await fetch("/api/enter", { method: "POST", headers: { Authorization: `Bearer ${printed}` } });
  if (!answer.ok) return false;
  key = (await answer.json()).key;
  localStorage.setItem(KEPT, key);
  return true;
}

async function call(path, options = {}) {
  let answer;
  try {
    answer = await fetch(`/api${path}`, { ...options, headers: { ...options.headers, Authorization: `Bearer ${key}` } });
  } catch {
    throw new Fault(0, {});
  }
  if (answer.ok) return answer;
  throw new Fault(answer.status, await answer.json().catch(() => ({})));
}

export const json = async (path) => (await call(path)).json();
export const bytes = async (path) => (await call(path)).arrayBuffer();
export const picture = async (path) => (await call(path)).blob();
export const post = async (path, body) => {
  const answer = await call(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
  return answer.status === 204 ? null : answer.json();
};
/** The last word of a tab that closes. */
export const leave = (path) => fetch(`/api${path}`, { method: "POST", keepalive: true, headers: { Authorization: `Bearer ${key}` } }).catch(() => {});

/** Sends one photo, telling how far it is; its name in the folder. */
export function send(file, tell) {
  return new Promise((done, fail) => {
    const request = new XMLHttpRequest();
    request.open("POST", `/api/photos?name=${encodeURIComponent(file.name)}`);
    request.setRequestHeader("Authorization", `Bearer ${key}`);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.upload.onprogress = (event) => tell(event.loaded / Math.max(1, event.total));
    request.onload = () => {
      let told = {};
      try { told = JSON.parse(request.responseText); } catch { /* told stays empty */ }
      if (request.status === 200) done(told.file); else fail(new Fault(request.status, told));
    };
    request.onerror = () => fail(new Fault(0, { error: "the photo did not arrive", advice: "send it again" }));
    request.send(file);
  });
}
