/**
 * A flat picture to scale that can be zoomed, moved and measured on: the flat blank, the methods over each other, the block from above.
 *
 * A picture: {box, layers: [{id, line, d, closed}], labels: [{id, at, words, off}], extents: [{id, from, to, side, row, words}], places}
 *   `line` names the line style (styles/blank-plane.css), `id` what the legend shows or hides, `d` SVG path data in mm, `off` a
 *   direction in which a label stands away from its place
 */
import { fill, h, put, s, text } from "../dom.js";
import { nearest } from "../logic/measure.js";
import { fit, scaleBar, shifted, toPlane, toScreen, zoomed } from "../logic/plane.js";

const ROOM = 64; // for extents beside the picture [px]
const NEAR = 26; // how near to a place one must press [px]
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
    fill(over, labels(), extents(), bar(), measured());
  }
  const labels = () => (picture.labels ?? []).filter((l) => !hidden.has(l.id)).map(({ at, words, off = [0, 0], line = "" }) => {
    const [x, y] = toScreen(view, at);
    const anchor = off[0] > 0.3 ? "start" : off[0] < -0.3 ? "end" : "middle";
    return s("text", { class: `plane-label ${line}`, x: x + 12 * off[0], y: y - 14 * off[1] + 6, "text-anchor": anchor }, words);
  });
  const extents = () => (picture.extents ?? []).filter((e) => !hidden.has("extent") && !hidden.has(e.id)).map((e) => {
    const [a, b] = [toScreen(view, e.from), toScreen(view, e.to)];
    const [wide, tall] = size();
    if (e.side === "below") {
      const y = Math.min(Math.max(a[1], b[1]) + 22 + 20 * e.row, tall - 8 - 20 * (1 - e.row));
      return s("g", { class: `plane-extent ${e.line}` }, s("path", { d: `M${a[0]} ${y}H${b[0]}M${a[0]} ${y - 6}v12M${b[0]} ${y - 6}v12` }),
        s("text", { class: "plane-label", x: (a[0] + b[0]) / 2, y: y + 5, "text-anchor": "middle" }, e.words));
    }
    const x = Math.max(Math.min(a[0], b[0]) - 22 - 22 * e.row, 14 + 22 * (1 - e.row));
    return s("g", { class: `plane-extent ${e.line}` }, s("path", { d: `M${x} ${a[1]}V${b[1]}M${x - 6} ${a[1]}h12M${x - 6} ${b[1]}h12` }),
      s("text", { class: "plane-label", transform: `translate(${x + 5} ${(a[1] + b[1]) / 2}) rotate(-90)`, "text-anchor": "middle" }, e.words));
  });
  const bar = () => {
    const { mm, words } = scaleBar(view.scale, app.store.get().units);
    const [wide] = size();
    const x = wide - 16 - mm * view.scale;
    return s("g", { class: "plane-bar" }, s("path", { d: `M${x} 12v8h${mm * view.scale}v-8` }),
      s("text", { class: "plane-label", x: wide - 16, y: 40, "text-anchor": "end" }, words));
  };
  const measured = () => {
    const on = marks.map((at) => at && toScreen(view, at));
    const [a, b] = on;
    return [
      a && b ? s("path", { class: "plane-measure", d: `M${a}L${b}` }) : null,
      ...on.map((p, i) => p && s("g", { class: "plane-mark", transform: `translate(${p[0]} ${p[1]})` }, s("circle", { r: 9 }), s("path", { d: "M-13 0H13M0-13V13" }),
        s("text", { class: "plane-label", x: 14, y: -10 }, i ? "2" : "1"))),
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
    mark(places) {
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

/** The sentence at a picture's foot, told to who does not see it. */
export const caption = (el, words) => text(el, words);
