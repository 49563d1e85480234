/** The panel of a hole: place, kind, sizes, and the section of its flange. */
import { h, put } from "../dom.js";
import { holeWidth } from "../logic/section.js";
import { field, fieldset, pointField } from "./part-field.js";
import { nameField } from "./part-names.js";
import { ownFields } from "./part-own.js";
import { sectionSketch } from "./part-section.js";

const holeAt = (now, path) => (now.draft.sketch?.holes ?? []).find((hole) => hole.path === path);
const SIZES = ["cut_diameter", "rim_diameter", "flange_height", "flat_height"];
const OF_KIND = { lightening: ["line", ...SIZES, "bend_angle", "bend_radius", "turn"], tooling: ["pin_fit", "slot", "slot_angle"], plain: [] };

export function holePanel(ctx, path, made) {
  const { app, desk } = ctx;
  const { say } = app;
  const edit = (ops) => app.wish("edit-draft", { ops });
  const given = (now, key) => now.draft.sketch.values?.[`${path}.${key}`] !== undefined;
  const hole = holeAt(made, path);
  const length = (key, more = {}) => field(ctx, { path: `${path}.${key}`, label: say(`part.${key}`), kind: "length", ...more });
  const name = nameField(ctx, path, say("part.hole_name"));

  const kind = h("select", { id: "part-hole-kind", "data-key": `${path}.kind` }, ["lightening", "tooling", "plain"].map((k) => h("option", { value: k }, say(`part.hole_${k}`))));
  kind.onchange = () => {
    const now = ctx.now();
    const gone = [...new Set(Object.values(OF_KIND).flat())].filter((key) => given(now, key) && !OF_KIND[kind.value].includes(key));
    edit([{ op: "set", path: `${path}.kind`, value: kind.value }, ...gone.map((key) => ({ op: "remove", path: `${path}.${key}` }))]);
  };
  const at = pointField(ctx, { path: `${path}.at`, label: say("part.centre"), mm: (now) => holeAt(now, path)?.at_mm ?? null });

  const kinds = {
    lightening: () => {
      const which = h("select", { id: "part-hole-size", "data-key": `${path} size` }, SIZES.map((key) => h("option", { value: key }, say(`part.${key}`))));
      const chosen = SIZES.find((key) => given(made, key)) ?? SIZES[0];
      which.value = chosen;
      which.onchange = () => edit([...SIZES.filter((key) => given(ctx.now(), key)).map((key) => ({ op: "remove", path: `${path}.${key}` })), { op: "set", path: `${path}.${which.value}`, value: "" }]);
      const section = sectionSketch(ctx);
      const fields = [
        length("diameter"), field(ctx, { path: `${path}.line`, label: say("part.hole_line"), kind: "choice", optional: true, absent: say("part.hole_line_absent"), options: [["bend-tangent-line", say("part.line_bend_tangent")], ["outside-mold-line", say("part.line_outside")]] }),
        length(chosen), field(ctx, { path: `${path}.bend_angle`, label: say("part.bend_angle"), kind: "angle" }), length("bend_radius"),
        field(ctx, { path: `${path}.turn`, label: say("part.turn"), kind: "choice", optional: true, absent: say("part.turn_down_absent"), options: ["down", "up"].map((t) => [t, say(`part.turn_${t}`)]) }),
      ];
      const size = h("div", { class: "part-field" }, h("label", { for: "part-hole-size" }, say("part.hole_size")), h("div", { class: "part-field-line" }, which));
      return { nodes: [section.el, fields[0].el, fields[1].el, size, ...fields.slice(2).map((f) => f.el)], update: (now) => {
        for (const one of fields) one.update(now);
        const h_ = holeAt(now, path);
        const t = now.draft.sketch.thickness_mm;
        section.update(now, h_ && { name: h_.name, places: [{ place: "", angle: h_.bend_angle_deg, radius: h_.bend_radius_mm, thickness: t, width: holeWidth(h_, t), up: h_.turn === "up" }] });
      } };
    },
    tooling: () => simple([length("diameter"), length("pin_fit", { optional: true }), length("slot", { optional: true }), field(ctx, { path: `${path}.slot_angle`, label: say("part.slot_angle"), kind: "angle", optional: true })]),
    plain: () => simple([length("diameter")]),
  };
  const sizes = (kinds[hole?.kind] ?? kinds.plain)();
  const carried = ownFields(ctx, path, ["hole_position", "hole_diameter", ...(hole?.kind === "lightening" ? ["flange_width", "flange_angle", "bend_radius"] : [])]);
  const hand = h("button", { type: "button", onclick: () => desk.set({ tool: { kind: "place", path: `${path}.at` } }) }, say("part.place_hand"));
  const el = h("div", {}, name.el,
    h("div", { class: "part-field" }, h("label", { for: "part-hole-kind" }, say("part.hole_kind")), h("div", { class: "part-field-line" }, kind)),
    fieldset(say("part.place"), at.el, h("div", { class: "part-buttons" }, hand)), fieldset(say("part.sizes"), ...sizes.nodes), carried.el,
    h("div", { class: "part-buttons" }, h("button", { type: "button", onclick: () => edit([{ op: "remove", path }]).then((done) => done && app.wish("pick", { path: "" })) }, say("part.remove_hole"))));
  return {
    el,
    moved: (now) => at.update(now),
    title: (now) => say("part.hole_titled", { name: holeAt(now, path)?.name ?? "" }),
    update(now) {
      name.update(now);
      put(hand, "aria-pressed", String(desk.get().tool.kind === "place"));
      if (document.activeElement !== kind) kind.value = holeAt(now, path)?.kind ?? "";
      at.update(now);
      sizes.update(now);
      carried.update(now);
    },
  };
}
holePanel.shape = (now, path) => [holeAt(now, path)?.kind, ...SIZES.filter((key) => now.draft.sketch?.values?.[`${path}.${key}`] !== undefined)].join();

function simple(fields) {
  return { nodes: fields.map((f) => f.el), update: (now) => fields.forEach((f) => f.update(now)) };
}
