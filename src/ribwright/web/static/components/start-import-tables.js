/** What an import asks about: the ordinates that are suspect, the layers of a drawing. */
import { h, keepList, put, text } from "../dom.js";
import { named, roleOf } from "../logic/imports.js";
import { lengthIn } from "../logic/units.js";

const ROLES = ["web", "flange", "tangent", "hole", "tooling", "lightening", "ignore"];

/** One row a suspect ordinate: kept as typed, the value that would fit, or another that is typed. `said(number, words)`. */
export function suspectsTable({ say }, said) {
  const rows = h("tbody");
  const el = h("div", { hidden: true }, h("h3", {}, say("imports.suspects")), h("p", { class: "quiet" }, say("imports.suspects_about")),
    h("table", { class: "import-table" }, h("thead", {}, h("tr", {}, ["place", "typed", "fits", "do"].map((key) => h("th", { scope: "col" }, say(`imports.col_${key}`))))), rows));
  const make = (s) => {
    const cells = [h("th", { scope: "row" }), h("td"), h("td")];
    const what = h("select", { "aria-label": say("imports.do_with", { n: s.number }) }, [["", "keep"], ["fits", "fits"], ["own", "own"]].map(([value, key]) => h("option", { value }, say(`imports.do_${key}`))));
    const own = h("input", { type: "text", autocomplete: "off", hidden: true, "aria-label": say("imports.own_value", { n: s.number }) });
    what.onchange = () => {
      own.hidden = what.value !== "own";
      if (what.value === "own") own.focus();
      else said(s.number, what.value);
    };
    own.onchange = () => own.value.trim() && said(s.number, own.value.trim());
    return Object.assign(h("tr", {}, ...cells, h("td", {}, what, own)), { cells_: cells, what, own });
  };
  return {
    el,
    update(suspects, form, unit) {
      el.hidden = suspects.length === 0;
      const long = (mm) => lengthIn(mm, unit);
      keepList(rows, suspects, (s) => s.number, make, (tr, s) => {
        text(tr.cells_[0], say("imports.suspect_at", { n: s.number, line: s.line, what: `${s.axis} ${s.side}`, x: long(s.x_mm) }));
        text(tr.cells_[1], s.typed);
        text(tr.cells_[2], say("imports.fits", { value: long(s.would_fit_mm), give: long(s.uncertainty_mm) }));
        const words = form.takes[s.number] ?? "";
        const own = words !== "" && words !== "fits";
        if (document.activeElement !== tr.own) {
          tr.what.value = own ? "own" : words;
          tr.own.hidden = !own;
          put(tr.own, "value", own ? words : "");
        }
      });
    },
  };
}

/** One row a layer: what lies on it, what it draws, of a flange its name. `said(layer, role)`. */
export function layersTable({ say }, said) {
  const rows = h("tbody");
  const el = h("div", { hidden: true }, h("h3", {}, say("imports.layers")), h("p", { class: "quiet" }, say("imports.layers_about")),
    h("table", { class: "import-table" }, h("thead", {}, h("tr", {}, ["layer", "on_it", "role"].map((key) => h("th", { scope: "col" }, say(`imports.col_${key}`))))), rows));
  const make = (layer) => {
    const cells = [h("th", { scope: "row" }), h("td")];
    const role = h("select", { "aria-label": say("imports.role_of", { layer: layer.name }) }, ["", ...ROLES].map((value) => h("option", { value }, say(`imports.role_${value || "none"}`))));
    const flange = h("input", { type: "text", autocomplete: "off", "aria-label": say("imports.flange_of", { layer: layer.name }), placeholder: say("imports.flange_name") });
    const tell = () => said(layer.name, named(role.value) ? `${role.value} ${flange.value}`.trim() : role.value);
    role.onchange = tell;
    flange.onchange = tell;
    return Object.assign(h("tr", {}, ...cells, h("td", {}, role, flange)), { cells_: cells, draws: role, flange });
  };
  return {
    el,
    update(layers, form) {
      el.hidden = layers.length === 0;
      keepList(rows, layers, (l) => l.name, make, (tr, l) => {
        const { word, flange } = roleOf(form.roles[l.name] || l.role);
        text(tr.cells_[0], l.name);
        text(tr.cells_[1], l.words);
        tr.draws.value = word;
        tr.flange.hidden = !named(word);
        if (document.activeElement !== tr.flange) put(tr.flange, "value", flange);
      });
    },
  };
}
