/** The drawn part in plan with every place of the forecast: what stands there, whether it is inside the tolerance, where hand work is needed. */
import { fill, h, put, s, stylesheet } from "../dom.js";
import { placeKey, pointAlong, spotOf, toleranceOf, verdictOf } from "../logic/forecast.js";
import { plain } from "../logic/units.js";

const ROOM = { side: 120, top: 64 };

/** @returns {{update({contour, stations, picked, hands}): void}}; `onPick(index)` hears the place that is picked */
export function mount(el, app, onPick) {
  stylesheet("forecast-plan");
  const { say } = app;
  let shown = null;
  const svg = s("svg", { class: "plan-picture", role: "group", "aria-label": say("forecast.plan_label") });
  fill(el, svg, h("p", { class: "plan-legend quiet" }, legend("inside", say("forecast.mark_inside")), legend("band", say("forecast.mark_band")), legend("outside", say("forecast.mark_outside")),
    legend("open", say("forecast.mark_open")), legend("hand", say("forecast.mark_hand"))));
  new ResizeObserver(() => shown?.contour && draw()).observe(svg);

  function legend(kind, words) {
    return h("span", { class: "plan-key" }, s("svg", { viewBox: "-16 -16 32 32", width: 26, height: 26, "aria-hidden": "true" }, mark(kind)), words);
  }
  /** Shape tells as much as colour: round inside, square when its band is outside, a turned square outside, a bar through it where it stays open. */
  function mark(kind) {
    if (kind === "band") return s("rect", { class: "plan-mark plan-band", x: -7, y: -7, width: 14, height: 14 });
    if (kind === "outside") return s("path", { class: "plan-mark plan-outside", d: "M0 -11L11 0L0 11L-11 0Z" });
    if (kind === "open") return s("g", {}, s("path", { class: "plan-mark plan-outside", d: "M0 -11L11 0L0 11L-11 0Z" }), s("path", { class: "plan-bar", d: "M-12 0H12" }));
    if (kind === "hand") return s("path", { class: "plan-hand", d: "M-15 11L0 -15L15 11Z" });
    return s("circle", { class: kind === "unknown" ? "plan-mark plan-unknown" : "plan-mark", r: 8 });
  }
  const KIND = { "stays-open": "open", open: "outside", closed: "outside", "band-outside": "band", unknown: "unknown" };

  function draw() {
    const { contour, stations, picked, hands } = shown;
    const wide = svg.clientWidth || 900;
    const points = [...contour.edges.flatMap((e) => e.points_mm), ...contour.holes.map((hole) => hole.at_mm)];
    const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
    const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    const scale = Math.min((wide - 2 * ROOM.side) / (x1 - x0), 420 / (y1 - y0 || 1));
    const tall = scale * (y1 - y0) + 2 * ROOM.top;
    put(svg, "viewBox", `0 0 ${wide} ${tall.toFixed(0)}`);
    svg.style.height = `${tall.toFixed(0)}px`;
    const dx = (wide - scale * (x1 - x0)) / 2;
    const at = ([x, y]) => [dx + scale * (x - x0), tall - ROOM.top - scale * (y - y0)];
    const line = (pts) => `M${pts.map((p) => at(p).map((v) => v.toFixed(1)).join(" ")).join("L")}`;
    const items = contour.edges.map((e) => s("path", { class: e.flange ? "plan-edge plan-flanged" : "plan-edge", d: line(e.points_mm) }));
    for (const hole of contour.holes) items.push(holeShape(hole, at, scale));
    const taken = [];
    const labels = [];
    for (const e of contour.edges) {
      if (!e.flange) continue;
      const spot = nameSpot(e, at);
      const [x, y] = at(spot.at);
      labels.push(s("text", { class: "plan-edge-name", x: x - 26 * spot.out[0], y: y + 26 * spot.out[1] + 6, "text-anchor": anchor(-spot.out[0]) }, e.name));
    }
    for (const hand of hands) {
      const spot = spotOf(hand.where, contour);
      if (!spot) continue;
      const [x, y] = at(spot.at);
      // at a hole outside it, across from its place; at an edge inside, past its name
      const hole = hand.owner.kind === "hole" && contour.holes.find((o) => o.name === hand.owner.name);
      const inward = hole ? hole.diameter_mm * scale + 20 : 54;
      labels.push(s("g", { transform: `translate(${(x - inward * spot.out[0]).toFixed(1)} ${(y + inward * spot.out[1]).toFixed(1)})` }, mark("hand"), s("text", { class: "plan-hand-number", y: 8, "text-anchor": "middle" }, String(hand.number))));
    }
    fill(svg, items, labels, stations.map((st, i) => placed(st, i, at, taken, picked)));
  }
  /** Where along an edge its name stands clear of places, holes and numbers: the middle if that is. */
  function nameSpot(e, at) {
    const { contour, stations } = shown;
    const taken = [...stations.map((st) => [spotOf(st, contour), 46]), ...contour.holes.map((o) => [{ at: o.at_mm }, 34])].filter(([spot]) => spot);
    const spots = [0.5, 0.62, 0.38, 0.75, 0.25].map((share) => pointAlong(e, e.along_mm[0] + share * (e.along_mm.at(-1) - e.along_mm[0])));
    const clear = (spot) => {
      const [x, y] = at(spot.at);
      const [nx, ny] = [x - 26 * spot.out[0], y + 26 * spot.out[1]];
      return taken.every(([other, room]) => Math.hypot(at(other.at)[0] - nx, at(other.at)[1] - ny) > room);
    };
    return spots.find(clear) ?? spots[0];
  }
  const anchor = (out) => (out > 0.6 ? "start" : out < -0.6 ? "end" : "middle");

  function holeShape(hole, at, scale) {
    const [x, y] = at(hole.at_mm);
    const r = (hole.diameter_mm / 2) * scale;
    if (hole.slot_mm > 0) {
      const half = (hole.slot_mm / 2) * scale;
      return s("rect", { class: "plan-hole", x: x - half - r, y: y - r, width: 2 * (half + r), height: 2 * r, rx: r, transform: `rotate(${-hole.slot_angle_deg} ${x} ${y})` });
    }
    return s("g", {}, s("circle", { class: hole.flanged ? "plan-hole plan-flanged" : "plan-hole", cx: x, cy: y, r }),
      hole.flanged && r > 16 ? s("text", { class: "plan-hole-name", x, y: y + 6, "text-anchor": "middle" }, hole.name) : null);
  }

  function placed(st, i, at, taken, picked) {
    const spot = spotOf(st, shown.contour);
    if (!spot) return null;
    const verdict = verdictOf(st, toleranceOf(st, shown.contour));
    const [x, y] = at(spot.at);
    const out = st.angle_released_deg;
    const name = app.say("forecast.place_label", {
      place: shown.nameOf(st), verdict: say(`forecast.verdict_${verdict.replaceAll("-", "_")}`), angle: out ? plain(out.value, 1) : "?",
    });
    const g = s("g", {
      class: "plan-place", role: "button", tabindex: i === (picked ?? 0) ? 0 : -1, "aria-pressed": String(i === picked), "aria-label": name, "data-index": i,
      transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, onclick: () => onPick(i), onkeydown: (event) => keys(event, i),
    }, s("circle", { class: "plan-halo", r: 17 }), mark(KIND[verdict] ?? "inside"));
    // the angle stands beside it, outside the metal, unless one stands there already
    const [tx, ty] = [x + 24 * spot.out[0], y - 24 * spot.out[1] + 6];
    if (out && !taken.some(([a, b]) => Math.abs(a - tx) < 54 && Math.abs(b - ty) < 20)) {
      taken.push([tx, ty]);
      g.append(s("text", { class: "plan-angle", x: 24 * spot.out[0], y: -24 * spot.out[1] + 6, "text-anchor": anchor(spot.out[0]) }, plain(out.value, 1)));
    }
    return g;
  }
  function keys(event, i) {
    const n = shown.stations.length;
    const to = { ArrowRight: i + 1, ArrowDown: i + 1, ArrowLeft: i - 1, ArrowUp: i - 1, Home: 0, End: n - 1 }[event.key];
    if (event.key === "Enter" || event.key === " ") onPick(i);
    else if (to === undefined) return;
    else svg.querySelector(`[data-index="${(to + n) % n}"]`)?.focus();
    event.preventDefault();
  }
  return {
    update(next) {
      shown = next;
      el.hidden = !next.contour;
      if (!next.contour) return;
      const had = svg.contains(document.activeElement) ? document.activeElement.dataset.index : null;
      draw();
      if (had !== null) svg.querySelector(`[data-index="${had}"]`)?.focus();
    },
    keyOf: placeKey,
  };
}
