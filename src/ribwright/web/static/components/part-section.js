/**
 * The section of a flange, drawn square to its edge: web, bend, flange, the angle turned from flat, open or closed by how much, and from
 * where the drawing looks at the web. One picture for every place asked for.
 */
import { fill, h, s } from "../dom.js";
import { sectionOf, stance } from "../logic/section.js";
import { angle, length } from "../logic/units.js";

const [WIDE, TALL] = [400, 214];

export function sectionSketch(ctx) {
  const { say } = ctx.app;
  const pictures = h("div", { class: "part-sections" });
  const nothing = h("p", { class: "quiet" }, say("part.section_unknown"));
  const el = h("div", { class: "part-section" }, pictures, nothing);
  let shown = "";
  return {
    el,
    /** @param asked {name, places: [{place, angle, radius, thickness, width, up}]} or null */
    update(now, asked) {
      const good = (asked?.places ?? []).filter((p) => [p.angle, p.radius, p.thickness, p.width].every((v) => Number.isFinite(v) && v !== null) && p.angle > 0 && p.angle < 180);
      nothing.hidden = good.length > 0;
      const key = JSON.stringify([good, asked?.name, now.units]);
      if (key === shown) return;
      shown = key;
      fill(pictures, good.map((p) => picture(p, asked.name, say, now.units)));
    },
  };
}

/** "84 deg from flat: open by 6 deg" */
export function stanceWords(say, angleDeg) {
  const { word, by } = stance(angleDeg);
  return say(`part.stance_${word}`, { angle: angle(angleDeg), by: angle(by) });
}

/** How long the web is drawn [px]: room for the words above its heel face. */
const WEB = 206;
let arrows = 0;

function picture(p, name, say, units) {
  const cut = sectionOf(p);
  const beyond = cut.outline.slice(1, -1);
  const heights = beyond.map((q) => q[1]);
  const [right, low, high] = [Math.max(...beyond.map((q) => q[0]), 1), Math.min(...heights), Math.max(...heights)];
  const k = Math.min((WIDE - WEB - 40) / right, (TALL - (p.up ? 56 : 84)) / (high - low));
  const [x0, y0] = [16 + WEB, (p.up ? 20 : 60) + k * high];
  const at = ([x, y]) => [x0 + k * x, y0 - k * y];
  const path = (points) => points.map((q, i) => `${i ? "L" : "M"}${at(q).map((c) => c.toFixed(1)).join(" ")}`).join("");
  const left = -WEB / k;
  const outline = cut.outline.map((q, i) => (i === 0 || i === cut.outline.length - 1 ? [left, q[1]] : q));
  // the angle stands where web and flange would meet without a bend; of a flange folded far back that point is too far off
  const [fx, fy] = at(p.angle > 140 ? [0, cut.mold[1]] : cut.mold);
  const r = Math.min(Math.max(0.6 * k * p.width, 40), 74);
  const turn = ((p.up ? 1 : -1) * p.angle * Math.PI) / 180;
  const [ax, ay] = [fx + r * Math.cos(turn), fy - r * Math.sin(turn)];
  const narrow = p.angle < 50;
  const [wx, wy] = narrow ? [fx + 8, fy + (p.up ? 16 : -20)] : [fx + (r + 10) * Math.cos(turn / 2), fy - (r + 10) * Math.sin(turn / 2)];
  const [bend] = at([0, 0]);
  const [hx, hy] = [34, at([0, 0])[1]];
  const arrow = `part-arrow-${(arrows += 1)}`;
  const words = [say(`part.turned_${p.up ? "up" : "down"}`), stanceWords(say, p.angle)].join(", ");
  const caption = h("figcaption", {}, p.place ? h("b", {}, `${say(`part.at_${p.place}`)}: `) : null, words);
  return h("figure", { class: "part-cut" },
    s("svg", { viewBox: `0 0 ${WIDE} ${TALL}`, role: "img", "aria-label": `${say("part.section_of", { name })} ${words}` },
      s("defs", {}, s("marker", { id: arrow, viewBox: "0 0 10 10", refX: 9, refY: 5, markerWidth: 8, markerHeight: 8, orient: "auto-start-reverse" }, s("path", { d: "M0 0L10 5L0 10Z" }))),
      s("path", { d: `M${bend} ${fy}H${Math.min(WIDE - 6, fx + r + 22)}`, class: "part-cut-flat" }),
      s("path", { d: `M${fx + r} ${fy}A${r} ${r} 0 0 ${p.up ? 0 : 1} ${ax.toFixed(1)} ${ay.toFixed(1)}`, class: "part-cut-angle", "marker-end": `url(#${arrow})` }),
      s("path", { d: `${path(outline)}Z`, class: "part-cut-metal" }),
      s("path", { d: `M${hx} ${hy - 44}V${hy - 3}`, class: "part-cut-angle", "marker-end": `url(#${arrow})` }),
      s("text", { x: hx + 8, y: hy - 30 }, say("part.heel_face")), s("text", { x: hx + 8, y: hy - 12 }, say("part.from_above")),
      s("text", { x: Math.min(wx, WIDE - 80), y: wy + 6, class: "part-cut-figure" }, angle(p.angle)),
      s("text", { x: 20, y: at([0, -p.thickness])[1] + 20 }, say("part.web_word"))),
    caption,
    h("p", { class: "part-cut-sizes" }, say("part.section_sizes", { width: length(p.width, units), radius: length(p.radius, units), thickness: length(p.thickness, units) })));
}

