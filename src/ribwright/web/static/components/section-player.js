/** A section played: flat, pressed step by step, let go on the block, in the hand. Block hatched, sheet with its thickness. */
import { fill, h, put, s, stylesheet, text } from "../dom.js";
import { cornerOf, evenArrows, later, seconds, sheetAt, stepped, story, windowOf } from "../logic/play.js";
import { angle, lengthIn, pressure } from "../logic/units.js";

const TALL = 400;
const SPEEDS = ["0.5", "1", "2"];
const path = (points, closed = false) => `M${points.map(([x, y]) => `${x.toFixed(2)} ${y.toFixed(2)}`).join("L")}${closed ? "Z" : ""}`;

/** @returns {{update({view, units}): void, onPlace(fn): void}} `onPlace` hears {angle, pressure, state, computed} of what is shown */
export function mount(el, app) {
  stylesheet("section-player");
  const { say } = app;
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  let told = [];
  let times = [];
  let view = null;
  let units = "in";
  let place = 0;
  let playing = 0;
  let last = 0;
  let tell = () => {};

  const hatch = s("pattern", { id: "section-hatch", width: 9, height: 9, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, s("line", { x1: 0, y1: 0, x2: 0, y2: 9 }));
  const part = (name, tag = "path") => s(tag, { class: `section-${name}` });
  const [block, surface, ghost, sheet, arrows, heads, axis, arc, label] = [
    part("block"), part("surface"), part("ghost"), part("sheet"), part("arrows"), part("heads"), part("axis"), part("arc"), part("angle", "text"),
  ];
  const svg = s("svg", { class: "section-picture", role: "img" }, s("defs", {}, hatch), block, surface, ghost, arrows, heads, sheet, axis, arc, label);
  const words = h("p", { class: "section-words" });
  const more = h("p", { class: "section-more quiet" });
  const button = (name, does) => h("button", { type: "button", onclick: does }, say(`forecast.${name}`));
  const first = button("play_first", () => move(0));
  const back = button("play_back", () => move(stepped(told, place, -1)));
  const play = button("play", () => toggle());
  const on = button("play_on", () => move(stepped(told, place, 1)));
  const end = button("play_last", () => move(told.length - 1));
  const slider = h("input", { type: "range", min: 0, step: 0.01, "aria-label": say("forecast.play_slider"), oninput: () => move(Number(slider.value)) });
  const speed = h("select", {}, SPEEDS.map((v) => h("option", { value: v }, say(`forecast.speed_${v.replace(".", "_")}`))));
  speed.value = "1";
  const tools = h("div", { class: "section-tools" }, first, back, play, on, end, h("label", { class: "section-speed" }, say("forecast.speed"), speed));
  const group = h("div", { class: "section-player", role: "group", "aria-label": say("forecast.section"), tabindex: 0, onkeydown: keys }, svg, words, more, slider, tools,
    h("p", { class: "section-keys quiet" }, say("forecast.play_keys")));
  const nothing = h("p", { class: "quiet" });
  fill(el, nothing, group);
  new ResizeObserver(() => view && draw()).observe(svg);

  function keys(event) {
    if (event.target !== group) {
      // a slider has arrows of its own, a button its own space
      return;
    }
    const to = { ArrowRight: stepped(told, place, 1), ArrowLeft: stepped(told, place, -1), Home: 0, End: told.length - 1 }[event.key];
    if (event.key === " ") toggle();
    else if (to === undefined) return;
    else move(to);
    event.preventDefault();
  }
  function move(to) {
    pause();
    place = to;
    draw();
  }
  function toggle() {
    if (playing) {
      pause();
      draw();
      return;
    }
    if (place >= told.length - 1) place = 0;
    last = 0;
    playing = requestAnimationFrame(tick);
    draw();
  }
  function pause() {
    cancelAnimationFrame(playing);
    playing = 0;
  }
  function tick(now) {
    const dt = last ? Math.min((now - last) / 1000, 0.1) : 0;
    last = now;
    place = later(told, place, dt * Number(speed.value), times);
    const more_to_come = place < told.length - 1 && group.isConnected;
    playing = more_to_come ? requestAnimationFrame(tick) : 0;
    draw();
  }

  function draw() {
    const wide = svg.clientWidth || 600;
    put(svg, "viewBox", `0 0 ${wide} ${TALL}`);
    const now = sheetAt(told, place);
    const room = windowOf(told, view.block.surface_mm, 0.18 * (told[0].length.at(-1) ? span(told) : 10));
    const scale = Math.min(wide / (room.right - room.left), TALL / (room.top - room.low));
    const [cx, cy] = [(wide - scale * (room.right + room.left)) / 2, (TALL + scale * (room.top + room.low)) / 2];
    const at = ([x, y]) => [cx + scale * x, cy - scale * y];
    const cut = -cx / scale;
    const foot = (cy - TALL) / scale;
    const line = [[Math.min(cut, view.block.surface_mm[0][0]) - 5, 0], ...view.block.surface_mm.slice(1)];
    const gone = now.to.state === "released" && place > told.length - 1.5;
    put(surface, "d", path(line.map(at)));
    put(surface, "class", gone ? "section-surface section-away" : "section-surface");
    put(block, "d", gone ? "" : path([...line, [line.at(-1)[0], foot - 5], [line[0][0], foot - 5]].map(at), true));
    const web = [[cut - 5, now.outer[0][1]], [cut - 5, now.inner[0][1]]];
    const clipped = now.middle[0][0] > cut;
    put(sheet, "d", path([...(clipped ? [web[0]] : []), ...now.outer, ...now.inner.slice().reverse(), ...(clipped ? [web[1]] : [])].map(at), true));
    showGhost(at);
    showArrows(now, at, scale, cut);
    showAngle(now, at, scale);
    showWords(now);
  }
  const span = (states) => states[0].length.reduce((a, b) => a + b, 0) + states[0].at[0];

  function showGhost(at) {
    const k = told.findLastIndex((f) => f.state === "loaded");
    if (k < 0 || place <= k) {
      put(ghost, "d", "");
      return;
    }
    const was = sheetAt(told, k);
    put(ghost, "d", path([...was.outer, ...was.inner.slice().reverse()].map(at), true));
  }
  function showArrows(now, at, scale, cut) {
    const shafts = [];
    const tips = [];
    if (now.pressure > 1e-6) {
      const full = Math.max(...told.map((f) => f.pressure_mpa));
      const long = 14 + 26 * Math.sqrt(now.pressure / full);
      for (const a of evenArrows(now, 24 / scale, cut)) {
        const [x, y] = at(a.head);
        const [ux, uy] = unit(a.out);
        shafts.push(`M${(x + long * ux).toFixed(1)} ${(y - long * uy).toFixed(1)}L${(x + 6 * ux).toFixed(1)} ${(y - 6 * uy).toFixed(1)}`);
        tips.push(path([[x + ux, y - uy], [x + 9 * ux - 4 * uy, y - 9 * uy - 4 * ux], [x + 9 * ux + 4 * uy, y - 9 * uy + 4 * ux]], true));
      }
    }
    put(arrows, "d", shafts.join(""));
    put(heads, "d", tips.join(""));
  }
  const unit = ([x, y]) => [x / Math.hypot(x, y), y / Math.hypot(x, y)];
  function showAngle(now, at, scale) {
    const c = cornerOf(now);
    text(label, c ? angle(now.angle) : "");
    if (!c) {
      put(axis, "d", "");
      put(arc, "d", "");
      return;
    }
    const a = (now.angle * Math.PI) / 180;
    const [x, y] = at(c.at);
    // a flange hardly turned has its arc past its cut edge, clear of the arrows on it
    const r = now.angle < 25 ? c.reach * scale + 22 : Math.max(46, 0.62 * c.reach * scale) + 50;
    const end_of = (far, turn) => `${(x + far * Math.cos(turn)).toFixed(1)} ${(y + far * Math.sin(turn)).toFixed(1)}`;
    put(axis, "d", `M${x.toFixed(1)} ${y.toFixed(1)}L${end_of(r + 14, 0)}M${end_of(c.reach * scale + 4, a)}L${end_of(Math.max(r + 14, c.reach * scale + 20), a)}`);
    put(arc, "d", `M${end_of(r, 0)}A${r.toFixed(1)} ${r.toFixed(1)} 0 ${now.angle > 180 ? 1 : 0} ${now.angle > 0 ? 1 : 0} ${end_of(r, a)}`);
    // the number outside the arc; of a flange hardly turned above the arrows
    const [far, wide] = [r + 20, svg.clientWidth || 600];
    const beside = now.angle < 25 ? [x + c.reach * scale - 40, y - 54] : [x + far * Math.cos(a / 2), y + far * Math.sin(a / 2) + 6];
    put(label, "x", Math.min(beside[0], wide - 92).toFixed(1));
    put(label, "y", Math.max(beside[1], 22).toFixed(1));
  }
  function showWords(now) {
    const k = Math.round(place);
    const state = now.computed ? told[k].state : "between";
    const bar = { psi: pressure(now.pressure, units), angle: angle(now.angle) };
    const full = told.findLast((f) => f.state === "loaded");
    const here = {
      flat: () => say("forecast.at_flat"),
      loaded: () => say("forecast.at_loaded", bar),
      "on-block": () => say("forecast.at_on_block", { ...bar, from: pressure(full.pressure_mpa, units) }),
      released: () => say("forecast.at_released", bar),
      between: () => say(now.pressure > 1e-6 ? "forecast.at_between" : "forecast.at_between_free", bar),
    }[state]();
    put(words, "aria-live", playing ? "off" : "polite");
    text(words, here);
    const f = told[k];
    const gap = (v) => lengthIn(v, units);
    const facts = now.computed && state === "loaded" && f.wall_gap_mm !== null
      ? say("forecast.gaps", { wall: gap(f.wall_gap_mm), web: gap(f.web_lift_mm), radius: f.inside_radius_mm === null ? say("forecast.no_radius") : gap(f.inside_radius_mm) })
      : now.computed && state === "released" ? say("forecast.gaps_released", { radius: f.inside_radius_mm === null ? say("forecast.no_radius") : gap(f.inside_radius_mm) })
      : now.computed ? "" : say("forecast.drawn_between");
    text(more, facts || "\u00a0");
    slider.max = told.length - 1;
    slider.value = place;
    put(slider, "aria-valuetext", here);
    text(play, say(playing ? "forecast.pause" : "forecast.play"));
    back.disabled = first.disabled = place <= 0;
    on.disabled = end.disabled = place >= told.length - 1;
    put(svg, "aria-label", here);
    tell({ angle: now.angle, pressure: now.pressure, state: now.computed ? state : now.to.state, computed: now.computed });
  }

  return {
    update({ view: next, units: first_unit, why = "" }) {
      const changed = next !== view;
      units = first_unit;
      view = next;
      group.hidden = !view;
      text(nothing, view ? "" : why);
      nothing.hidden = Boolean(view);
      if (!view) {
        pause();
        return;
      }
      if (changed) {
        pause();
        told = story(view.frames);
        times = seconds(told);
        // at first as it comes off; who does not mind movement sees it from the flat
        place = told.length - 1;
        draw();
        if (!still.matches && el.offsetParent) {
          place = 0;
          toggle();
        }
      } else draw();
    },
    onPlace(fn) {
      tell = fn;
    },
  };
}
