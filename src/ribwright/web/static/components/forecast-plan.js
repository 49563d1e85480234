/** The drawn part in plan with every place of the forecast: what stands there, whether it is inside the tolerance, where hand work is needed. */
import { fill, h, put, s, stylesheet, text } from "../dom.js";
import { placeKey, pointAlong, spotOf, toleranceOf, verdictOf } from "../logic/forecast.js";
import { firstFree } from "../logic/plot.js";
import { plain } from "../logic/units.js";

const ROOM = { side: 120, top: 64 };

/** @returns {{update({contour, stations, picked, hands}): void}}; `onPick(index)` hears the place that is picked */
export function mount(el, app, onPick) {
  stylesheet("forecast-plan");
  const { say } = app;
  let shown = null;
  const svg = s("svg", { class: "plan-picture", role: "group", "aria-label": say("forecast.plan_label") });
  const picked_words = h("p", { class: "plan-picked", role: "status" });
  fill(el, svg, picked_words, h("p", { class: "plan-legend quiet" }, legend("inside", say("forecast.mark_inside")), legend("band", say("forecast.mark_band")), legend("outside", say("forecast.mark_outside")),
    legend("open", say("forecast.mark_open")), legend("unknown", say("forecast.mark_unknown")), legend("hand", say("forecast.mark_hand"))));
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
  const KIND = { "stays-open": "open", open: "outside", closed: "outside", "band-outside": "band", unknown: "unknown", "not-judged": "unknown", "on-it": "unknown" };

  function draw() {
    const { contour, stations, picked, hands } = shown;
    const wide = svg.clientWidth || 900;
    const points = [...contour.edges.flatMap((e) => e.points_mm), ...contour.holes.map((hole) => hole.at_mm)];
    const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
    const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    const scale = Math.min((wide - 2 * ROOM.side) / (x1 - x0), 440 / (y1 - y0 || 1));
    const tall = scale * (y1 - y0) + 2 * ROOM.top;
    put(svg, "viewBox", `0 0 ${wide} ${tall.toFixed(0)}`);
    svg.style.height = `${tall.toFixed(0)}px`;
    const dx = (wide - scale * (x1 - x0)) / 2;
    const at = ([x, y]) => [dx + scale * (x - x0), tall - ROOM.top - scale * (y - y0)];
    const line = (pts) => `M${pts.map((p) => at(p).map((v) => v.toFixed(1)).join(" ")).join("L")}`;
    const items = contour.edges.map((e) => s("path", { class: e.flange ? "plan-edge plan-flanged" : "plan-edge", d: line(e.points_mm) }));
    for (const hole of contour.holes) items.push(holeShape(hole, at, scale));
    const taken = placesTaken(at, scale);
    const marks = stations.map((st, i) => placed(st, i, at, taken, picked));
    const hand_marks = hands.map((hand) => handMark(hand, at, scale, taken));
    const lines = contour.edges.flatMap((e) => linesTaken(e, at));
    taken.push(...lines);
    const names = contour.edges.map((e) => (e.flange ? edgeName(e, at, taken) : null));
    fill(svg, items, names.filter(Boolean), hand_marks.filter(Boolean), marks.filter(Boolean));
  }
  /** Boxes on the picture that nothing else may cover: the places and the holes. */
  function placesTaken(at, scale) {
    const { contour, stations } = shown;
    const boxes = stations.map((st) => spotOf(st, contour)).filter(Boolean).map((spot) => at(spot.at)).map(([x, y]) => [x - 15, y - 15, 30, 30]);
    for (const hole of contour.holes) {
      const [x, y] = at(hole.at_mm);
      const r = Math.max(7, (hole.diameter_mm / 2) * scale);
      boxes.push([x - r, y - r, 2 * r, 2 * r]);
    }
    return boxes;
  }
  /** Small boxes along an edge, so that no name lies over its line. */
  function linesTaken(e, at) {
    const long = Math.abs(e.along_mm.at(-1) - e.along_mm[0]);
    const count = Math.max(2, Math.ceil(long / 4));
    return Array.from({ length: count + 1 }, (_, i) => at(pointAlong(e, e.along_mm[0] + (i / count) * (e.along_mm.at(-1) - e.along_mm[0])).at)).map(([x, y]) => [x - 2, y - 2, 4, 4]);
  }
  /** A name inside the metal, beside its edge, where there is room; a name that would lie on something else is left to the table. */
  function edgeName(e, at, taken) {
    const wide = 8.6 * e.name.length + 6;
    const boxes = [0.5, 0.62, 0.38, 0.75, 0.25, 0.85, 0.15].flatMap((share) => {
      const spot = pointAlong(e, e.along_mm[0] + share * (e.along_mm.at(-1) - e.along_mm[0]));
      const [x, y] = at(spot.at);
      return [20, 34].map((far) => {
        const [cx, cy] = [x - (far + (wide / 2 - 8) * Math.abs(spot.out[0])) * spot.out[0], y + far * spot.out[1]];
        return [cx - wide / 2, cy - 11, wide, 22];
      });
    });
    const box = firstFree(taken, boxes);
    return box && s("text", { class: "plan-edge-name", x: box[0] + wide / 2, y: box[1] + 17, "text-anchor": "middle" }, e.name);
  }
  /** At a hole outside it, across from its place; at an edge inside, beside it. */
  function handMark(hand, at, scale, taken) {
    const spot = spotOf(hand.where, shown.contour);
    if (!spot) return null;
    const hole = hand.owner.kind === "hole" && shown.contour.holes.find((o) => o.name === hand.owner.name);
    const [x, y] = at(spot.at);
    const [ox, oy] = spot.out;
    const ways = hole ? [[hole.diameter_mm * scale + 20, 0], [hole.diameter_mm * scale + 34, 0]] : [[34, 0], [34, 30], [34, -30], [52, 0], [52, 40], [52, -40], [-40, 30], [-40, -30]];
    const boxes = ways.map(([inward, aside]) => [x - inward * ox - aside * oy - 15, y + inward * oy - aside * ox - 15, 30, 28]);
    const box = firstFree(taken, boxes) ?? boxes[0];
    return s("g", { transform: `translate(${(box[0] + 15).toFixed(1)} ${(box[1] + 15).toFixed(1)})` }, mark("hand"), s("text", { class: "plan-hand-number", y: 8, "text-anchor": "middle" }, String(hand.number)));
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
    const name = wordsOf(st, verdict);
    const g = s("g", {
      class: "plan-place", role: "button", tabindex: i === (picked ?? 0) ? 0 : -1, "aria-pressed": String(i === picked), "aria-label": name, "data-index": i,
      transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, onclick: () => onPick(i), onkeydown: (event) => keys(event, i),
    }, s("circle", { class: "plan-halo", r: 17 }), mark(KIND[verdict] ?? "inside"));
    // the angle stands beside it, outside the metal, unless one stands there already
    const wide = 46;
    const anchored = { start: 0, middle: wide / 2, end: wide }[anchor(spot.out[0])];
    const [tx, ty] = [25 * spot.out[0], -25 * spot.out[1] + 6];
    if (out && firstFree(taken, [[x + tx - anchored, y + ty - 13, wide, 14]])) {
      g.append(s("text", { class: "plan-angle", x: tx, y: ty, "text-anchor": anchor(spot.out[0]) }, plain(out.value, 1)));
    }
    return g;
  }
  /** "upper at 12.500 in: 90.0 deg released (90 % 87.3 to 91.8), 90.0 drawn ± 1.0: inside". */
  function wordsOf(st, verdict) {
    const out = st.angle_released_deg;
    const limits = toleranceOf(st, shown.contour);
    return say(out ? "forecast.place_label" : "forecast.place_unknown", {
      place: shown.nameOf(st), verdict: say(`forecast.verdict_${verdict.replaceAll("-", "_")}`), ...(out && { angle: plain(out.value, 1), low: plain(out.low, 1), high: plain(out.high, 1) }),
      drawn: `${plain(st.bend_angle_deg, 1)}${limits ? ` +${plain(limits[1], 1)} −${plain(limits[0], 1)}` : ""}`,
    });
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
      const st = next.stations[next.picked];
      text(picked_words, st ? wordsOf(st, verdictOf(st, toleranceOf(st, next.contour))) : "");
      if (had !== null) svg.querySelector(`[data-index="${had}"]`)?.focus();
    },
    keyOf: placeKey,
  };
}
