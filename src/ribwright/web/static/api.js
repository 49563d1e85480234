/** Asking the server of this machine. Every answer is JSON; what is refused comes back as a `Refused` with its sentences. */
import { say } from "./words.js";

export class Refused extends Error {
  /** @param {number} status @param {{say: string}[]} faults @param {any} body */
  constructor(status, faults, body) {
    super(faults.map((f) => f.say).join("\n") || say("frame.refused", { status }));
    this.status = status;
    this.faults = faults;
    this.body = body;
  }
}

const ENDED = ["done", "failed", "cancelled"];
const path = (...names) => "/api/" + names.map(encodeURIComponent).join("/");

async function ask(method, where, body, type = "application/json") {
  const init = { method, headers: { Accept: "application/json" }, credentials: "same-origin" };
  if (method !== "GET") {
    init.headers["X-Ribwright"] = "page";
    init.headers["Content-Type"] = type;
    init.body = type === "application/json" ? JSON.stringify(body ?? {}) : body;
  }
  let answer;
  try {
    answer = await fetch(where, init);
  } catch {
    throw new Refused(0, [{ say: say("frame.lost") }], null);
  }
  const said = await answer.json().catch(() => null);
  if (!answer.ok) throw new Refused(answer.status, said?.faults ?? [], said);
  return said;
}

export const api = {
  about: () => ask("GET", path("about")),
  enter: (token) => ask("POST", path("enter"), { token }),
  shops: () => ask("GET", path("shops")),
  makeShop: (body) => ask("POST", path("shops"), body),
  choices: (shop) => ask("GET", path("shops", shop, "choices")),
  makePart: (shop, body) => ask("POST", path("shops", shop, "parts"), body),
  /** `over`: write over a file of that name; without it one that is there already is refused (409) */
  upload: (shop, name, blob, over = false) =>
    ask("POST", `${path("shops", shop, "files", name)}${over ? "?over=1" : ""}`, blob, "application/octet-stream"),
  fileUrl: (shop, name) => path("shops", shop, "files", name),
  /** The import of a file begun: a job. `options` as text by name, of what may be said several times a line each. */
  importFile: (shop, name, blob, options) =>
    ask("POST", `${path("shops", shop, "imports", name)}?options=${encodeURIComponent(JSON.stringify(options))}`, blob, "application/octet-stream"),
  /** The part that an import made, into the shop: its draft. */
  takeImport: (shop, job) => ask("POST", path("shops", shop, "imported", job)),
  draft: (shop, part) => ask("GET", path("shops", shop, "parts", part, "draft")),
  /** what: edit {ops} | text {text} | undo | redo | save | drop */
  change: (shop, part, what, revision, body = {}) =>
    ask("POST", path("shops", shop, "parts", part, "draft", what), { revision, ...body }),
  startJob: (body) => ask("POST", path("jobs"), body),
  job: (id) => ask("GET", path("jobs", id)),
  cancelJob: (id) => ask("POST", path("jobs", id, "cancel")),
  jobFile: (id, name, download = false) =>
    `${path("jobs", id, "files")}/${name.split("/").map(encodeURIComponent).join("/")}${download ? "?download=1" : ""}`,
  /** Calls `heard(job)` on every change until the job has ended; answers a function that stops listening. */
  watchJob(id, heard) {
    let stopped = false;
    let later = 0;
    const source = new EventSource(`${path("jobs", id)}/events`);
    // refused, or the server is away: asked again by the ordinary way until there is an answer
    source.onerror = () => {
      if (source.readyState !== EventSource.CLOSED || stopped) return;
      later = setTimeout(async () => {
        const job = await api.job(id).catch((error) => (error.status === 404 ? { id, state: "failed", faults: error.faults, words: error.message } : null));
        if (stopped) return;
        if (job) heard(job);
        if (!job || !ENDED.includes(job.state)) source.onerror();
      }, 2000);
    };
    source.onmessage = (event) => {
      const job = JSON.parse(event.data);
      if (ENDED.includes(job.state)) {
        stopped = true;
        source.close();
      }
      heard(job);
    };
    return () => {
      stopped = true;
      clearTimeout(later);
      source.close();
    };
  },
};
