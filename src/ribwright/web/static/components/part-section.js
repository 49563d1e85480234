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

function picture(p, name, say, units) {
  const cut = sectionOf(p);
  const box = [[-cut.web * 0.62, 0], ...cut.outline.slice(1, -1), [Math.max(cut.mold[0], 0), cut.mold[1]]];
  const xs = box.map((q) => q[0]);
  const ys = box.map((q) => q[1]);
  // room for the line that carries the web on, and for the words above the heel face
  const reach = Math.max(p.width * 0.75, 1);
  const [left, right] = [Math.min(...xs), Math.max(...xs, reach)];
  const [low, high] = [Math.min(...ys), Math.max(...ys)];
  const k = Math.min((WIDE - 60) / (right - left), (TALL - (p.up ? 70 : 92)) / (high - low));
  const [x0, y0] = [30 - k * left + (WIDE - 60 - k * (right - left)) / 2, p.up ? 26 + k * high : 66 + k * high];
  const at = ([x, y]) => [x0 + k * x, y0 - k * y];
  const path = (points) => points.map((q, i) => `${i ? "L" : "M"}${at(q).map((c) => c.toFixed(1)).join(" ")}`).join("");
  const outline = cut.outline.map((q, i) => (i === 0 || i === cut.outline.length - 1 ? [left, q[1]] : q));
  const [fx, fy] = at([0, p.up ? -p.thickness : 0]);
  const r = Math.min(0.62 * k * reach, 92);
  const turn = ((p.up ? 1 : -1) * p.angle * Math.PI) / 180;
  const [ax, ay] = [fx + r * Math.cos(turn), fy - r * Math.sin(turn)];
  const middle = turn / 2;
  const [wx, wy] = [fx + (r + 12) * Math.cos(middle), fy - (r + 12) * Math.sin(middle)];
  const [hx, hy] = at([left * 0.62, p.up ? 0 : 0]);
  const words = [say(`part.turned_${p.up ? "up" : "down"}`), stanceWords(say, p.angle)].join(", ");
  const caption = h("figcaption", {}, p.place ? h("b", {}, `${say(`part.at_${p.place}`)}: `) : null, words);
  return h("figure", { class: "part-cut" },
    s("svg", { viewBox: `0 0 ${WIDE} ${TALL}`, role: "img", "aria-label": `${say("part.section_of", { name })} ${words}` },
      s("defs", {}, s("marker", { id: "part-arrow", viewBox: "0 0 10 10", refX: 9, refY: 5, markerWidth: 8, markerHeight: 8, orient: "auto-start-reverse" }, s("path", { d: "M0 0L10 5L0 10Z" }))),
      s("path", { d: `M${fx} ${fy}H${Math.min(WIDE - 8, fx + r + 26)}`, class: "part-cut-flat" }),
      s("path", { d: `M${fx + r} ${fy}A${r} ${r} 0 0 ${p.up ? 0 : 1} ${ax.toFixed(1)} ${ay.toFixed(1)}`, class: "part-cut-angle", "marker-end": "url(#part-arrow)" }),
      s("path", { d: `${path(outline)}Z`, class: "part-cut-metal" }),
      s("path", { d: `M${hx} ${hy - 44}V${hy - 3}`, class: "part-cut-angle", "marker-end": "url(#part-arrow)" }),
      s("text", { x: hx + 8, y: hy - 30 }, say("part.heel_face")), s("text", { x: hx + 8, y: hy - 12 }, say("part.from_above")),
      s("text", { x: Math.min(wx, WIDE - 92), y: wy + 6, class: "part-cut-figure" }, angle(p.angle)),
      s("text", { x: at([left, 0])[0] + 4, y: at([0, -p.thickness])[1] + 20 }, say("part.web_word"))),
    caption,
    h("p", { class: "part-cut-sizes" }, say("part.section_sizes", { width: length(p.width, units), radius: length(p.radius, units), thickness: length(p.thickness, units) })));
}

