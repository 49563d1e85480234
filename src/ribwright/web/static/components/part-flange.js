/** The fields of a flange with its section drawn, in the panel of an edge that has it or in a panel of its own. */
import { h } from "../dom.js";
import { valueAt, varies } from "../logic/beside.js";
import { drawnLoop } from "../logic/outline.js";
import { alongField } from "./part-along.js";
import { field } from "./part-field.js";
import { nameField } from "./part-names.js";
import { ownFields } from "./part-own.js";
import { sectionSketch } from "./part-section.js";

export const flangeNamed = (now, name) => (now.draft.sketch?.flanges ?? []).find((f) => f.name === name);
const edgesWith = (now, name) => (now.draft.sketch?.loops ?? []).flatMap((loop) => loop.edges.map((edge) => ({ loop, edge }))).filter(({ edge }) => edge.flange === name);

/** @param {{edge?: string}} where the edge whose section is drawn; without it the first that has the flange */
export function flangeFields(ctx, name, where = {}) {
  const { say } = ctx.app;
  const path = `flange.${name}`;
  const of = (key) => `${path}.${key}`;
  const fields = [
    alongField(ctx, { path: of("width"), label: say("part.width"), kind: "length", stations: (now) => flangeNamed(now, name)?.width_mm }),
    alongField(ctx, { path: of("bend_angle"), label: say("part.bend_angle"), kind: "angle", stations: (now) => flangeNamed(now, name)?.bend_angle_deg }),
    field(ctx, { path: of("bend_radius"), label: say("part.bend_radius"), kind: "length" }),
    field(ctx, { path: of("turn"), label: say("part.turn"), kind: "choice", optional: true, absent: say("part.turn_down_absent"), options: ["down", "up"].map((t) => [t, say(`part.turn_${t}`)]) }),
    field(ctx, { path: of("flutes"), label: say("part.flutes"), kind: "choice", optional: true, absent: say("part.flutes_absent"), options: ["none", "plan", "drawn"].map((t) => [t, say(`part.flutes_${t}`)]) }),
  ];
  const others = h("p", { class: "quiet" });
  const section = sectionSketch(ctx);
  return {
    el: h("div", {}, others, section.el, ...fields.map((f) => f.el)),
    update(now) {
      for (const one of fields) one.update(now);
      const on = edgesWith(now, name);
      const words = on.map(({ edge }) => edge.name).join(", ");
      if (others.textContent !== words) others.textContent = on.length > 1 ? say("part.flange_edges", { names: words }) : on.length ? say("part.flange_edge", { names: words }) : say("part.flange_unused");
      section.update(now, sectionAsked(now, name, on.find(({ edge }) => edge.path === where.edge) ?? on[0]));
    },
  };
}

/** What the section sketch shows: the flange at places along the edge, one where it is the same everywhere. */
function sectionAsked(now, name, on) {
  const flange = flangeNamed(now, name);
  if (!flange) return null;
  const edge = on && drawnLoop(on.loop).edges.find((e) => e.path === on.edge.path);
  const way = edge?.way || 0;
  const at = (s) => ({ angle: valueAt(flange.bend_angle_deg, s, way), width: valueAt(flange.width_mm, s, way), radius: flange.bend_radius_mm, thickness: now.draft.sketch.thickness_mm, up: flange.turn === "up" });
  const shares = varies(flange.bend_angle_deg) || varies(flange.width_mm) ? [["start", 0], ["end", 1]] : [["", 0]];
  return { name: on?.edge.name ?? name, places: shares.map(([place, share]) => ({ place, ...at(share * way) })) };
}

export function flangePanel(ctx, path) {
  const { say, wish } = ctx.app;
  const name = path.slice(7);
  const called = nameField(ctx, path, say("part.flange_name"));
  const fields = flangeFields(ctx, name);
  const remove = h("button", { type: "button", onclick: () => wish("edit-draft", { ops: [{ op: "remove", path }] }).then((done) => done && wish("pick", { path: "" })) }, say("part.remove_flange"));
  const carried = ownFields(ctx, path, ["flange_width", "flange_angle", "bend_radius"]);
  return {
    el: h("div", {}, called.el, fields.el, carried.el, h("div", { class: "part-buttons" }, remove)),
    title: () => say("part.flange_titled", { name }),
    update(now) {
      called.update(now);
      fields.update(now);
      carried.update(now);
    },
  };
}
