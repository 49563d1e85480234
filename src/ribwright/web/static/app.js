/**
 * Wires the page: one store, controllers that carry out wishes, components that show the state.
 *
 * Data goes down: a component's `update(state, before)` shows everything from the state and may be called at any time.
 * Wishes go up: a component calls `app.wish("open-part", {shop, part})` and never changes the state itself.
 *
 *   components/NAME.js   export mount(el, app) -> {update(state, before)}; its styles in styles/NAME.css
 *   controllers/NAME.js  export wishes(app) -> {"verb-noun": async (detail) => ...}; the only callers of api.js
 *   logic/NAME.js        pure functions, tested without a page
 *   words.js             every word of the page
 *
 * `app`: {store, wish, say}. A screen is a component loaded when it is first wanted.
 */
import { mount as mountFrame } from "./components/frame.js";
import { wishes as draftWishes } from "./controllers/draft.js";
import { wishes as importWishes } from "./controllers/imports.js";
import { wishes as jobWishes } from "./controllers/jobs.js";
import { wishes as shopWishes } from "./controllers/shops.js";
import { Refused } from "./api.js";
import { makeStore } from "./state.js";
import { say } from "./words.js";

const store = makeStore();
const carriers = {};
const app = {
  store,
  say,
  /** Carries a wish out; answers true when it was done. What the server refuses is told at the foot. */
  async wish(name, detail = {}) {
    const carry = carriers[name];
    if (!carry) throw new Error(`nobody carries out ${name}`);
    try {
      await carry(detail);
      return true;
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      if (error.status === 401) store.set({ about: { ...store.get().about, entered: false } });
      store.set({ message: { words: error.message, kind: "bad" } });
      return false;
    }
  },
};
Object.assign(carriers, shopWishes(app), importWishes(app), draftWishes(app), jobWishes(app));

const frame = mountFrame(document.getElementById("app"), app);
store.watch(frame.update);
frame.update(store.get(), store.get());
addEventListener("hashchange", () => app.wish("go-to-address"));
addEventListener("focus", () => app.wish("look-again"));
app.wish("begin");
