/**
 * The tables of a plan's answer: columns and rows of cells, in words given by `say`. Pure.
 *
 * A cell is text, a number {path, value, unit, label} that opens, or a list of such, one a line. `path` is its place in the answer,
 * `before` a word in front of it.
 */
import { plain } from "./units.js";

const SAME = 1e-6;
const num = (path, value, unit, label) => ({ path, value, unit, label });
const missing = (value) => value === null || value === undefined;

/** {min, max} as one number where both are the same, else two. */
function span(path, range, unit, label) {
  if (missing(range) || missing(range.min)) return "";
  if (Math.abs(range.max - range.min) < SAME) return num(`${path}.min`, range.min, unit, label);
  return [num(`${path}.min`, range.min, unit, label), num(`${path}.max`, range.max, unit, label)];
}

/** A number with its band: value, then low and high. */
function banded(path, p, unit, label, say) {
  if (missing(p) || missing(p.value)) return say("blank.not_known");
  return [num(`${path}.value`, p.value, unit, label), say("blank.band", { low: plain(p.low, 1), high: plain(p.high, 1), unit })];
}

export function edges({ blank }, say) {
  const columns = ["edge", "flat_width", "bend_allowance", "setback", "edge_strain", "thickness"].map((c) => say(`blank.col_${c}`));
  const rows = blank.edges.map((e, i) => {
    const at = `blank.edges[${i}]`;
    const cell = (key, unit, k) => (missing(e[key]) ? "" : span(`${at}.${key}`, e[key], unit, `${e.name}, ${columns[k]}`));
    if (missing(e.flat_width_mm)) return { key: e.name, cells: [e.name, say("blank.no_flange"), "", "", "", ""] };
    return {
      key: e.name,
      cells: [e.name, cell("flat_width_mm", "mm", 1), cell("bend_allowance_mm", "mm", 2), cell("setback_mm", "mm", 3),
        cell("edge_strain", "strain", 4), cell("thickness_mm", "mm", 5)],
    };
  });
  return { columns, rows };
}

export function holes({ blank }, say) {
  const columns = ["hole", "kind", "cut_diameter", "rim_diameter", "flange_height", "edge_strain"].map((c) => say(`blank.col_${c}`));
  const rows = blank.holes.map((h, i) => {
    const at = `blank.holes[${i}]`;
    const cell = (key, unit, k) => (missing(h[key]) ? "" : num(`${at}.${key}`, h[key], unit, `${h.name}, ${columns[k]}`));
    const kind = h.slot_mm > 0 ? say("blank.slotted", { kind: h.kind }) : h.kind;
    return {
      key: h.name,
      cells: [h.name, kind, cell("cut_diameter_mm", "mm", 2), cell("rim_diameter_mm", "mm", 3), cell("flange_height_mm", "mm", 4), cell("edge_strain", "strain", 5)],
    };
  });
  return { columns, rows };
}

export function corners({ blank }, say) {
  const columns = ["corner", "relief", "diameter", "set_back", "gap", "by"].map((c) => say(`blank.col_${c}`));
  const rows = blank.corners.map((c, i) => {
    const at = `blank.corners[${i}]`;
    const name = c.at.join(" / ");
    const cell = (key, k) => (missing(c[key]) ? "" : num(`${at}.${key}`, c[key], "mm", `${name}, ${columns[k]}`));
    return { key: name, cells: [name, c.relief, cell("diameter_mm", 2), cell("set_back_mm", 3), cell("gap_mm", 4), c.by] };
  });
  return { columns, rows };
}

/** Extent, area and cut line of the blank. */
export function blankSizes({ blank }, say) {
  const row = (name, cell) => ({ key: name, cells: [say(`blank.row_${name}`), cell] });
  const n = (name, path, value, unit) => row(name, num(path, value, unit, say(`blank.row_${name}`)));
  return {
    columns: [],
    rows: [
      n("length", "blank.size_mm[0]", blank.size_mm[0], "mm"),
      n("height", "blank.size_mm[1]", blank.size_mm[1], "mm"),
      n("area", "blank.area_mm2", blank.area_mm2, "mm2"),
      row("cut_line", say("blank.cut_line", blank.cut_line)),
      n("fit", "blank.cut_line.fit_mm", blank.cut_line.fit_mm, "mm"),
    ],
  };
}

export function undercut({ block }, say) {
  const columns = ["edge", "along", "bend_angle", "undercut", "wall_angle", "foot_setback", "edge_radius", "comes_out"].map((c) => say(`blank.col_${c}`));
  const rows = block.undercut.map((u, i) => {
    const at = `block.undercut[${i}]`;
    const label = (k) => `${u.edge}, ${columns[k]}`;
    return {
      key: `${i}`,
      cells: [u.edge, num(`${at}.along_mm`, u.along_mm, "mm", label(1)), num(`${at}.bend_angle_deg`, u.bend_angle_deg, "deg", label(2)),
        banded(`${at}.deg`, u.deg, "deg", label(3), say), num(`${at}.wall_angle_deg`, u.wall_angle_deg, "deg", label(4)),
        num(`${at}.setback_mm`, u.setback_mm, "mm", label(5)), num(`${at}.edge_radius_mm`, u.edge_radius_mm, "mm", label(6)),
        banded(`${at}.released_angle_deg`, u.released_angle_deg, "deg", label(7), say)],
    };
  });
  return { columns, rows };
}

export function recesses({ block }, say) {
  const columns = ["recess", "depth", "top_diameter", "bottom_diameter", "wall_angle", "undercut", "vent"].map((c) => say(`blank.col_${c}`));
  const rows = [["recesses", "recess_of"], ["rings", "ring_of"]].flatMap(([key, word]) =>
    block[key].map((r, i) => {
      const at = `block.${key}[${i}]`;
      const name = say(`blank.${word}`, { name: r.name });
      const n = (field, k, unit) => num(`${at}.${field}`, r[field], unit, `${name}, ${columns[k]}`);
      return {
        key: `${key} ${r.name}`,
        cells: [name, n("depth_mm", 1, "mm"), n("diameter_mm", 2, "mm"), n("bottom_diameter_mm", 3, "mm"), n("wall_angle_deg", 4, "deg"),
          banded(`${at}.undercut_deg`, r.undercut_deg, "deg", `${name}, ${columns[5]}`, say), r.vent_diameter_mm ? n("vent_diameter_mm", 6, "mm") : ""],
      };
    }));
  return { columns, rows };
}

export function pins({ block }, say) {
  const columns = ["pin", "x", "y", "pin_diameter", "hole_diameter", "slot"].map((c) => say(`blank.col_${c}`));
  const rows = block.pins.map((p, i) => {
    const at = `block.pins[${i}]`;
    const n = (path, value, k) => num(`${at}.${path}`, value, "mm", `${p.name}, ${columns[k]}`);
    return {
      key: p.name,
      cells: [p.name, n("at_mm[0]", p.at_mm[0], 1), n("at_mm[1]", p.at_mm[1], 2), n("diameter_mm", p.diameter_mm, 3), n("hole_diameter_mm", p.hole_diameter_mm, 4),
        p.slot_mm > 0 ? n("slot_mm", p.slot_mm, 5) : ""],
    };
  });
  return { columns, rows };
}

/** What the bench wants to know of the block. */
export function blockBody({ block }, say) {
  const row = (name, cell) => ({ key: name, cells: [say(`blank.row_${name}`), cell] });
  const n = (name, path, value, unit) => (missing(value) ? null : row(name, num(path, value, unit, say(`blank.row_${name}`))));
  const { stock } = block;
  return {
    columns: [],
    rows: [
      n("block_height", "block.height_mm", block.height_mm, "mm"),
      row("block_radius", span("block.edge_radii_mm", block.edge_radii_mm, "mm", say("blank.row_block_radius"))),
      n("rough_length", "block.stock.rough_mm[0]", stock.rough_mm[0], "mm"),
      n("rough_width", "block.stock.rough_mm[1]", stock.rough_mm[1], "mm"),
      block.material && row("block_material", `${block.material.id} ${block.material.name}`),
      block.material && n("block_limit", "block.material.pressure_limit_mpa", block.material.pressure_limit_mpa, "MPa"),
      n("bearing_area", "block.bearing_area_mm2", block.bearing_area_mm2, "mm2"),
      n("weight", "block.stock.weight_kg", stock.weight_kg, "kg"),
      row("undercut_says", block.undercut_says),
      n("undercut_pressure", "block.undercut_pressure_mpa", block.undercut_pressure_mpa, "MPa"),
      row("comes_off", say(`blank.comes_off_${block.comes_off.replaceAll("-", "_")}`, { toward: block.slides_toward })),
    ].filter(Boolean),
  };
}

/** The set-up as two lists, pressure and place; null without a press. */
export function setup({ setup }, say) {
  if (!setup) return null;
  const row = (name, cell) => ({ key: name, cells: [say(`blank.row_${name}`), cell] });
  const n = (name, path, value, unit) => (missing(value) ? null : row(name, num(`setup.${path}`, value, unit, say(`blank.row_${name}`))));
  const needed = setup.needed_pressure_mpa;
  const first = (...rows) => rows.find(Boolean) ?? null;
  const governed = setup.governed_by ? Object.entries(setup.governed_by).map(([k, v]) => `${k} ${v}`).join(", ") : "";
  const list = (...rows) => ({ columns: [], rows: rows.filter(Boolean) });
  return {
    pressure: list(
      row("press", `${setup.press.id} ${setup.press.name}`),
      needed ? row("needed", [num("setup.needed_pressure_mpa.value", needed.value, "MPa", say("blank.row_needed")),
        { ...num("setup.needed_pressure_mpa.low", needed.low, "MPa", say("blank.from")), before: say("blank.from") },
        { ...num("setup.needed_pressure_mpa.high", needed.high, "MPa", say("blank.up_to")), before: say("blank.up_to") }]) : row("needed", say("blank.not_known")),
      governed && row("governed", governed),
      n("available", "available_pressure_mpa", setup.available_pressure_mpa, "MPa"),
      row("available_by", setup.available_by),
      first(n("pump_to", "pump_to_gauge_psi", setup.pump_to_gauge_psi, "psi"), n("pump_to", "pump_to_gauge_force_n", setup.pump_to_gauge_force_n, "N")),
      n("pump_pressure", "pump_to_pressure_mpa", setup.pump_to_pressure_mpa, "MPa"),
      first(n("never_past", "never_past_gauge_psi", setup.never_past_gauge_psi, "psi"), n("never_past", "never_past_force_n", setup.never_past_force_n, "N")),
      (setup.never_past_by || setup.gauge_limit_by) && row("never_past_by", setup.never_past_by || setup.gauge_limit_by),
      n("block_stands", "block_pressure_limit_mpa", setup.block_pressure_limit_mpa, "MPa"),
    ),
    place: list(
      n("pad_margin", "pad_margin_mm", setup.pad_margin_mm, "mm"),
      n("table_margin", "table_margin_mm", setup.table_margin_mm, "mm"),
      n("off_centre", "off_centre_mm", setup.off_centre_mm, "mm"),
      n("turned", "turned_deg", setup.turned_deg, "deg"),
      n("daylight", "daylight_margin_mm", setup.daylight_margin_mm, "mm"),
      row("lay_up", setup.lay_up.map((x) => (x.note ? `${x.what}: ${x.note}` : x.what))),
    ),
  };
}

/** What closes at that pressure, what stays open first. */
export function closing({ setup }, say) {
  const columns = ["flange", "closing_pressure", "needs", "gets", "does", "under_load", "left_open"].map((c) => say(`blank.col_${c}`));
  const place = (f) => (f.edge ? say("blank.at_edge", { name: f.edge }) : say("blank.at_hole", { name: f.hole }));
  const rows = (setup?.flanges ?? []).map((f, i) => ({ f, i })).sort((a, b) => (a.f.margin ?? 9) - (b.f.margin ?? 9)).map(({ f, i }) => {
    const at = `setup.flanges[${i}]`;
    const name = place(f);
    const n = (path, value, unit, k) => (missing(value) ? say("blank.not_known") : num(`${at}.${path}`, value, unit, `${name}, ${columns[k]}`));
    const does = missing(f.closes) ? say("blank.not_known") : say(f.closes ? "blank.closes" : "blank.stays_open");
    return {
      key: `${i}`,
      bad: f.closes === false,
      cells: [name, n("closing_pressure_mpa", f.closing_pressure_mpa, "MPa", 1), n("needed_pressure_mpa.value", f.needed_pressure_mpa?.value, "MPa", 2),
        n("at_pressure_mpa", f.at_pressure_mpa, "MPa", 3), does, banded(`${at}.reaches_deg`, f.reaches_deg, "deg", `${name}, ${columns[5]}`, say),
        banded(`${at}.left_open_deg`, f.left_open_deg, "deg", `${name}, ${columns[6]}`, say)],
    };
  });
  return { columns, rows };
}

/** Margins, the least first; those without a number last. */
export function margins({ margins }, say) {
  const columns = ["quantity", "where", "value", "limit", "margin"].map((c) => say(`blank.col_${c}`));
  const rows = margins.map((m, i) => ({ m, i })).sort((a, b) => (a.m.margin ?? 9e9) - (b.m.margin ?? 9e9)).map(({ m, i }) => {
    const at = `margins[${i}]`;
    const name = m.quantity.replaceAll("_", " ");
    const n = (path, unit, k) => (missing(m[path]) ? say("blank.not_known") : num(`${at}.${path}`, m[path], unit, `${name} ${where(m.where)}, ${columns[k]}`));
    return { key: `${i}`, bad: (m.margin ?? 1) < 0, source: m.source, cells: [name, where(m.where), n("value", m.unit, 2), n("limit", m.unit, 3), n("margin", "share", 4)] };
  });
  return { columns, rows };
}

/** A place in words: "edge upper, 120 mm along". */
export function where(place) {
  return Object.entries(place ?? {}).filter(([k]) => k !== "at_mm" && k !== "at").map(([k, v]) =>
    k === "along_mm" ? `${plain(v, 0)} mm along` : `${k.replaceAll("_", " ")} ${Array.isArray(v) ? v.join(" / ") : k === "tolerance" ? v.replaceAll("_", " ") : v}`).join(", ");
}

/** How far the methods lie apart, the farthest of each pair first; `most` rows a pair. */
export function apart(view, say, most = 5) {
  const columns = ["pair", "farthest_at", "apart"].map((c) => say(`blank.col_${c}`));
  const letter = (name) => view.methods.find((m) => m.method === name).letter;
  const rows = view.apart.flatMap(({ between: [a, b], rows: found }) =>
    found.slice(0, most).map((r, i) => ({
      key: `${a} ${b} ${r.kind} ${r.name}`, at: r.at,
      cells: [i ? "" : `${letter(a)} ${say(`blank.method_${a.replaceAll("-", "_")}`)} / ${letter(b)} ${say(`blank.method_${b.replaceAll("-", "_")}`)}`,
        r.kind === "hole" ? say("blank.at_hole", { name: r.name }) : say("blank.at_edge", { name: r.name }), { plain: r.mm, unit: "mm" }],
    })));
  return { columns, rows };
}
