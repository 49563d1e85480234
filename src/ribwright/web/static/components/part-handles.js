/** Handles of points and the ghost of what a press would place, in pixels. */
import { put, s, text } from "../dom.js";
import { penPoint } from "../logic/pen.js";
import { inMm, snapped, written } from "../logic/placing.js";
import { fromMm } from "../logic/units.js";
import { toPixels } from "../logic/view.js";

/** Where a press would put a point, and the outline's points so far: shapes in pixels. */
export function ghostOf(drawn, { tool, pen }, pointer) {
  const unit = drawn.sketch.units ?? "in";
  const out = [];
  const dot = (p) => s("circle", { cx: p[0], cy: p[1], r: 5, class: "part-ghost-dot" });
  const last = pen && penPoint(pen);
  if (pen?.start) out.push(...[pen.start, ...pen.edges.flatMap((e) => e.points), ...pen.pending].map((p) => dot(toPixels(drawn.view, inMm(p, unit)))));
  if (!pointer || tool.kind === "pick") return out;
  const [x, y] = toPixels(drawn.view, inMm(snapped(pointer, unit), unit));
  out.push(s("path", { d: `M${x} 0V${drawn.height}M0 ${y}H${drawn.width}`, class: "part-ghost" }));
  if (last && !pen.closed) {
    const [a, b] = toPixels(drawn.view, inMm(last, unit));
    out.push(s("path", { d: `M${a} ${b}L${x} ${y}`, class: "part-ghost" }));
  }
  if (tool.kind === "new-bead" && tool.from) {
    const [a, b] = toPixels(drawn.view, inMm(tool.from, unit));
    out.push(dot([a, b]), s("path", { d: `M${a} ${b}L${x} ${y}`, class: "part-ghost" }));
  }
  return out;
}

/** A handle that picks its point when it has the focus. */
export function handle(pick) {
  const node = s("g", { class: "part-handle", tabindex: 0, role: "button" }, s("rect", { x: -6, y: -6, width: 12, height: 12 }), s("text", { x: 10, y: -8 }));
  node.onfocus = () => node.dataset.path && pick(node.dataset.path);
  return node;
}

/** Brings a handle in step with its point. */
export function showHandle(node, q, now, drawn, say) {
  const [x, y] = toPixels(drawn.view, q.at);
  put(node, "transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
  put(node, "data-path", q.path || null);
  put(node, "data-fixed", q.fixed);
  put(node, "data-picked", Boolean(q.path) && q.path === now.picked);
  const unit = drawn.sketch.units ?? "in";
  const [px, py] = q.at.map((c) => written(fromMm(c, unit), unit));
  put(node, "aria-label", say("part.point_at", { n: q.number, x: px, y: py }));
  text(node.lastChild, q.path && q.path === now.picked ? String(q.number) : "");
}
