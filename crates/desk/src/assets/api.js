// Calls to the desk. Each carries this browser's key; an error comes with what to do.

const STORED_KEY = "stumpbook-key";
let key = localStorage.getItem(STORED_KEY) ?? "";

/** Statuses that the page handles in its own way. */
export const STATUS = { noKey: 401, notFound: 404, changedElsewhere: 409, stopped: 410, otherPhoto: 412 };

export class ApiError extends Error {
  constructor(status, body) {
    super(body.error ?? "the desk did not answer");
    this.status = status;
    this.advice = body.advice ?? "check that the program is still running in the terminal";
  }

  /** What happened and what to do, as one text. */
  get text() { return `${this.message}. To do: ${this.advice}.`; }
}

/** Exchanges the key in the printed address for a key of this browser's own. */
export async function enter(printed) {
  const answer = await fetch("/api/enter", { method: "POST", headers: { Authorization: `Bearer ${printed}` } });
  if (!answer.ok) return false;
  key = (await answer.json()).key;
  localStorage.setItem(STORED_KEY, key);
  return true;
}

async function call(path, options = {}) {
  let answer;
  try {
    answer = await fetch(`/api${path}`, { ...options, headers: { ...options.headers, Authorization: `Bearer ${key}` } });
  } catch {
    throw new ApiError(0, {});
  }
  if (answer.ok) return answer;
  throw new ApiError(answer.status, await answer.json().catch(() => ({})));
}

/** The address of a stump's calls. */
export const stumpPath = (file) => `/stumps/${encodeURIComponent(file)}`;

export const json = async (path) => (await call(path)).json();
export const bytes = async (path) => (await call(path)).arrayBuffer();
export const picture = async (path) => (await call(path)).blob();
export const post = async (path, body) => {
  const answer = await call(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
  return answer.status === 204 ? null : answer.json();
};

/** The last call of a tab that closes. */
export const leave = (path) => fetch(`/api${path}`, { method: "POST", keepalive: true, headers: { Authorization: `Bearer ${key}` } }).catch(() => {});

/** Uploads one photo and reports the share that is sent; its name in the folder. */
export function upload(file, report) {
  return new Promise((done, fail) => {
    const request = new XMLHttpRequest();
    request.open("POST", `/api/photos?name=${encodeURIComponent(file.name)}`);
    request.setRequestHeader("Authorization", `Bearer ${key}`);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.upload.onprogress = (event) => report(event.loaded / Math.max(1, event.total));
    request.onload = () => {
      let body = {};
      try { body = JSON.parse(request.responseText); } catch { /* the status says enough */ }
      if (request.status === 200) done(body.file); else fail(new ApiError(request.status, body));
    };
    request.onerror = () => fail(new ApiError(0, { error: "the photo did not arrive", advice: "send it again" }));
    request.send(file);
  });
}
