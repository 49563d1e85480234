/** What any thing of the drawing may carry: its number on the drawing and tolerances of its own. */
import { h } from "../dom.js";
import { field } from "./part-field.js";

/** @param {string[]} keys tolerances that fit this kind of thing */
export function ownFields(ctx, path, keys) {
  const { say } = ctx.app;
  const fields = [
    field(ctx, { path: `${path}.balloon`, label: say("part.balloon"), kind: "text", optional: true }),
    ...keys.map((key) => toleranceField(ctx, `${path}.tolerance.${key}`, key, say("part.t_general"))),
  ];
  const el = h("details", { class: "part-own" }, h("summary", {}, say("part.own")), ...fields.map((f) => f.el));
  return { el, update: (now) => fields.forEach((f) => f.update(now)) };
}

/** One tolerance: plus and minus, or [minus, plus]. */
export const toleranceField = (ctx, path, key, absent) =>
  field(ctx, { path, label: ctx.app.say(`part.t_${key}`), kind: key === "flange_angle" ? "angle" : "length", optional: true, absent, pair: true });
