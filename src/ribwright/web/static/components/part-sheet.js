/** What any drawing of a part has on its sheet: axes, grain, scale in both units, hatches, signs of marks, and what they mean. */
import { h, s } from "../dom.js";
import { scaleBar, toPixels } from "../logic/view.js";

/** The signs of marks by severity, as paths about their middle. */
export const MARK_SHAPES = {
  fault: "M-13-13H13V13H-13Z", stop: "M0-16L14-8V8L0 16L-14 8V-8Z", warn: "M0-16L17 13H-17Z", note: "M-13 0a13 13 0 1 0 26 0a13 13 0 1 0-26 0Z",
};

/** Hatches of flanges turned down and up; `data-turn` is how each is turned before it is scaled. */
export function hatches() {
  const hatch = (id, turn, ...lines) => {
    const pattern = s("pattern", { id, width: 9, height: 9, patternUnits: "userSpaceOnUse" }, ...lines.map((d) => s("path", { d, class: "part-hatch" })));
    pattern.dataset.turn = turn;
    return pattern;
  };
  return [hatch("part-hatch-down", "rotate(45)", "M0 0V9"), hatch("part-hatch-up", "rotate(45)", "M0 0V9", "M0 0H9")];
}

/** The axes' directions and the grain at a corner of the sheet, and the origin where it lies. */
export function axes(drawn, say) {
  const [ox, oy] = toPixels(drawn.view, [0, 0]);
  const y = drawn.height - 30;
  const arrow = (d, words, x2, y2, anchor) => [s("path", { d, class: "part-axis" }), s("text", { x: x2, y: y2, class: "part-axis-name", "text-anchor": anchor }, words)];
  const grain = drawn.sketch.grain_deg;
  const turn = typeof grain === "number" ? grain : null;
  const at = [drawn.width - 96, 92];
  return [
    s("path", { d: `M${ox - 9} ${oy}h18M${ox} ${oy - 9}v18`, class: "part-origin" }),
    ...arrow(`M24 ${y}h46m-8-5l8 5l-8 5`, "x", 78, y + 6, "start"), ...arrow(`M24 ${y}v-46m-5 8l5-8l5 8`, "y", 24, y - 54, "middle"),
    ...(turn === null ? [] : [
      s("path", { d: "M-38 0H38M28-5L38 0L28 5M-28-5L-38 0L-28 5", class: "part-axis", transform: `translate(${at[0]} ${at[1]}) rotate(${-turn})` }),
      s("text", { x: at[0], y: at[1] - 20, class: "part-axis-name", "text-anchor": "middle" }, say("part.grain", { deg: Number(turn.toFixed(1)) })),
    ]),
  ];
}

/** The scale in both units. */
export function bar(drawn, first) {
  const bars = (first === "mm" ? ["mm", "in"] : ["in", "mm"]).map((unit) => ({ unit, ...scaleBar(drawn.view, unit, 130) }));
  return bars.flatMap(({ unit, mm, px }, i) => {
    const [x, y] = [130, drawn.height - 20 - (1 - i) * 26];
    const words = unit === "in" ? `${Number((mm / 25.4).toPrecision(3))} in` : `${Number(mm.toPrecision(3))} mm`;
    return [s("path", { d: `M${x} ${y - 6}v6h${px}v-6`, class: "part-axis" }), s("text", { x: x + px + 8, y: y + 2, class: "part-axis-name" }, words)];
  });
}

export function legendOf(say) {
  const row = (inside, words) => h("li", {}, s("svg", { width: 64, height: 24, "aria-hidden": "true" }, ...inside), words);
  const line = (cls) => [s("path", { d: "M4 12H60", class: cls })];
  return h("ul", {},
    row(line("part-key-edge"), say("part.key_edge")), row(line("part-key-plain"), say("part.key_plain")), row(line("part-key-bend"), say("part.key_bend")),
    row([s("rect", { x: 4, y: 3, width: 56, height: 18, class: "part-key-down" })], say("part.key_down")), row([s("rect", { x: 4, y: 3, width: 56, height: 18, class: "part-key-up" })], say("part.key_up")),
    row([s("path", { d: "M32 3a9 9 0 1 0 .1 0ZM20 12H44M32 0V24", class: "part-key-edge" })], say("part.key_pin")),
    ...["fault", "stop", "warn"].map((severity) => row([s("g", { class: "part-mark", "data-severity": severity, transform: "translate(32 12) scale(.7)" }, s("path", { d: MARK_SHAPES[severity] }))], say(`part.key_${severity}`))));
}
