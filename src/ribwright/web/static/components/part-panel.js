/**
 * The panel of what is picked. A panel for one kind of thing is `make(ctx, path, now) -> {el, title, about, update(now), moved(now)}`;
 * made anew when `make.shape(now, path)` changes. `moved` shows what a point in the hand changes.
 */
import { fill, h, text } from "../dom.js";
import { detailPanel } from "./part-details.js";
import { edgePanel } from "./part-edge.js";
import { flangePanel } from "./part-flange.js";
import { headPanel } from "./part-heads.js";
import { holePanel } from "./part-hole.js";
import { markList } from "./part-marks.js";
import { cornerPanel, cutoutPanel, otherPanel, rivetsPanel } from "./part-others.js";
import { newPanel } from "./part-new.js";
import { penPanel } from "./part-pen.js";

function makerOf(path, drawing) {
  if (drawing) return penPanel;
  if (!path) return newPanel;
  if (/\.edge\[\d+\]$/.test(path)) return edgePanel;
  if (path.startsWith("flange.")) return flangePanel;
  const kind = /^(\w+)\[\d+\]$/.exec(path)?.[1];
  return { hole: holePanel, corner: cornerPanel, cutout: cutoutPanel, rivets: rivetsPanel, notch: detailPanel, flute: detailPanel, joggle: detailPanel, bead: detailPanel }[kind] ?? (kind ? otherPanel : headPanel);
}

/** Whether what is picked is still there. */
function there(now, path) {
  const { loops = [], holes = [], corners = [], rivets = [], flanges = [], others = [] } = now.draft.sketch ?? {};
  const item = /[\]]$|^flange\./.test(path);
  return !item || [...loops, ...loops.flatMap((l) => l.edges), ...holes, ...corners, ...rivets, ...flanges, ...others].some((one) => one.path === path);
}

export function mount(el, ctx) {
  const title = h("h2", { class: "part-panel-title", tabindex: "-1" });
  const about = h("p", { class: "quiet part-panel-about" });
  const marks = markList(ctx, { tries: false });
  const inside = h("div", { class: "part-panel-inside" });
  fill(el, h("section", { class: "part-panel sheet", "aria-label": ctx.app.say("part.picked") }, title, about, marks.el, inside));
  let open = "";
  let panel = null;

  const show = (now) => {
    const drawing = ctx.desk.get().tool.kind === "pen";
    const path = drawing ? "pen" : ctx.owner(now);
    const make = makerOf(there(now, path) ? path : "", drawing);
    const key = `${now.shop}/${now.part} ${path} ${make.shape?.(now, path, ctx) ?? ""}`;
    if (key !== open) {
      const focused = inside.contains(document.activeElement) ? document.activeElement.dataset.key : "";
      open = key;
      panel = make(ctx, path, now);
      fill(inside, panel.el);
      panel.update(now);
      if (focused) inside.querySelector(`[data-key="${CSS.escape(focused)}"]`)?.focus();
    } else panel.update(now);
    text(title, panel.title(now));
    text(about, panel.about?.(now) ?? "");
    about.hidden = !about.textContent;
    marks.update(path ? ctx.marks.filter((m) => m.owner === path && m.severity !== "note") : []);
  };
  return {
    update: show,
    desk(now, desk, before) {
      if (desk.tool !== before.tool || desk.pen !== before.pen) show(now);
      // a point in the hand changes its own numbers alone: this runs for every frame of a drag
      else if (desk.moves !== before.moves) panel?.moved?.(now);
    },
  };
}
