/** A part made from a file: read by the server each time something more is said of it, and put into the shop when it is whole. */
import { api } from "../api.js";
import { firstForm, optionsOf, standing } from "../logic/imports.js";

const ENDED = ["done", "failed", "cancelled"];

export function wishes({ store, wish }) {
  let stop = null;
  let last = null;
  let over = Promise.resolve(); // until what was asked last is answered, or dropped
  let end = () => {};
  const drop = () => {
    stop?.();
    stop = null;
    last = null;
    end();
  };
  /** Asks anew with what the form says; of an older question nothing is shown. */
  const ask = async () => {
    drop();
    const mine = Symbol("import");
    last = mine;
    const { shop, name, blob, form } = store.get().imported;
    over = new Promise((done) => { end = done; });
    const ended = end;
    const heard = (job) => {
      store.set((now) => (last === mine && now.imported ? { imported: Object.freeze({ ...now.imported, job }) } : {}));
      if (ENDED.includes(job.state)) ended();
    };
    let job;
    try {
      job = await api.importFile(shop, name, blob, optionsOf(name, form));
    } catch (error) {
      heard({ state: "failed", faults: error.faults ?? [], words: error.message });
      throw error;
    }
    if (last !== mine) return;
    if (ENDED.includes(job.state)) heard(await api.job(job.id));
    else stop = api.watchJob(job.id, heard);
  };
  return {
    async "import-file"({ shop, name, blob }) {
      store.set({ imported: Object.freeze({ shop, name, blob, form: Object.freeze(firstForm(name)), job: null }) });
      await ask();
    },
    /** What a person says of the file: the keys of the form that change. */
    async "say-of-import"(changes) {
      store.set((now) => (now.imported ? { imported: Object.freeze({ ...now.imported, form: Object.freeze({ ...now.imported.form, ...changes }) }) } : {}));
      if (store.get().imported) await ask();
    },
    async "take-import"() {
      while (store.get().imported) {
        const asked = last;
        await over;
        if (asked === last) break;
      }
      const { imported } = store.get();
      if (!standing(imported).ready) return;
      const { shop, job } = imported;
      const draft = await api.takeImport(shop, job.id);
      drop();
      store.set({ imported: null });
      await wish("read-shops");
      await wish("open-part", { shop, part: draft.part });
    },
    async "leave-import"() {
      drop();
      store.set({ imported: null });
    },
  };
}
