/** The flat blank and the formed part in plan, with the numbers of edges, holes and corners. */
import { fill, h, text } from "../dom.js";
import { flatPicture } from "../logic/flat.js";
import * as rows from "../logic/rows.js";
import { length } from "../logic/units.js";
import { legend, plane } from "./blank-plane.js";
import { tables } from "./blank-table.js";
import { measureBar } from "./measure-bar.js";

export function mount(el, app) {
  const { say } = app;
  let measured = [];
  const drawing = plane(app, { label: say("blank.picture_flat"), onPlace: (i) => bar.choose(i), onFar: () => bar.far() });
  const lines = legend(app, (hidden) => drawing.hide(hidden));
  const bar = measureBar(app, (set, places, ends) => {
    measured = places;
    if (picture) picture.places = places;
    drawing.mark(ends);
  });
  const numbers = h("div", { class: "blank-tables" });
  let picture = null;
  const agreement = h("p", { class: "blank-agreement" });
  fill(el, h("div", { class: "blank-pictures" }, drawing.el, h("div", { class: "blank-side" }, agreement, bar.el, lines.el)), numbers);
  function agreementWords({ blank }, units) {
    const a = blank.agreement;
    if (!a) return say("blank.by_method", { method: say(`blank.method_${blank.method.replaceAll("-", "_").split(" ")[0]}`) });
    const values = { within: length(a.within_mm, units), tolerance: length(a.tolerance_mm, units) };
    return say(`blank.agreement_${a.outcome.replaceAll("-", "_")}`, values);
  }
  let drawn = {};
  return {
    /** of: {answer, options, view, units} */
    update({ answer, options, view, units }) {
      if (view && (view !== drawn.view || units !== drawn.units)) {
        picture = { ...flatPicture(view, units, say), places: measured };
        bar.show([{ id: "flat", words: say("blank.measure_flat"), places: view.places.flat }, { id: "formed", words: say("blank.measure_formed"), places: view.places.formed }]);
        picture.places = measured;
        lines.show(picture.legend);
        drawing.show(picture);
        bar.redraw();
      }
      if (answer !== drawn.answer || units !== drawn.units) {
        text(agreement, agreementWords(answer, units));
        const of = (name) => rows[name](answer, say);
        tables(app, numbers, [
          [say("blank.table_edges"), of("edges")], [say("blank.table_holes"), of("holes")], [say("blank.table_corners"), of("corners")],
          [say("blank.table_sizes"), of("blankSizes")],
        ], options);
      }
      drawn = { answer, view, units };
    },
  };
}
