/**
 * A flat picture to scale that can be zoomed, moved and measured on: the flat blank, the methods over each other, the block from above.
 *
 * A picture: {box, layers: [{id, line, d, closed}], labels: [{id, at, words, off, clear}], extents: [{id, from, to, side, row, words}], places, grain}
 *   `grain` [deg], null where any will do, left out where nothing is said of it
 *   `line` names the line style (styles/blank-plane.css), `id` what the legend shows or hides, `d` SVG path data in mm, `off` a
 *   direction in which a label stands away from its place, `clear` [mm] of what is drawn there
 */
import { fill, h, put, s } from "../dom.js";
import { nearest } from "../logic/measure.js";
import { fit, scaleBar, shifted, toPlane, toScreen, zoomed } from "../logic/plane.js";

const ROOM = { left: 104, right: 60, above: 56, below: 92 }; // for names and extents beside the picture [px]
const NEAR = 26; // how near to a place one must press [px]
const LETTER = 8.6; // width of a letter of a name [px]
const STEP = 60; // of an arrow key [px]

/**
 * @param app @param {{label: string, onPlace?: (index: number) => void, onFar?: () => void}} of
 * @returns {{el, show(picture), hide(ids), mark(places), look(at), redraw()}}
 */
export function plane(app, { label, onPlace = () => {}, onFar = () => {} }) {
  const world = s("g", { class: "plane-world" });
  const over = s("g", { class: "plane-over" });
  const svg = s("svg", { class: "plane", role: "img", tabindex: "0", "aria-label": `${label} ${app.say("blank.picture_keys")}` }, world, over);
  const button = (key, act) => h("button", { type: "button", onclick: act, "aria-label": app.say(`blank.${key}`), title: app.say(`blank.${key}`) });
  const larger = button("zoom_in", () => scaled(1.5));
  const smaller = button("zoom_out", () => scaled(1 / 1.5));
  const whole = button("show_all", () => fitted());
  larger.append("+");
  smaller.append("−");
  whole.append(app.say("blank.show_all"));
  const el = h("figure", { class: "plane-figure" }, svg, h("div", { class: "plane-tools no-print" }, smaller, larger, whole));
  let picture = null;
  let view = null;
  let own = false; // moved or zoomed by hand
  let hidden = new Set();
  let marks = [];
  let signs = [];

  const size = () => [Math.max(svg.clientWidth, 60), Math.max(svg.clientHeight, 60)];
  const fitted = () => {
    own = false;
    view = picture ? fit(picture.box, ...size(), ROOM) : null;
    draw();
  };
  const moved = (next) => {
    own = true;
    view = next;
    draw();
  };
  const scaled = (times, at = size().map((v) => v / 2)) => picture && moved(zoomed(view, times, at));
  const place = (event) => {
    const box = svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };

  svg.addEventListener("wheel", (event) => {
    if (!picture || !(event.ctrlKey || event.metaKey || document.activeElement === svg)) return;
    event.preventDefault();
    scaled(event.deltaY < 0 ? 1.15 : 1 / 1.15, place(event));
  }, { passive: false });
  svg.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: [STEP, 0], ArrowRight: [-STEP, 0], ArrowUp: [0, STEP], ArrowDown: [0, -STEP] }[event.key];
    if (!picture || event.ctrlKey || event.metaKey || event.altKey) return;
    if (step) moved(shifted(view, ...step));
    else if (event.key === "+" || event.key === "=") scaled(1.25);
    else if (event.key === "-") scaled(0.8);
    else if (event.key === "Home") fitted();
    else return;
    event.preventDefault();
  });
  let drag = null;
  svg.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    drag = { at: place(event), moved: false };
    svg.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (!drag || !picture) return;
    const now = place(event);
    const [dx, dy] = [now[0] - drag.at[0], now[1] - drag.at[1]];
    if (!drag.moved && Math.hypot(dx, dy) < 5) return;
    drag = { at: now, moved: true };
    moved(shifted(view, dx, dy));
  });
  svg.addEventListener("pointerup", (event) => {
    const press = drag && !drag.moved;
    drag = null;
    if (!press || !picture) return;
    const i = nearest(picture.places ?? [], toPlane(view, place(event)), NEAR / view.scale);
    if (i >= 0) onPlace(i);
    else onFar();
  });
  svg.addEventListener("pointercancel", () => { drag = null; });
  new ResizeObserver(() => { if (picture) own ? draw() : fitted(); }).observe(svg);

  function draw() {
    if (!picture || !view) return;
    put(world, "transform", `matrix(${view.scale} 0 0 ${-view.scale} ${view.x} ${view.y})`);
    fill(over, labels(), extents(), bar(), grain(), measured());
  }
  const labels = () => (picture.labels ?? []).filter((l) => !hidden.has(l.id)).map(({ at, words, off = [0, 0], clear = 0, line = "" }) => {
    const [x, y] = toScreen(view, [at[0] + clear * off[0], at[1] + clear * off[1]]);
    const anchor = off[0] > 0.3 ? "start" : off[0] < -0.3 ? "end" : "middle";
    return s("text", { class: `plane-label ${line}`, x: x + 12 * off[0], y: y - 14 * off[1] + 6, "text-anchor": anchor }, words);
  });
  /** Leftmost place [px] that a name reaches to. */
  const reach = () => Math.min(...(picture.labels ?? []).filter((l) => !hidden.has(l.id) && (l.off?.[0] ?? 0) < -0.3).map((l) => toScreen(view, l.at)[0] - 16 - LETTER * l.words.length), Infinity);
  const extents = () => {
    const named = reach();
    return (picture.extents ?? []).filter((e) => !hidden.has("extent") && !hidden.has(e.id)).map((e) => extent(e, named));
  };
  const extent = (e, named) => {
    const [a, b] = [toScreen(view, e.from), toScreen(view, e.to)];
    const [left, bottom] = toScreen(view, picture.box);
    const tall = size()[1];
    if (e.side === "below") {
      const y = Math.min(bottom + 40 + 26 * e.row, tall - 38 + 26 * e.row);
      return s("g", { class: `plane-extent ${e.line}` }, s("path", { d: `M${a[0]} ${y}H${b[0]}M${a[0]} ${y - 7}v14M${b[0]} ${y - 7}v14` }),
        s("text", { class: "plane-label", x: (a[0] + b[0]) / 2, y: y + 5, "text-anchor": "middle" }, e.words));
    }
    const x = Math.max(Math.min(left, named) - 18 - 26 * e.row, 40 - 26 * e.row);
    return s("g", { class: `plane-extent ${e.line}` }, s("path", { d: `M${x} ${a[1]}V${b[1]}M${x - 7} ${a[1]}h14M${x - 7} ${b[1]}h14` }),
      s("text", { class: "plane-label", transform: `translate(${x + 5} ${(a[1] + b[1]) / 2}) rotate(-90)`, "text-anchor": "middle" }, e.words));
  };
  const bar = () => {
    const { mm, words } = scaleBar(view.scale, app.store.get().units);
    const [wide] = size();
    const x = wide - 16 - mm * view.scale;
    return s("g", { class: "plane-bar" }, s("path", { d: `M${x} 12v8h${mm * view.scale}v-8` }),
      s("text", { class: "plane-label", x: wide - 16, y: 40, "text-anchor": "end" }, words));
  };
  /** The grain's direction beside the scale. */
  const grain = () => {
    if (picture.grain === undefined || hidden.has("grain")) return null;
    const x = size()[0] - 250;
    if (picture.grain === null) return s("text", { class: "plane-label", x, y: 34, "text-anchor": "middle" }, app.say("blank.grain_any"));
    return s("g", {}, s("path", { class: "line grain", transform: `translate(${x} 28) rotate(${-picture.grain})`, d: "M-28 0H28M-20 -5L-28 0L-20 5M20 -5L28 0L20 5" }),
      s("text", { class: "plane-label", x: x - 36, y: 34, "text-anchor": "end" }, app.say("blank.grain_along")));
  };
  const measured = () => {
    const on = marks.map((at) => at && toScreen(view, at));
    const [a, b] = on;
    return [
      a && b ? s("path", { class: "plane-measure", d: `M${a}L${b}` }) : null,
      ...on.map((p, i) => p && s("g", { class: "plane-mark", transform: `translate(${p[0]} ${p[1]})` }, s("circle", { r: 9 }), s("path", { d: "M-13 0H13M0-13V13" }),
        s("text", { class: "plane-label", x: 14, y: -10 }, signs[i]))),
    ];
  };
  const shapes = () => fill(world, picture.layers.map(({ id, line, d }) => s("path", { class: `line ${line}`, d, "vector-effect": "non-scaling-stroke", "data-id": id })));

  return {
    el,
    show(next) {
      const other = !picture || JSON.stringify(next.box) !== JSON.stringify(picture.box);
      picture = next;
      shapes();
      if (other || !view) fitted();
      this.hide(hidden);
    },
    hide(ids) {
      hidden = new Set(ids);
      for (const path of world.children) put(path, "visibility", hidden.has(path.dataset.id) ? "hidden" : null);
      draw();
    },
    /** Marks places (null: none) with signs beside them. */
    mark(places, beside = ["1", "2"]) {
      signs = beside;
      marks = places;
      draw();
    },
    /** Zooms to a place. */
    look(at) {
      const [wide, tall] = size();
      const scale = Math.max(view.scale, Math.min(wide, tall) / 25);
      moved({ scale, x: wide / 2 - scale * at[0], y: tall / 2 + scale * at[1] });
    },
    redraw: draw,
  };
}

/** What the lines mean, each with a sample of itself; ticked it is shown. `changed(hidden ids)` is called on each tick. */
export function legend(app, changed) {
  const el = h("fieldset", { class: "plane-legend" });
  const hidden = new Set();
  let key = "";
  return {
    el,
    hidden,
    /** rows: [{id, line, words}] */
    show(rows) {
      const next = JSON.stringify(rows);
      if (next === key) return;
      key = next;
      fill(el, h("legend", {}, app.say("blank.lines")), rows.map(({ id, line, words }) => {
        const box = h("input", { type: "checkbox", checked: !hidden.has(id), onchange: () => {
          if (box.checked) hidden.delete(id);
          else hidden.add(id);
          changed([...hidden]);
        } });
        const sample = s("svg", { class: "plane-sample", viewBox: "0 0 44 14", "aria-hidden": "true" }, s("path", { class: `line ${line}`, d: "M1 7H43" }));
        return h("label", {}, box, line ? sample : h("span", { class: "plane-sample" }), h("span", {}, words));
      }));
    },
  };
}
