/** Faults and findings as sentences with their numbers: all of them under the drawing, those of what is picked in its panel. */
import { fill, h, keepList, put, text } from "../dom.js";
import { fresh } from "../state.js";

/** A list of marks: {el, update(marks)}. Pressing one picks its thing. `tries`: say also what to try. */
export function markList(ctx, { tries: withTries = true } = {}) {
  const { say, wish } = ctx.app;
  const el = h("ul", { class: "part-mark-list" });
  const make = () => {
    const [number, word, words, tries] = [h("b", { class: "part-n" }), h("b"), h("span"), h("span", { class: "quiet" })];
    const button = h("button", { type: "button", class: "part-mark-go" }, number, h("span", { class: "part-mark-words" }, word, " ", words, tries));
    return Object.assign(h("li", { class: "finding" }, button), { number, word, words, tries, button });
  };
  return {
    el,
    update(marks) {
      el.hidden = marks.length === 0;
      keepList(el, marks, (m) => `${m.n} ${m.severity} ${m.say}`, make, (li, m) => {
        put(li, "data-severity", m.severity === "fault" ? "stop" : m.severity);
        text(li.number, String(m.n));
        text(li.word, say(`part.severity_${m.severity}`));
        text(li.words, m.say);
        text(li.tries, withTries && m.try ? ` ${m.try}` : "");
        li.button.onclick = () => wish("pick", { path: m.key || m.owner });
        li.button.disabled = !m.owner;
      });
    },
  };
}

export function mount(el, ctx) {
  const { say } = ctx.app;
  const title = h("h2", {}, say("part.findings"));
  const about = h("p", { class: "quiet", role: "status" });
  const list = markList(ctx);
  fill(el, h("section", { class: "part-marks", "aria-label": say("part.findings") }, title, about, list.el));
  return {
    update(now) {
      const check = now.jobs.check;
      const done = check && fresh(now, "check") && check.state === "done";
      text(about, now.draft.faults.length ? say("part.findings_faults") : !done ? (check?.state === "failed" && fresh(now, "check") ? check.words || say("part.findings_failed") : say("part.findings_waiting")) : ctx.marks.length ? say("part.findings_checked") : say("part.findings_none"));
      list.update(ctx.marks);
    },
  };
}
