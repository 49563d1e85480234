/** The press set-up: what it needs, what there is, where to stop, what closes, the steps at the press with their cautions. */
import { fill, h } from "../dom.js";
import { closing, setup } from "../logic/rows.js";
import { tables } from "./blank-table.js";

export function mount(el, app) {
  const { say } = app;
  const pair = h("div", { class: "blank-pair" });
  const numbers = h("div", { class: "blank-tables" });
  const press = h("section", { class: "blank-press" });
  const boxes = h("div", { class: "blank-boxes" });
  let drawn = {};
  return {
    update({ answer, options, units }) {
      if (answer === drawn.answer && units === drawn.units && options === drawn.options) return;
      drawn = { answer, units, options };
      const list = setup(answer, say);
      if (!list) {
        fill(el, h("p", {}, say("blank.no_setup")));
        return;
      }
      fill(el, boxes, pair, numbers, press);
      tables(app, pair, [[say("blank.table_pressure"), list.pressure], [say("blank.table_place"), list.place]], options);
      tables(app, numbers, [[say("blank.table_closing"), closing(answer, say)]], options);
      const there = answer.at_the_press ?? { boxes: [], procedure: [] };
      // nobody pumps to a reading that the section model is about to change
      const meanwhile = options.model === "closed-form";
      fill(boxes, meanwhile ? h("p", {}, h("b", {}, say("blank.readings_wait"))) : there.boxes.map(box));
      fill(press, meanwhile ? [] : [h("h2", {}, say("blank.procedure")), procedure(there.procedure, say)]);
    },
  };
}

/** A key number as the card shows it. */
const box = ({ label, value, under, by, loud }) =>
  h("dl", { class: "blank-box", "data-loud": loud }, h("dt", {}, label), h("dd", { class: "blank-box-value" }, value), h("dd", {}, under), h("dd", { class: "quiet" }, by));

/** Steps numbered, each caution before the step it belongs to. */
function procedure(rows, say) {
  let n = 0;
  return h("div", { class: "blank-procedure" }, rows.map(({ kind, say: words }) =>
    kind === "caution"
      ? h("p", { class: "blank-caution" }, h("b", {}, `${say("blank.caution")} `), words)
      : h("p", { class: "blank-step" }, h("b", {}, `${(n += 1)}. `), words)));
}
