/** Long work: asked of the server, followed, stopped. */
import { api } from "../api.js";
import { withJob } from "../state.js";

export function wishes({ store, wish }) {
  const stops = new Map();
  const asked = new Map(); // by name: which call of it is the last
  return {
    /**
     * Asks for a job and follows it under a name of the page ("plan", "forecast", ...). A job of that name still running is left to the
     * server and no longer followed.
     */
    async "start-job"({ name, kind, options = {} }) {
      const { shop, part, draft } = store.get();
      stops.get(name)?.();
      stops.delete(name);
      const mine = Symbol(name);
      asked.set(name, mine);
      const revision = draft.revision;
      // of another part, another shop or an older call nothing is shown, however late it comes
      const still = (now) => now.shop === shop && now.part === part && asked.get(name) === mine;
      store.set((now) => withJob(now, name, { id: "", kind, options, revision, state: "queued", words: "", result: null, faults: [], files: [] }));
      const heard = (job) => store.set((now) => (still(now) ? withJob(now, name, { ...job, options, revision }) : {}));
      let started;
      try {
        started = await api.startJob({ shop, part, kind, options });
      } catch (error) {
        heard({ kind, state: "failed", faults: error.faults ?? [], words: error.message });
        throw error;
      }
      heard(started);
      if (started.state === "done") heard(await api.job(started.id));
      else if (still(store.get())) stops.set(name, api.watchJob(started.id, heard));
    },
    /** Answers shown so far are of another part, or of files that have changed: nothing of them is shown or followed any more. */
    async "forget-jobs"() {
      for (const stop of stops.values()) stop();
      stops.clear();
      asked.clear();
      store.set({ jobs: Object.freeze({}), opened: "" });
    },
    async "stop-job"({ name }) {
      const job = store.get().jobs[name];
      if (job?.id) await api.cancelJob(job.id);
    },
    /** Opens a number: path in the answers, options of the job it belongs to. */
    async "open-number"({ path, options = {} }) {
      store.set({ opened: path });
      await wish("start-job", { name: "explain", kind: "explain", options: { ...options, number: path } });
    },
    async "close-number"() {
      store.set({ opened: "" });
    },
  };
}
