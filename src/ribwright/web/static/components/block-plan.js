/** The form block from above, measured on, with undercut, recesses, pins and what the bench needs. */
import { fill, h } from "../dom.js";
import { blockPicture } from "../logic/flat.js";
import * as rows from "../logic/rows.js";
import { legend, plane } from "./blank-plane.js";
import { tables } from "./blank-table.js";
import { measureBar } from "./measure-bar.js";

export function mount(el, app) {
  const { say } = app;
  const drawing = plane(app, { label: say("blank.picture_block"), onPlace: (i) => bar.choose(i), onFar: () => bar.far() });
  const lines = legend(app, (hidden) => drawing.hide(hidden));
  const bar = measureBar(app, (set, places, ends) => drawing.mark(ends));
  const numbers = h("div", { class: "blank-tables" });
  fill(el, h("div", { class: "blank-pictures" }, drawing.el, h("div", { class: "blank-side" }, bar.el, lines.el)), numbers);
  let drawn = {};
  return {
    update({ answer, options, view, units }) {
      if (view && (view !== drawn.view || units !== drawn.units)) {
        const picture = blockPicture(view, units, say);
        lines.show(picture.legend);
        drawing.show(picture);
        bar.show([{ id: "block", words: say("blank.tab_block"), places: view.places }]);
        bar.redraw();
      }
      if (answer !== drawn.answer || units !== drawn.units) {
        const of = (name) => rows[name](answer, say);
        tables(app, numbers, [
          [say("blank.table_undercut"), of("undercut")], [say("blank.table_recesses"), of("recesses")], [say("blank.table_pins"), of("pins")],
          [say("blank.table_body"), of("blockBody")],
        ], options);
      }
      drawn = { answer, view, units };
    },
  };
}
