/** Panels of the head of the part file: number and title, sheet, drawn line, approval, tolerances, blank and block. */
import { h } from "../dom.js";
import { field } from "./part-field.js";
import { toleranceField } from "./part-own.js";

const TOLERANCES = ["contour", "flange_width", "flange_angle", "bend_radius", "web_flatness", "hole_position", "hole_diameter"];

export function headPanel(ctx, path) {
  const { say } = ctx.app;
  const materials = (now) => now.choices?.materials ?? [];
  const tempers = (now) => now.choices?.tempers ?? [];
  const text = (key, more = {}) => field(ctx, { path: key, label: say(`part.f_${key.replaceAll(".", "_")}`), kind: "text", optional: true, ...more });
  const choice = (key, values, more = {}) => field(ctx, { path: key, label: say(`part.f_${key.replaceAll(".", "_")}`), kind: "choice", options: values.map((v) => [v, say(`part.w_${v.replaceAll("-", "_")}`)]), ...more });
  const length = (key, more = {}) => field(ctx, { path: key, label: say(`part.f_${key.replaceAll(".", "_")}`), kind: "length", ...more });
  const heads = {
    part: () => [text("part.number", { optional: false }), text("part.revision", { optional: false }), text("part.title"), choice("part.hand", ["left", "right", "none"], { optional: true }), text("part.opposite"), choice("units", ["in", "mm"])],
    sheet: () => [
      text("sheet.material", { optional: false, suggest: materials }), text("sheet.formed_in", { suggest: (now) => ["as bought", ...tempers(now)], absent: "as bought" }), text("sheet.final", { suggest: tempers }),
      length("sheet.thickness"), field(ctx, { path: "sheet.grain", label: say("part.f_sheet_grain"), kind: "angle", optional: true, absent: "any" }),
    ],
    web: () => [choice("web.line", ["outside-mold-line", "inside-mold-line", "bend-tangent-line"], { optional: true })],
    approval: () => [text("approval.data"), text("approval.by"), text("approval.date")],
    tolerance: () => TOLERANCES.map((key) => toleranceField(ctx, `tolerance.${key}`, key, say("part.t_none"))),
    blank: () => [length("blank.trim", { optional: true, absent: "0" }), text("blank.side_up"), choice("block.undercut", ["varying", "constant-per-edge", "none"], { optional: true })],
  };
  const known = path in heads ? path : path === "block" ? "blank" : path === "units" ? "part" : "";
  const fields = known ? heads[known]() : [];
  return {
    el: h("div", {}, ...fields.map((f) => f.el)),
    title: () => (known ? say(`part.head_${known}`) : path),
    about: () => (known === "tolerance" ? say("part.tolerance_about") : known === "web" ? say("part.web_about") : known ? "" : say("part.in_text")),
    update: (now) => fields.forEach((f) => f.update(now)),
  };
}
