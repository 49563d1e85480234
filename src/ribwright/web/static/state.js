/**
 * The one store of the page. A state is a plain frozen object; a change makes a new one.
 *
 * Keys
 *   about      answer of /api/about, or null
 *   shops      list of /api/shops, or null while it is read
 *   shop, part names of what is open, "" for none
 *   choices    answer of /api/shops/SHOP/choices, or null
 *   choicesOf  {shop, choices}: the same of the shop that the start screen makes a part in, or null
 *   draft      the draft view (text, revision, faults, sketch ...), or null
 *   changing   how many changes of the draft are on their way to the server
 *   screen     "start" | "part" | "blank" | "forecast" | "packet"
 *   units      "in" | "mm": which stands first on the screen
 *   press      id of the press chosen, "" for none
 *   jobs       by name: {id, kind, options, state, words, done, of, early, status, result, faults, files, revision}
 *              `revision` the draft's when it was asked: an answer of another one is out of date
 *   opened     path of the number that is opened, or ""
 *   picked     path of the edge, hole, corner ... picked on the Part screen, or ""
 *   imported   the file that a part is being made from, or null: {shop, name, blob, form, job}; `form` what a person said (logic/imports.js),
 *              `job` its import as it stands, or null
 *   clashes    files that would write over one that is there: [{shop, name, blob}]
 *   message    {words, kind: "bad" | "good"} at the foot, or null
 */
export const FIRST = Object.freeze({
  about: null, shops: null, shop: "", part: "", choices: null, choicesOf: null, clashes: Object.freeze([]), imported: null, draft: null, changing: 0, screen: "start", units: "in", press: "",
  jobs: Object.freeze({}), opened: "", picked: "", message: null,
});

/** A store: `get()`, `set(changes)` or `set(state => changes)`, `watch(fn)`; watchers hear once a frame with (now, before). */
export function makeStore(first = FIRST, later = (f) => requestAnimationFrame(f)) {
  let now = first;
  let told = first;
  let waiting = false;
  const watchers = new Set();
  const tell = () => {
    waiting = false;
    const before = told;
    told = now;
    for (const watch of watchers) watch(now, before);
  };
  return {
    get: () => now,
    set(changes) {
      const more = typeof changes === "function" ? changes(now) : changes;
      if (Object.keys(more).every((key) => Object.is(now[key], more[key]))) return;
      now = Object.freeze({ ...now, ...more });
      if (!waiting) {
        waiting = true;
        later(tell);
      }
    },
    watch(fn) {
      watchers.add(fn);
      return () => watchers.delete(fn);
    },
  };
}

/** The state with one job changed. */
export const withJob = (state, name, changes) => ({
  jobs: Object.freeze({ ...state.jobs, [name]: Object.freeze({ ...state.jobs[name], ...changes }) }),
});

/** Whether a job's answer belongs to the draft as it stands. */
export const fresh = (state, name) =>
  Boolean(state.jobs[name] && state.draft && state.jobs[name].revision === state.draft.revision);

/** The same, and whether it was asked for the press that is named now. */
export const freshFor = (state, name) => fresh(state, name) && (state.jobs[name].options?.press ?? "") === state.press;
