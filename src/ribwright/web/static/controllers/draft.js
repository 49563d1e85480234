/**
 * Changing the draft. Changes go to the server one after the other, each on the revision that the one before it made; the server keeps
 * every one, so closing the page loses nothing.
 */
import { api, Refused } from "../api.js";

export function wishes({ store }) {
  let queue = Promise.resolve();
  const change = (what, body) => {
    store.set((now) => ({ changing: now.changing + 1 }));
    const done = queue.then(async () => {
      const { shop, part, draft } = store.get();
      if (!draft) return;
      try {
        const next = await api.change(shop, part, what, draft.revision, body);
        if (store.get().part === part) store.set({ draft: next, message: null });
      } catch (error) {
        // somebody else changed it, another tab perhaps: show theirs, say so
        if (error instanceof Refused && error.status === 409 && error.body?.draft) store.set({ draft: error.body.draft });
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
    async pick({ path }) {
      store.set({ picked: path });
    },
  };
}
