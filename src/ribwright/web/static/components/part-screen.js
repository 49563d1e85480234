/**
 * The part: drawn, picked at, changed by hand and by number; its text beside. What the hand is doing is kept in a `desk` (logic/desk.js).
 * The components under it share `ctx`:
 * {app, desk, marks, now, owner}; `now()` is the state with a draft that can be drawn, `owner(now)` the thing picked.
 */
import { fill, h, stylesheet } from "../dom.js";
import { FIRST_DESK, PICK } from "../logic/desk.js";
import { marksOf } from "../logic/marks.js";
import { pickedThing } from "../logic/paths.js";
import { fresh, makeStore } from "../state.js";
import { mount as mountDrawing } from "./part-drawing.js";
import { mount as mountList } from "./part-list.js";
import { mount as mountMarks } from "./part-marks.js";
import { mount as mountPanel } from "./part-panel.js";
import { mount as mountText } from "./part-text.js";

const STYLES = ["part-drawing", "part-list", "part-marks", "part-panel", "part-points", "part-field", "part-section", "part-text"];
const CHECK_AFTER_MS = 900;

export function mount(el, app) {
  STYLES.forEach(stylesheet);
  const desk = makeStore(FIRST_DESK);
  const hosts = Object.fromEntries(["drawing", "list", "marks", "panel", "text"].map((name) => [name, h("div", { class: `part-area part-area-${name}` })]));
  fill(el, h("div", { class: "part-screen" }, hosts.drawing, hosts.list, hosts.panel, hosts.text, hosts.marks));
  const ctx = { app, desk, marks: [], now: () => shownOf(app.store.get()) };
  const parts = [mountDrawing(hosts.drawing, ctx), mountList(hosts.list, ctx), mountMarks(hosts.marks, ctx), mountPanel(hosts.panel, ctx), mountText(hosts.text, ctx)];
  let last = { key: "", sketch: null };
  let shown = { draft: null, old: null };
  let thing = "";
  ctx.owner = (now) => {
    thing = pickedThing(now.draft?.sketch ?? {}, now.picked, thing);
    return thing;
  };
  let waiting = null;
  let marksFor = [];
  let open = "";

  /** While the text cannot be read at all, what was drawn last stays, marked as old. */
  const shownOf = (state) => {
    const { draft } = state;
    const key = `${state.shop}/${state.part}`;
    const read = draft && (draft.sketch?.units || draft.faults.length === 0 || Object.keys(draft.sketch?.values ?? {}).length > 0);
    if (read) last = { key, sketch: draft.sketch };
    if (!draft || read || last.key !== key) return state;
    if (shown.draft !== draft) shown = { draft, old: Object.freeze({ ...draft, sketch: last.sketch, old: true }) };
    return { ...state, draft: shown.old };
  };

  /** The closed form's findings, a moment after the last change. */
  const checkLater = (now) => {
    clearTimeout(waiting);
    if (!now.draft || now.draft.faults.length || fresh(now, "check")) return;
    waiting = setTimeout(() => {
      const then = app.store.get();
      if (then.screen !== "part" || !then.draft || then.draft.faults.length || fresh(then, "check")) return;
      app.wish("start-job", { name: "check", kind: "check", options: { press: then.press, model: "closed-form" } });
    }, CHECK_AFTER_MS);
  };

  const show = (now, before) => {
    if (!now.draft) return;
    if (open !== `${now.shop}/${now.part}`) {
      open = `${now.shop}/${now.part}`;
      desk.set(FIRST_DESK);
      scrollTo(0, 0);
    }
    const check = now.jobs.check;
    const findings = check?.state === "done" && fresh(now, "check") ? (check.result?.findings ?? []) : [];
    if (marksFor[0] !== now.draft || marksFor[1] !== check) {
      marksFor = [now.draft, check];
      ctx.marks = marksOf(now.draft, findings);
    }
    for (const part of parts) part.update(now, before);
  };
  desk.watch((now, before) => {
    const state = ctx.now();
    if (state.draft && state.screen === "part") for (const part of parts) part.desk?.(state, now, before);
  });
  return {
    update(now, before) {
      // another thing picked: a tool meant for the one before, or for a new one, is put down; an outline stays in the hand
      if (now.picked !== before.picked && desk.get().tool.kind !== "pen") desk.set({ tool: PICK });
      show(shownOf(now), before);
      if (now.draft !== before.draft || now.press !== before.press || now === before) checkLater(now);
    },
  };
}
