/** Findings, the worst first, and the room left of every place. */
import { fill, h } from "../dom.js";
import { margins, where } from "../logic/rows.js";
import { tables } from "./blank-table.js";
import { numberButton } from "./number.js";

export function mount(el, app) {
  const { say } = app;
  const list = h("div", { class: "blank-findings" });
  const numbers = h("div", { class: "blank-tables" });
  fill(el, h("h2", {}, say("blank.table_findings")), list, numbers);
  let drawn = {};
  return {
    update({ answer, options, units }) {
      if (answer === drawn.answer && units === drawn.units) return;
      drawn = { answer, units };
      const value = (f, i, key) => f[key] !== null && numberButton(app, {
        path: `findings[${i}].${key}`, value: f[key], unit: f.unit, options, label: `${f.code}, ${say(`blank.col_${key}`)}` });
      fill(list, answer.findings.length ? answer.findings.map((f, i) =>
        h("article", { class: "finding", "data-severity": f.severity },
          h("p", {}, h("b", {}, f.severity), " ", f.say),
          f.try && h("p", {}, say("blank.try", { words: f.try })),
          f.value !== null && h("p", {}, where(f.where) && `${where(f.where)}: `, value(f, i, "value"),
            f.limit !== null && [` ${say("blank.against")} `, value(f, i, "limit")]),
          f.source && h("p", { class: "quiet" }, say("blank.source", { words: f.source })))) : h("p", {}, say("blank.no_findings")));
      tables(app, numbers, [[say("blank.table_margins"), margins(answer, say)]], options);
    },
  };
}
