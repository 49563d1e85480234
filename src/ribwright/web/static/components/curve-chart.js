/** Angle against pressure on the sheet: under load, released with its 90 % band, what closes the flange, what the press gives, what is drawn. */
import { fill, h, put, s, stylesheet, text } from "../dom.js";
import { bandAbout, ends, evenScale, logScale, roundEven, roundLog, spread, valueAt } from "../logic/plot.js";
import { angle, plain, pressure } from "../logic/units.js";

const TALL = 460;
const MPA_PER_PSI = 0.006894757293168361;
const [LEFT, RIGHT, TOP, BOTTOM] = [62, 190, 14, 62];

export function mount(el, app) {
  stylesheet("curve-chart");
  const { say } = app;
  let view = null;
  let units = "in";
  let scales = null;
  const defs = s("defs", {},
    pattern("curve-bars", 12, 45, "curve-bar"), pattern("curve-fine", 7, -45, "curve-fine-line"));
  const body = s("g");
  const dot = s("circle", { class: "curve-dot", r: 8 });
  const svg = s("svg", { class: "curve-picture", role: "img" }, defs, body, dot);
  const words = h("div", { class: "curve-words" });
  const rows = h("table", { class: "curve-rows" });
  const nothing = h("p", { class: "quiet" });
  const whole = h("div", { class: "curve-chart" }, svg, words, h("details", {}, h("summary", {}, say("forecast.curve_numbers")), rows));
  fill(el, nothing, whole);
  new ResizeObserver(() => view && draw()).observe(svg);

  function draw() {
    const wide = svg.clientWidth || 620;
    put(svg, "viewBox", `0 0 ${wide} ${TALL}`);
    const { curve, pressures: p, block } = view;
    const limits = ends({ curve, wall: block.wall_deg, drawn: view.drawn_deg, tolerance: view.tolerance_deg, pressures: p });
    const x = logScale(...limits.p, LEFT, wide - RIGHT);
    const y = evenScale(...limits.a, TALL - BOTTOM, TOP);
    scales = { x, y };
    const labels = [];
    const items = [...grid(x, y), ...barred(x, y, p), ...drawn(x, y, labels)];
    const line = (points, cls) => s("path", { class: cls, d: `M${points.map(([q, a]) => `${x.at(q).toFixed(1)} ${y.at(a).toFixed(1)}`).join("L")}` });
    const band = bandAbout(curve.between.filter(([q]) => q >= x.low), curve.band);
    if (band.length > 1) {
      const [low, high] = [band.map(([q, a]) => [q, a]), band.map(([q, , a]) => [q, a])];
      items.push(s("path", { class: "curve-band", d: `M${[...low, ...high.slice().reverse()].map(([q, a]) => `${x.at(q).toFixed(1)} ${y.at(a).toFixed(1)}`).join("L")}Z` }),
        line(low, "curve-band-side"), line(high, "curve-band-side"));
    }
    items.push(flat(x, y, block.wall_deg, "curve-wall"));
    labels.push({ deg: block.wall_deg, what: say("forecast.curve_wall"), number: angle(block.wall_deg) });
    if (curve.loaded.length > 1) {
      items.push(line(curve.loaded, "curve-loaded"));
      labels.push({ deg: curve.loaded.at(-1)[1], what: say("forecast.curve_loaded"), number: angle(curve.loaded.at(-1)[1]) });
    }
    if (curve.between.length > 1) {
      items.push(line(curve.between.filter(([q]) => q >= x.low), "curve-released"));
      const end = curve.between.at(-1)[1];
      labels.push({ deg: end, what: say("forecast.curve_released"), number: angle(end) });
    }
    for (const [q, a] of curve.released) if (q >= x.low) items.push(s("circle", { class: "curve-ring", cx: x.at(q), cy: y.at(a), r: 4.5 }));
    items.push(...marks(x, y, p), ...named(labels, x, y, wide));
    fill(body, items);
    put(svg, "aria-label", summary());
  }

  function grid(x, y) {
    const out = [];
    for (const a of roundEven(y.low, y.high, 9)) out.push(s("path", { class: "curve-grid", d: `M${x.from} ${y.at(a)}H${x.to}` }), s("text", { class: "curve-tick", x: x.from - 8, y: y.at(a) + 6, "text-anchor": "end" }, String(a)));
    const unit = units === "in" ? MPA_PER_PSI : 1;
    let last = -99;
    for (const q of roundLog(x.low / unit, x.high / unit)) {
      const at = x.at(q * unit);
      out.push(s("path", { class: "curve-grid", d: `M${at} ${y.from}V${y.to}` }));
      const words = q.toLocaleString("en");
      if (at - last > 14 + 9 * words.length) {
        out.push(s("text", { class: "curve-tick", x: at, y: y.from + 22, "text-anchor": "middle" }, words));
        last = at;
      }
    }
    out.push(s("path", { class: "curve-frame", d: `M${x.from} ${y.to}V${y.from}H${x.to}` }),
      s("text", { class: "curve-name", x: (x.from + x.to) / 2, y: y.from + 48, "text-anchor": "middle" }, say(units === "in" ? "forecast.curve_x_psi" : "forecast.curve_x_mpa")),
      s("text", { class: "curve-name", "text-anchor": "middle", transform: `translate(18 ${(y.from + y.to) / 2}) rotate(-90)` }, say("forecast.curve_y")));
    return out;
  }
  function barred(x, y, p) {
    if (!p.available_mpa || p.available_mpa >= x.high) return [];
    const at = x.at(p.available_mpa);
    return [s("rect", { class: "curve-past", x: at, y: y.to, width: x.to - at, height: y.from - y.to }), s("path", { class: "curve-limit", d: `M${at} ${y.from}V${y.to}` })];
  }
  function drawn(x, y, labels) {
    const out = [];
    const t = view.tolerance_deg;
    if (t) {
      const [top, low] = [y.at(view.drawn_deg + t[1]), y.at(view.drawn_deg - t[0])];
      out.push(s("rect", { class: "curve-tolerance", x: x.from, y: top, width: x.to - x.from, height: Math.max(low - top, 1) }));
    }
    out.push(flat(x, y, view.drawn_deg, "curve-drawn"));
    labels.push({ deg: view.drawn_deg, what: say("forecast.curve_drawn"), number: t ? `${angle(view.drawn_deg)} ${toleranceWords(t)}` : angle(view.drawn_deg) });
    return out;
  }
  const toleranceWords = ([minus, plus]) => (minus === plus ? `± ${plain(minus, 1)}` : `+ ${plain(plus, 1)} − ${plain(minus, 1)}`);
  const flat = (x, y, deg, cls) => s("path", { class: cls, d: `M${x.from} ${y.at(deg)}H${x.to}` });

  function marks(x, y, p) {
    const found = [
      p.closes_mpa && { mpa: p.closes_mpa, words: say("forecast.curve_closes", { psi: one(p.closes_mpa) }) },
      p.would_close_estimate_mpa && { mpa: p.would_close_estimate_mpa, words: say("forecast.curve_would_close", { psi: one(p.would_close_estimate_mpa) }) },
      { mpa: p.on_sheet_mpa, words: say(p.pad_keeps_mpa > 1e-3 ? "forecast.curve_left" : "forecast.curve_acts", { psi: one(p.on_sheet_mpa) }), full: true },
      p.available_mpa && p.available_mpa > p.on_sheet_mpa * 1.02 && { mpa: p.available_mpa, words: say("forecast.curve_available", { psi: one(p.available_mpa), press: p.press }), limit: true },
    ].filter(Boolean).sort((a, b) => a.mpa - b.mpa);
    const out = [];
    found.forEach((m, i) => {
      const at = x.at(m.mpa);
      const before = i ? at - x.at(found[i - 1].mpa) : 999;
      const left = m.full ? before > 34 : false;
      if (!m.limit) out.push(s("path", { class: "curve-mark", d: `M${at} ${y.from}V${y.to}` }));
      out.push(s("text", { class: "curve-mark-name", transform: `translate(${at + (left ? -8 : 20)} ${y.from - 10}) rotate(-90)` }, m.words));
    });
    return out;
  }
  const one = (mpa) => (units === "in" ? `${plain(mpa / MPA_PER_PSI, 0)} psi` : `${plain(mpa, 2)} MPa`);

  function named(labels, x, y, wide) {
    const ranked = labels.sort((a, b) => b.deg - a.deg);
    const heights = spread(ranked.map((l) => y.at(l.deg)), 50, TOP + 16, TALL - BOTTOM - 24);
    return ranked.flatMap((l, i) => [
      s("path", { class: "curve-leader", d: `M${x.to} ${y.at(l.deg)}L${x.to + 14} ${heights[i]}H${x.to + 22}` }),
      s("text", { class: "curve-label", x: wide - RIGHT + 28, y: heights[i] - 2 }, l.what),
      s("text", { class: "curve-label-number", x: wide - RIGHT + 28, y: heights[i] + 19 }, l.number),
    ]);
  }
  function summary() {
    const r = view.angles.released;
    const band = r ? say("forecast.curve_sum_band", { value: angle(r.value), low: plain(r.low, 1), high: plain(r.high, 1) }) : say("forecast.curve_no_band");
    return [say("forecast.curve_sum", { psi: pressure(view.pressures.on_sheet_mpa, units) }), band].join(" ");
  }
  function showWords() {
    const p = view.pressures;
    const told = [summary()];
    if (p.closes_mpa) told.push(say("forecast.closes_at", { psi: pressure(p.closes_mpa, units) }));
    else told.push(say("forecast.closes_not", { psi: pressure(p.on_sheet_mpa, units) }));
    if (p.pad_keeps_mpa > 1e-3) told.push(say("forecast.pad_keeps", { keeps: pressure(p.pad_keeps_mpa, units), acts: pressure(p.acts_mpa, units) }));
    if (p.available_mpa) told.push(say("forecast.past_limit", { psi: pressure(p.available_mpa, units), press: p.press, by: p.available_by }));
    if (!view.curve.band) told.push(say("forecast.curve_no_band"));
    fill(words, told.map((t) => h("p", {}, t)));
    const by = new Map(view.curve.released.map(([q, a]) => [q, a]));
    const band = view.curve.band;
    const every = [...new Set([...by.keys(), ...(band?.pressure_mpa ?? [])])].sort((a, b) => a - b);
    fill(rows, h("thead", {}, h("tr", {}, ["col_pressure", "col_loaded", "col_released", "col_band"].map((k) => h("th", { scope: "col" }, say(`forecast.${k}`))))),
      h("tbody", {}, every.map((q) => {
        const i = band?.pressure_mpa.indexOf(q) ?? -1;
        const out = by.get(q) ?? (i >= 0 ? band.value[i] : null);
        const loaded = valueAt(view.curve.loaded, q);
        return h("tr", {}, h("td", {}, pressure(q, units)), h("td", { class: "figure" }, loaded === null ? "-" : angle(loaded)), h("td", { class: "figure" }, out === null ? "-" : angle(out)),
          h("td", {}, i >= 0 ? say("forecast.from_to", { low: plain(band.low[i], 1), high: plain(band.high[i], 1) }) : "-"));
      })));
  }

  return {
    update({ view: next, units: first, why = "" }) {
      view = next;
      units = first;
      whole.hidden = !view;
      nothing.hidden = Boolean(view);
      text(nothing, view ? "" : why);
      if (!view) return;
      draw();
      showWords();
    },
    /** Where the played section stands: a dot on the curve. */
    show({ angle: deg, pressure: mpa, state }) {
      if (!scales || !view) return;
      const free = state !== "loaded";
      const q = free ? view.pressures.on_sheet_mpa : mpa;
      dot.style.display = state === "flat" || q < scales.x.low ? "none" : "";
      put(dot, "cx", scales.x.at(Math.max(q, scales.x.low)).toFixed(1));
      put(dot, "cy", scales.y.at(deg).toFixed(1));
    },
  };
}

const pattern = (id, every, turn, cls) =>
  s("pattern", { id, width: every, height: every, patternUnits: "userSpaceOnUse", patternTransform: `rotate(${turn})` }, s("line", { class: cls, x1: 0, y1: 0, x2: 0, y2: every }));
