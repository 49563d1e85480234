/**
 * Changing the draft. Changes go to the server one after the other, each on the revision that the one before it made; the server keeps
 * every one, so closing the page loses nothing.
 */
import { api, Refused } from "../api.js";

const AGAIN_MS = 2000;
const later = (ms) => new Promise((done) => setTimeout(done, ms));

export function wishes({ store, wish, say }) {
  let queue = Promise.resolve();
  /** A change is not lost while the server is away: it is sent until it answers. */
  const sent = async (send) => {
    for (;;) {
      try {
        return await send();
      } catch (error) {
        if (!(error instanceof Refused) || error.status !== 0) throw error;
        store.set({ message: { words: say("frame.unsent"), kind: "bad" } });
        await later(AGAIN_MS);
      }
    }
  };
  const change = (what, body) => {
    store.set((now) => ({ changing: now.changing + 1 }));
    const done = queue.then(async () => {
      const { shop, part, draft } = store.get();
      if (!draft) return;
      try {
        const next = await sent(() => api.change(shop, part, what, draft.revision, body));
        if (store.get().part === part && store.get().shop === shop) store.set({ draft: next, message: null });
      } catch (error) {
        // somebody else changed it, another tab perhaps: show theirs, say so
        const theirs = error instanceof Refused && error.status === 409 ? error.body?.draft : null;
        if (theirs) store.set({ draft: theirs });
        if (theirs && !theirs.file_changed) throw new Refused(409, [{ say: say("frame.elsewhere") }], error.body);
        throw error;
      }
    });
    queue = done.catch(() => {}).then(() => store.set((now) => ({ changing: now.changing - 1 })));
    return done;
  };
  return {
    "edit-draft": ({ ops }) => change("edit", { ops }),
    "type-draft": ({ text }) => change("text", { text }),
    "undo-draft": () => change("undo"),
    "redo-draft": () => change("redo"),
    "save-draft": () => change("save"),
    "drop-draft": () => change("drop"),
    /** The window is looked at again: what another one changed meanwhile is shown. */
    async "look-again"() {
      const { shop, part, draft, changing } = store.get();
      if (!draft || changing) return;
      const now = await api.draft(shop, part);
      const then = store.get();
      if (then.part !== part || then.shop !== shop || then.changing || then.draft.revision !== draft.revision) return;
      const besides = now.beside !== draft.beside;
      if (now.revision === draft.revision && now.saved === draft.saved && !besides) return;
      store.set({ draft: now });
      // another shop file or table of ordinates: every answer is of the one before
      if (!besides) return;
      await wish("forget-jobs");
      store.set({ choices: await api.choices(shop) });
    },
    async pick({ path }) {
      store.set({ picked: path });
    },
  };
}
