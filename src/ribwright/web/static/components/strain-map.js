/** Strain over the part: thickness, major or minor strain on the flat blank or the formed part, in bands of grey that bear letters; read by pointing or by keys. */
import { fill, h, put, stylesheet, text } from "../dom.js";
import { enlarged, fitted, near, rasterised, seenBy } from "../logic/raster.js";
import { bandOf, bandsOf, letterPlaces } from "../logic/strain-scale.js";
import { length, plain } from "../logic/units.js";
import { percentOf } from "../logic/forecast.js";
import { numberButton } from "./number.js";

const QUANTITIES = ["thickness", "major", "minor"];
const ZOOMS = [1, 2, 4, 8, 16];
const LETTER = 10; // cells of room that a letter wants

export function mount(el, app) {
  stylesheet("strain-map");
  const { say } = app;
  let answer = null;
  let units = "in";
  let options = {};
  let wanted = "thickness";
  let side = "flat";
  let drawn = null;
  let cursor = null;
  let zoom = 0;
  let middle = null; // of the enlarged picture, where it stands on the whole one
  let dragged = null;
  const canvas = h("canvas", { class: "strain-canvas", tabindex: 0, role: "img", onpointermove: (e) => point(e), onpointerleave: () => !dragged && read(null), onkeydown: keys,
    onpointerdown: (e) => { dragged = { x: e.clientX, y: e.clientY, from: middle }; canvas.setPointerCapture(e.pointerId); }, onpointerup: () => { dragged = null; } });
  const button = (name, does) => h("button", { type: "button", onclick: does }, say(`forecast.${name}`));
  const zooms = h("div", { class: "strain-zooms no-print" }, button("strain_larger", () => zoomed(1)), button("strain_smaller", () => zoomed(-1)), button("strain_whole", () => zoomed(-zoom)), button("strain_worst_go", () => toWorst()));
  const legend = h("ul", { class: "strain-legend" });
  const reading = h("p", { class: "strain-reading", role: "status" });
  const choose = (name, values, of, set) => h("fieldset", { class: "strain-choice" }, h("legend", {}, say(`forecast.strain_${name}`)), values.map((v) =>
    h("label", {}, h("input", { type: "radio", name: `strain-${name}`, value: v, checked: v === of(), onchange: () => { set(v); draw(); } }), say(`forecast.strain_${v}`))));
  const margins = h("table", { class: "strain-margins" });
  const said = h("p", { class: "quiet" });
  const whole = h("div", { class: "strain-map" },
    h("div", { class: "strain-tools" }, choose("quantity", QUANTITIES, () => wanted, (v) => { wanted = v; }), choose("side", ["flat", "formed"], () => side, (v) => { side = v; middle = null; zoom = 0; }), zooms),
    h("div", { class: "strain-row" }, h("div", { class: "strain-canvas-room" }, canvas, reading, h("p", { class: "quiet" }, say("forecast.strain_keys"))), legend),
    margins, said);
  fill(el, whole);
  new ResizeObserver(() => answer?.view && draw()).observe(canvas);

  const quantity = () => answer.view.quantities.find((q) => q.name === wanted && (wanted !== "thickness" || q.unit === units));
  /** The quantity at the nodes, and what the held web has of it. */
  const smoothOf = (q) => {
    const { smooth, held, sheet_mm: sheet } = answer.view;
    if (q.name !== "thickness") return { nodal: smooth[q.name], rest: 0, held };
    const unit = q.unit === "in" ? 25.4 : 1;
    return { nodal: smooth.thickness_mm.map((t) => t / unit), rest: sheet / unit, held };
  };
  const valuesOf = (q) => (q.name !== "thickness" ? answer.view[q.name] : q.unit === "in" ? answer.view.thickness_mm.map((t) => t / 25.4) : answer.view.thickness_mm);

  function draw() {
    const v = answer.view;
    const q = quantity();
    const width = Math.max(300, Math.round(canvas.clientWidth));
    const nodes = seenBy(side === "flat" ? v.flat_mm : v.formed_mm, side === "flat" ? 2 : 3, v.eyes[side]);
    const whole_size = fitted(nodes, width, 1e9, 14);
    const [low, high] = [Math.min(...extremes(nodes.y)), Math.max(...extremes(nodes.y))];
    const height = Math.round(Math.min(560, Math.max(160, whole_size.scale * (high - low) + 28)));
    const whole_fit = fitted(nodes, width, height, 14);
    const fit = zoom ? enlarged(whole_fit, ZOOMS[zoom], middle ?? [width / 2, height / 2], width, height) : whole_fit;
    const { ids, values } = rasterised(nodes, v.triangles, fit, width, height, smoothOf(q));
    const cells = bandsOf(values, q.levels, q.down);
    if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
    canvas.style.height = `${height}px`;
    drawn = { ids, cells, width, height, fit, whole_fit, nodes, image: null };
    paint(q);
    showLegend(q);
    put(canvas, "aria-label", say("forecast.strain_label", { what: say(`forecast.strain_${wanted}`), side: say(`forecast.strain_${side}`), worst: worstWords(q) }));
    read(null);
  }
  const extremes = (values) => {
    let [low, high] = [Infinity, -Infinity];
    for (const x of values) {
      if (x < low) low = x;
      if (x > high) high = x;
    }
    return [low, high];
  };
  function paint(q) {
    const { cells, width, height } = drawn;
    const g = canvas.getContext("2d", { willReadFrequently: true });
    const image = g.createImageData(width, height);
    const px = new Uint32Array(image.data.buffer);
    const greys = q.bands.map((b) => grey(b.grey));
    for (let i = 0; i < cells.length; i += 1) {
      if (cells[i] < 0) continue;
      const x = i % width;
      // where a band or the part ends, a line: the bands can be told apart without the greys
      const side_of = x > 0 && cells[i - 1] !== cells[i] ? cells[i - 1] : i >= width && cells[i - width] !== cells[i] ? cells[i - width] : null;
      const outer = side_of === -1 || (x < width - 1 && cells[i + 1] === -1) || (i + width < cells.length && cells[i + width] === -1);
      px[i] = outer ? grey(0.1) : side_of !== null ? grey(0.25) : greys[cells[i]];
    }
    g.putImageData(image, 0, 0);
    if (q.bands.length > 1) letters(g, q);
    drawn.image = g.getImageData(0, 0, width, height);
  }
  function letters(g, q) {
    const { cells, width, height } = drawn;
    g.font = "bold 16px 'Liberation Sans', Arial, sans-serif";
    g.textAlign = "center";
    g.textBaseline = "middle";
    for (const p of letterPlaces(cells, width, height, LETTER, 24, 2)) {
      g.fillStyle = q.bands[p.band].grey < 0.55 ? "#fff" : "#1d2126";
      g.fillText(q.bands[p.band].letter, p.x, p.y + 1);
    }
  }
  const grey = (share) => {
    const v = Math.round(255 * share);
    return (255 << 24) | (v << 16) | (v << 8) | v;
  };

  function zoomed(by) {
    const at = cursor ? toWhole(cursor) : (middle ?? worstOnWhole());
    zoom = Math.min(Math.max(zoom + by, 0), ZOOMS.length - 1);
    middle = zoom ? at : null;
    draw();
  }
  function toWorst() {
    zoom = Math.max(zoom, 2);
    middle = worstOnWhole();
    draw();
    read([Math.round(drawn.width / 2), Math.round(drawn.height / 2)]);
  }
  /** From a place on the picture as it is shown to the same on the whole one. */
  const toWhole = ([x, y]) => {
    const { fit, whole_fit: whole_one } = drawn;
    return [((x - fit.dx) / fit.scale) * whole_one.scale + whole_one.dx, whole_one.dy - ((fit.dy - y) / fit.scale) * whole_one.scale];
  };
  function point(event) {
    const box = canvas.getBoundingClientRect();
    if (dragged && zoom && dragged.from) {
      const share = drawn.width / box.width / ZOOMS[zoom];
      middle = [dragged.from[0] - (event.clientX - dragged.x) * share, dragged.from[1] - (event.clientY - dragged.y) * share];
      draw();
      return;
    }
    read([Math.round(((event.clientX - box.left) / box.width) * drawn.width), Math.round(((event.clientY - box.top) / box.height) * drawn.height)]);
  }
  function keys(event) {
    const far = event.shiftKey ? 25 : 5;
    const way = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] }[event.key];
    if (event.key === "Escape") read(null);
    if (event.key === "+" || event.key === "=") zoomed(1);
    if (event.key === "-") zoomed(-1);
    if (event.key === "Home") toWorst();
    if (way) read([(cursor?.[0] ?? drawn.width / 2) + way[0], (cursor?.[1] ?? drawn.height / 2) + way[1]].map((c, i) => Math.round(Math.min(Math.max(c, 0), [drawn.width, drawn.height][i] - 1))));
    if (way || event.key === "Home") event.preventDefault();
  }
  /** On the whole picture, where the quantity is at its worst. */
  function worstOnWhole() {
    const q = quantity();
    const [x, y] = q.flat_mm;
    let [best, far] = [0, Infinity];
    const flat = answer.view.flat_mm;
    for (let i = 0; i < flat.length / 2; i += 1) {
      const d = (flat[2 * i] - x) ** 2 + (flat[2 * i + 1] - y) ** 2;
      if (d < far) [best, far] = [i, d];
    }
    const { whole_fit: fit, nodes } = drawn;
    return [nodes.x[best] * fit.scale + fit.dx, fit.dy - nodes.y[best] * fit.scale];
  }
  function read(at) {
    cursor = at;
    const g = canvas.getContext("2d");
    g.putImageData(drawn.image, 0, 0);
    if (!at) {
      text(reading, say("forecast.strain_point"));
      return;
    }
    const t = near(drawn.ids, drawn.width, drawn.height, at[0], at[1]);
    ring(g, at);
    text(reading, t < 0 ? say("forecast.strain_outside") : words(t));
  }
  function ring(g, [x, y]) {
    for (const [wide, colour] of [[5, "#fff"], [2, "#1d2126"]]) {
      g.lineWidth = wide;
      g.strokeStyle = colour;
      g.beginPath();
      g.arc(x, y, 9, 0, 2 * Math.PI);
      g.stroke();
    }
  }
  function words(t) {
    const v = answer.view;
    const owner = v.place[t] < 0 ? null : v.places[v.place[t]];
    const place = !owner ? say("forecast.web") : owner.kind === "hole" ? say("forecast.hole", { name: owner.name }) : say("forecast.edge", { name: owner.name });
    const q = quantity();
    const band = q.bands[bandOf(valuesOf(q)[t], q.levels, q.down)];
    const told = say("forecast.strain_here", {
      place, thickness: length4(v.thickness_mm[t]), change: plain(100 * (v.thickness_mm[t] / v.sheet_mm - 1), 1), major: plain(v.major[t], 4), minor: plain(v.minor[t], 4), band: q.bands.length > 1 ? band.letter : "",
    });
    return v.counted[t] ? told : `${told} ${say("forecast.strain_corner")}`;
  }
  /** Thickness asks for a digit more than a drawn length. */
  const length4 = (mm) => (units === "in" ? `${plain(mm / 25.4, 4)} in (${plain(mm, 3)} mm)` : `${plain(mm, 3)} mm (${plain(mm / 25.4, 4)} in)`);
  const worstWords = (q) => say(q.down ? "forecast.strain_least" : "forecast.strain_most", { value: `${plain(q.worst, q.digits)} ${q.unit}`.trim(), where: q.where });

  function showLegend(q) {
    const rows = q.bands.map((b, k) => ({ b, k })).reverse();
    fill(legend, rows.map(({ b, k }) => {
      const swatch = h("span", { class: "strain-swatch", "aria-hidden": "true" }, q.bands.length > 1 ? b.letter : "");
      swatch.style.background = `rgb(${Array(3).fill(Math.round(255 * b.grey)).join(" ")})`;
      swatch.style.color = b.grey < 0.55 ? "#fff" : "#1d2126";
      return h("li", { "data-band": k }, swatch, `${b.words} ${q.bands.length > 1 ? q.unit : ""}`);
    }), h("li", { class: "strain-worst" }, worstWords(q)));
  }
  function showMargins() {
    const { strain } = answer;
    const rows = strain.places.flatMap((p) => p.split.map((r, i) => ({ p, r, path: `strain.places[${p.edge ?? p.hole}].split[${i}]` }))).sort((a, b) => (a.r.margin ?? 9) - (b.r.margin ?? 9));
    const name = (p) => (p.hole ? say("forecast.hole", { name: p.hole }) : say("forecast.edge", { name: p.edge }));
    fill(margins, h("caption", {}, say("forecast.split_caption")), h("thead", {}, h("tr", {}, ["place", "by", "strain", "limit", "margin"].map((k) => h("th", { scope: "col" }, say(`forecast.split_${k}`))))),
      h("tbody", {}, rows.length === 0 ? h("tr", {}, h("td", { colspan: 5 }, say("forecast.split_none"))) : rows.map(({ p, r, path }) => h("tr", {}, h("th", { scope: "row" }, name(p)), h("td", {}, r.by),
        h("td", { class: "figure" }, numberButton(app, { path: `${path}.value`, value: pc(r.value, r.unit), unit: "%", options, label: `${name(p)}, ${say("forecast.split_strain")}` })),
        h("td", { class: "figure" }, r.limit === null ? say("forecast.not_known") : `${plain(pc(r.limit, r.unit), 1)} %`),
        h("td", { class: "figure" }, r.margin === null ? say("forecast.not_known") : numberButton(app, { path: `${path}.margin`, value: Math.round(100 * r.margin), unit: "%", options, label: `${name(p)}, ${say("forecast.split_margin")}` }))))));
    fill(said, [say("forecast.limit_line", { words: answer.view.limit_line.words }), strain.holds, `${strain.says}.`].join(" · "));
  }
  /** Both kinds of strain as the percent that a ruler would show. */
  const pc = (value, unit) => (unit === "true strain" ? percentOf(value) : Number((100 * value).toFixed(2)));

  return {
    /** answer: result of the job `strain-view` */
    update({ answer: next, units: first, options: asked }) {
      const same = next === answer && first === units;
      answer = next;
      units = first;
      options = asked;
      el.hidden = !answer?.view;
      if (!answer?.view || same) return;
      draw();
      showMargins();
    },
  };
}
