/** The panel while nothing is picked: what can be added, and the outline drawn anew. */
import { fill, h, put, text } from "../dom.js";
import { PICK } from "../logic/desk.js";
import { newBead } from "../logic/details.js";
import { openCorners } from "../logic/listing.js";
import { newCorner, newHole } from "../logic/making.js";
import { newPen } from "../logic/pen.js";
import { typedValue } from "../logic/placing.js";
import { newBeadSet } from "./part-details.js";
import { fieldset } from "./part-field.js";

export function newPanel(ctx, path, made) {
  const { app, desk } = ctx;
  const { say } = app;
  const make = ({ ops, path }) => app.wish("edit-draft", { ops }).then((done) => done && app.wish("pick", { path }));
  const kind = h("select", { id: "part-new-hole-kind" }, ["lightening", "tooling", "plain"].map((k) => h("option", { value: k }, say(`part.hole_${k}`))));
  const [x, y] = ["x", "y"].map((axis) => h("input", { id: `part-new-hole-${axis}`, type: "text", autocomplete: "off", required: true }));
  const byHand = h("button", { type: "button", onclick: () => desk.set({ tool: desk.get().tool.kind === "new-hole" ? PICK : { kind: "new-hole", hole: { kind: kind.value } } }) }, say("part.place_hand"));
  const byNumber = h("form", { class: "part-field-line part-xy", onsubmit: (event) => {
    event.preventDefault();
    make(newHole(ctx.now().draft.sketch, { kind: kind.value }, [typedValue(x.value), typedValue(y.value)]));
    x.value = y.value = "";
  } }, h("label", { for: "part-new-hole-x" }, "x"), x, h("label", { for: "part-new-hole-y" }, "y"), y, h("button", { type: "submit" }, say("part.add_at")));
  const corners = h("div", { class: "part-buttons" });
  const cornerByHand = h("button", { type: "button", onclick: () => desk.set({ tool: desk.get().tool.kind === "new-corner" ? PICK : { kind: "new-corner" } }) }, say("part.corner_hand"));
  const noCorners = h("p", { class: "quiet" }, say("part.corners_all"));
  const cutoutName = h("input", { id: "part-new-cutout", type: "text", autocomplete: "off" });
  const outline = h("button", { type: "button", onclick: () => desk.set({ tool: { kind: "pen" }, pen: newPen("web") }) }, say("part.draw_outline"));
  const replaces = h("p", { class: "quiet" }, say("part.draw_replaces"));
  const cutout = h("button", { type: "button", onclick: () => desk.set({ tool: { kind: "pen" }, pen: newPen("cutout", cutoutName.value.trim() || say("part.cutout")) }) }, say("part.draw_cutout"));
  const bead = newBeadSet(ctx, (points) => make(newBead(ctx.now().draft.sketch, points.map((p) => p.map(typedValue)))));
  const bare = !newPanel.shape(made);
  const outlineSet = fieldset(say("part.outline"), outline, replaces);
  const cornerSet = fieldset(say("part.add_corner"), corners, cornerByHand, noCorners);
  return {
    el: h("div", {}, bare ? outlineSet : null,
      fieldset(say("part.add_hole"), h("div", { class: "part-field" }, h("label", { for: "part-new-hole-kind" }, say("part.hole_kind")), h("div", { class: "part-field-line" }, kind, byHand)), byNumber),
      bare ? null : cornerSet, bare ? null : bead.el, bare ? null : outlineSet,
      fieldset(say("part.add_cutout"), h("div", { class: "part-field" }, h("label", { for: "part-new-cutout" }, say("part.cutout_name")), h("div", { class: "part-field-line" }, cutoutName, cutout)))),
    title: () => say("part.nothing_picked"),
    about: () => say("part.nothing_about"),
    update(now) {
      const open = openCorners(now.draft.sketch ?? {});
      const key = JSON.stringify(open);
      if (corners.dataset.key !== key) {
        corners.dataset.key = key;
        fill(corners, open.map((at) => h("button", { type: "button", onclick: () => make(newCorner(ctx.now().draft.sketch, at)) }, at.join(" / "))));
      }
      noCorners.hidden = open.length > 0;
      cornerByHand.hidden = open.length === 0;
      put(cornerByHand, "aria-pressed", String(desk.get().tool.kind === "new-corner"));
      put(byHand, "aria-pressed", String(desk.get().tool.kind === "new-hole"));
      bead.update();
      replaces.hidden = bare;
      text(outline, say(replaces.hidden ? "part.draw_outline" : "part.draw_outline_anew"));
    },
  };
}
newPanel.shape = (now) => ((now.draft.sketch?.loops ?? []).some((l) => l.edges.length > 0) ? "drawn" : "");
