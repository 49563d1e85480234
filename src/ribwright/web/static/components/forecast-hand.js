/** Where hand work will be needed, the worst place first, with what to try; numbers stand on the plan. */
import { fill, h, stylesheet } from "../dom.js";
import { handSteps, shrinks } from "../logic/forecast.js";
import { plain } from "../logic/units.js";

/** @returns {{update({hands, ready, judged, nameOf}): void}} */
export function mount(el, app, onPick) {
  stylesheet("forecast-hand");
  const { say } = app;
  const list = h("ol", { class: "hand-list" });
  const none = h("p", {});
  fill(el, none, list, h("p", { class: "quiet" }, say("forecast.hand_not_built")));

  const step = (f) => h("div", { class: "hand-step", "data-severity": f.severity }, h("p", {}, f.say), f.todo ? h("p", {}, h("span", { class: "hand-try" }, say("forecast.hand_try")), " ", f.todo) : null);
  function item(r, nameOf) {
    const worst = r.verdicts.reduce((a, b) => (Math.abs(b.s.off_drawing_deg ?? 0) > Math.abs(a?.s.off_drawing_deg ?? -1) ? b : a), null);
    const lines = [];
    if (worst) lines.push(say(worst.verdict === "stays-open" ? "forecast.hand_open" : worst.verdict === "closed" ? "forecast.hand_closed" : worst.verdict === "unknown" ? "forecast.hand_unknown" : "forecast.hand_sprung", {
      place: nameOf(worst.s), deg: plain(Math.abs(worst.s.off_drawing_deg ?? 0), 1), count: r.verdicts.length,
    }));
    if (r.wrinkle) lines.push(say("forecast.hand_wrinkle", { percent: plain(-100 * Math.expm1(-shrinks(r.wrinkle)), 1) }));
    const steps = handSteps(r);
    return h("li", { class: "hand-item" },
      h("h3", {}, h("span", { class: "hand-number", "aria-hidden": "true" }, String(r.number)), r.owner.kind === "hole" ? say("forecast.hole", { name: r.owner.name }) : r.owner.kind === "flange" ? say("forecast.flange", { name: r.owner.name }) : say("forecast.edge", { name: r.owner.name })),
      lines.map((w) => h("p", {}, h("b", {}, w))),
      steps.slice(0, 1).map(step),
      steps.length > 1 ? h("details", {}, h("summary", {}, say("forecast.hand_more", { n: steps.length - 1 })), steps.slice(1).map(step)) : null,
      worst ? h("button", { type: "button", onclick: () => onPick(worst.index, true) }, say("forecast.hand_show")) : null);
  }
  return {
    update({ hands, ready, judged, nameOf }) {
      none.hidden = !ready || hands.length > 0;
      none.textContent = say(judged ? "forecast.hand_none" : "forecast.hand_none_unjudged");
      fill(list, hands.map((r) => item(r, nameOf)));
      el.hidden = !ready;
    },
  };
}
