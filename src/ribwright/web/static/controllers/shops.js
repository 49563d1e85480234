/** Shops and parts: what there is, what is open. */
import { api, Refused } from "../api.js";
import { read, write } from "../logic/address.js";
import { remembered } from "./remembered.js";

export function wishes({ store, wish, say }) {
  const readShops = async () => store.set({ shops: await api.shops() });
  return {
    async begin() {
      store.set({ units: remembered.units() ?? "in" });
      const about = await api.about();
      store.set({ about });
      if (!about.entered) return;
      await readShops();
      await wish("go-to-address");
    },
    async enter({ token }) {
      await api.enter(token);
      await wish("begin");
    },
    "read-shops": readShops,
    /** What a shop offers to choose from, for a part that is not open yet. */
    async "read-choices"({ shop }) {
      store.set({ choicesOf: Object.freeze({ shop, choices: await api.choices(shop) }) });
    },
    /** Opens what the address names. */
    async "go-to-address"() {
      const { shop, part, screen } = read(location.hash);
      const now = store.get();
      if (!now.about?.entered) return;
      if (!part) {
        store.set({ screen: "start", opened: "" });
        await readShops();
        return;
      }
      if (shop === now.shop && part === now.part && now.draft) {
        store.set({ screen, opened: "" });
        await wish("look-again");
        return;
      }
      const [draft, choices] = await Promise.all([api.draft(shop, part), api.choices(shop)]);
      await wish("forget-jobs");
      const press = remembered.press(shop);
      const known = choices.presses.some((p) => p.id === press);
      store.set({
        shop, part, draft, choices, screen, picked: "", message: null,
        press: known ? press : "", // nobody is given a press unasked
        units: remembered.units() ?? choices.units ?? now.units,
      });
    },
    async "open-part"({ shop, part, screen = "part" }) {
      location.hash = write({ shop, part, screen });
    },
    async "open-screen"({ screen }) {
      const { shop, part } = store.get();
      location.hash = screen === "start" ? "#/" : write({ shop, part, screen });
    },
    async "make-shop"(body) {
      await api.makeShop(body);
      await readShops();
    },
    /** body: {name, units, number, ...} or {name, text} */
    async "make-part"({ shop, ...body }) {
      const draft = await api.makePart(shop, body);
      await wish("open-part", { shop, part: draft.part });
    },
    /** Brings a file in. One that is there already is asked about first: `clashes` in the state. */
    async "take-file"({ shop, name, blob, over = false }) {
      const without = (clashes) => clashes.filter((c) => c.shop !== shop || c.name !== name);
      try {
        await api.upload(shop, name, blob, over);
      } catch (error) {
        if (over || !(error instanceof Refused) || error.status !== 409) throw error;
        store.set((now) => ({ clashes: Object.freeze([...without(now.clashes), { shop, name, blob }]) }));
        return;
      }
      store.set((now) => ({ clashes: Object.freeze(without(now.clashes)) }));
      store.set({ message: { words: say("start.taken", { name }), kind: "good" } });
      await readShops();
    },
    /** Leaves a file that is there as it is. */
    async "leave-file"({ shop, name }) {
      store.set((now) => ({ clashes: Object.freeze(now.clashes.filter((c) => c.shop !== shop || c.name !== name)) }));
    },
    async "set-units"({ units }) {
      remembered.keepUnits(units);
      store.set({ units });
    },
    async "set-press"({ press }) {
      remembered.keepPress(store.get().shop, press);
      store.set({ press });
    },
    async "clear-message"() {
      store.set({ message: null });
    },
  };
}
