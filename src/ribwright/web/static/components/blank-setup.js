/** The press set-up: what it needs, what there is, where to stop, what closes. */
import { fill, h } from "../dom.js";
import { closing, setup } from "../logic/rows.js";
import { tables } from "./blank-table.js";

export function mount(el, app) {
  const { say } = app;
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
      tables(app, el, [[say("blank.table_setup"), list], [say("blank.table_closing"), closing(answer, say)]], options);
    },
  };
}
