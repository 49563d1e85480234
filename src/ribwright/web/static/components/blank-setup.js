/** The press set-up: what it needs, what there is, where to stop, what closes. */
import { fill, h } from "../dom.js";
import { closing, setup } from "../logic/rows.js";
import { tables } from "./blank-table.js";

export function mount(el, app) {
  const { say } = app;
  const pair = h("div", { class: "blank-pair" });
  const numbers = h("div", { class: "blank-tables" });
  let drawn = {};
  return {
    update({ answer, options, units }) {
      if (answer === drawn.answer && units === drawn.units) return;
      drawn = { answer, units };
      const list = setup(answer, say);
      if (!list) {
        fill(el, h("p", {}, say("blank.no_setup")));
        return;
      }
      fill(el, pair, numbers);
      tables(app, pair, [[say("blank.table_pressure"), list.pressure], [say("blank.table_place"), list.place]], options);
      tables(app, numbers, [[say("blank.table_closing"), closing(answer, say)]], options);
    },
  };
}
