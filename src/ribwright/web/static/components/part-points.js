/** The points of an edge by number. Of many, a page of them round the picked one. */
import { fill, h, keepList, put, text } from "../dom.js";
import { drawnLoop, pointPaths } from "../logic/outline.js";
import { inFile, together } from "../logic/placing.js";
import { edgeAt } from "./part-edge.js";
import { pointField } from "./part-field.js";

const PAGE = 8;

export function pointsTable(ctx, path) {
  const { app } = ctx;
  const { say } = app;
  const rows = h("div", { class: "part-points" });
  const fields = new Map();
  let page = 0;
  let followed = "";
  const turn = (by) => { page += by; update(ctx.now()); };
  const earlier = h("button", { type: "button", onclick: () => turn(-1) }, say("part.points_before"));
  const later = h("button", { type: "button", onclick: () => turn(1) }, say("part.points_after"));
  const which = h("span", {});
  const pages = h("div", { class: "part-buttons part-pages" }, earlier, which, later);

  /** The points: the start first, with the path and name of each. */
  let known = { sketch: null, points: [] };
  const all = (now) => {
    if (known.sketch !== now.draft.sketch) known = { sketch: now.draft.sketch, points: pointsNow(now) };
    return known.points;
  };
  const pointsNow = (now) => {
    const { loop, edge } = edgeAt(now, path);
    if (!edge) return [];
    const i = loop.edges.indexOf(edge);
    const before = i === 0 ? { path: `${loop.path}.start`, mm: loop.start_mm } : { path: pointPaths(loop.edges[i - 1]).at(-1), mm: loop.edges[i - 1].points_mm.at(-1) };
    const paths = pointPaths(edge);
    const names = edge.kind === "spline" ? edge.points_mm.map((_, k) => String(k + 1)) : edge.kind === "arc" ? [say("part.through"), say("part.to")] : [say("part.to")];
    return [{ ...before, name: say("part.from"), fixed: !before.path }, ...edge.points_mm.map((mm, k) => ({ path: paths[k], mm, name: names[k], fixed: !paths[k], spline: edge.kind === "spline" && !edge.ordinates, k }))];
  };

  const make = (point) => {
    const at = (now) => all(now).find((q) => q.path === point.path)?.mm ?? null;
    const one = pointField(ctx, { path: point.path, label: point.name, mm: at, paths: (now) => together((now.draft.sketch.loops ?? []).map(drawnLoop), point.path) });
    for (const input of one.inputs) input.onfocus = () => ctx.now().picked !== point.path && app.wish("pick", { path: point.path });
    const drop = h("button", { type: "button", class: "part-small", "aria-label": say("part.point_remove", { name: point.name }), onclick: () => app.wish("edit-draft", { ops: [{ op: "remove", path: point.path }] }) }, "×");
    const insert = h("button", { type: "button", class: "part-small", "aria-label": say("part.point_insert", { name: point.name }), onclick: () => {
      const now = ctx.now();
      const points = all(now);
      const i = points.findIndex((q) => q.path === point.path);
      const half = [0, 1].map((c) => (points[i].mm[c] + points[i - 1].mm[c]) / 2);
      app.wish("edit-draft", { ops: [{ op: "insert", path: point.path, value: inFile(half, now.draft.sketch.units) }] });
    } }, "+");
    if (point.spline) one.tools.append(insert, drop);
    const row = h("div", { class: "part-point" }, one.el);
    fields.set(row, one);
    return row;
  };

  const update = (now) => {
    const points = all(now);
    const picked = points.findIndex((q) => q.path && q.path === now.picked);
    if (picked >= 0 && followed !== now.picked) page = Math.floor(picked / PAGE);
    followed = now.picked;
    const last = Math.max(0, Math.ceil(points.length / PAGE) - 1);
    page = Math.max(0, Math.min(last, page));
    const some = points.slice(page * PAGE, (page + 1) * PAGE).filter((q) => !q.fixed);
    keepList(rows, some, (q) => q.path, make, (row, q) => {
      fields.get(row).update(now);
      put(row, "data-picked", q.path === now.picked);
    });
    pages.hidden = last === 0;
    earlier.disabled = page === 0;
    later.disabled = page === last;
    text(which, say("part.points_page", { from: page * PAGE + 1, to: Math.min(points.length, (page + 1) * PAGE), of: points.length }));
  };
  return { el: fill(h("div", {}), rows, pages), update };
}
