/** The cut lines of the three methods over each other, the largest difference with its place, differences drawn larger on demand. */
import { fill, h, put } from "../dom.js";
import { largest, methodsPicture } from "../logic/flat.js";
import { apart, where } from "../logic/rows.js";
import { length } from "../logic/units.js";
import { legend, plane } from "./blank-plane.js";
import { tables } from "./blank-table.js";

const TIMES = [1, 10, 50];

export function mount(el, app) {
  const { say } = app;
  const drawing = plane(app, { label: say("blank.picture_methods") });
  const lines = legend(app, (hidden) => drawing.hide(hidden));
  let times = 1;
  const buttons = TIMES.map((n) => h("button", { type: "button", onclick: () => { times = n; draw(); } }, n === 1 ? say("blank.as_they_are") : say("blank.times", { n })));
  const said = h("p", { class: "blank-said", role: "status" });
  const most = h("div", { class: "blank-most" });
  const numbers = h("div", { class: "blank-tables" });
  fill(el,
    h("div", { class: "blank-pictures" }, drawing.el, h("div", { class: "blank-side" }, lines.el,
      h("fieldset", {}, h("legend", {}, say("blank.differences")), h("div", { class: "blank-times" }, buttons), said), most)),
    numbers);
  let shown = {};
  function draw() {
    const { view, units } = shown;
    if (!view) return;
    const picture = methodsPicture(view, times, units, say);
    lines.show(picture.legend);
    drawing.show(picture);
    buttons.forEach((b, k) => put(b, "aria-pressed", String(TIMES[k] === times)));
    said.textContent = times === 1 ? "" : say("blank.differences_said", { n: times });
  }
  return {
    update({ view, units, options }) {
      if (!view || (view === shown.view && units === shown.units)) return;
      shown = { view, units };
      draw();
      const name = (method) => say(`blank.method_${method.replaceAll("-", "_")}`);
      const far = largest(view);
      drawing.mark(far ? [far.at] : [], [""]);
      fill(most, h("h3", {}, say("blank.largest")),
        far && h("p", {}, say("blank.largest_said", { mm: length(far.mm, units), a: name(far.a), b: name(far.b), where: where({ [far.kind]: far.name }) })),
        far && h("button", { type: "button", onclick: () => drawing.look(far.at) }, say("blank.go_there")),
        view.methods.filter((m) => !m.answered).map((m) => h("p", {}, say("blank.no_answer_of", { method: name(m.method) }))),
        h("p", {}, say("blank.stands_by", { method: name(view.stands) })));
      tables(app, numbers, [[say("blank.table_apart"), apart(view, say)]], options);
    },
  };
}
