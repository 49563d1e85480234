/**
 * A part from a table of ordinates or a drawing: a file chosen, dropped or pasted (`el`); what the import says of it and a person says
 * back stands in a sheet of its own (`open`), which has more room.
 */
import { h, keepList, put, stylesheet, text } from "../dom.js";
import { KNOWN, pastedFile, sourceKind, standing, wantsWhere } from "../logic/imports.js";
import { goodName } from "../logic/start.js";
import { layersTable, suspectsTable } from "./start-import-tables.js";

export function importSheet(app) {
  const { say, wish } = app;
  stylesheet("start-import");
  const shop = h("select", { id: "import-shop" });
  const shopField = row(say("start.into"), shop);
  const input = h("input", { id: "import-file", type: "file", accept: ".csv,.tsv,.txt,.dxf,.step,.stp", class: "start-files" });
  const refused = h("p", { class: "finding", "data-severity": "stop", role: "alert", hidden: true });
  const read = (name, blob) => {
    refused.hidden = Boolean(sourceKind(name));
    text(refused, say("imports.not_read", { name }));
    if (refused.hidden) wish("import-file", { shop: shop.value, name, blob });
  };
  input.onchange = () => {
    if (input.files.length) read(input.files[0].name, input.files[0]);
    input.value = "";
  };
  const pasted = h("textarea", { id: "import-pasted", rows: 5, spellcheck: "false", class: "import-pasted" });
  const pastedUnits = select("import-units", [["", say("imports.units_said")], ["in", say("frame.inch")], ["mm", say("frame.mm")]]);
  const paste = h("details", {}, h("summary", {}, say("imports.paste")), row(say("imports.pasted"), pasted), row(say("imports.pasted_units"), pastedUnits),
    h("button", { type: "button", onclick: () => {
      if (!pasted.value.trim()) return;
      const file = pastedFile(pasted.value, pastedUnits.value);
      read(file.name, new Blob([file.text], { type: "text/plain" }));
    } }, say("imports.read_pasted")));
  const open = importForm(app);
  const el = h("section", { class: "sheet start-drop", "aria-label": say("imports.title") }, h("h2", {}, say("imports.title")), h("p", {}, say("imports.about")), shopField,
    h("label", { class: "start-choose", for: input.id }, say("imports.choose")), input, paste, refused);
  el.addEventListener("dragover", (event) => {
    event.preventDefault();
    put(el, "data-over", true);
  });
  el.addEventListener("dragleave", () => put(el, "data-over", false));
  el.addEventListener("drop", (event) => {
    event.preventDefault();
    put(el, "data-over", false);
    if (event.dataTransfer.files.length) read(event.dataTransfer.files[0].name, event.dataTransfer.files[0]);
  });
  return {
    el,
    open: open.el,
    update(now) {
      keepList(shop, now.shops ?? [], (s) => s.name, (s) => h("option", { value: s.name }, s.name));
      shopField.hidden = (now.shops ?? []).length < 2;
      if (!shop.value && now.shops?.length) shop.value = now.shop || now.shops[0].name;
      open.update(now);
    },
  };
}

const row = (words, control, ...more) => h("div", { class: "part-field" }, h("label", { for: control.id }, words), control, ...more);
const select = (id, options) => h("select", { id }, options.map(([value, words]) => h("option", { value }, words)));

/** What is said of the file that is open, in the order it is asked for. */
function importForm(app) {
  const { say, wish, store } = app;
  const form = () => store.get().imported?.form;
  const change = (key, control, of = "value") => {
    control.onchange = () => wish("say-of-import", { [key]: typeof control[of] === "string" ? control[of].trim() : control[of] });
    return control;
  };
  const typed = (key, more = {}) => change(key, h("input", { id: `import-${key}`, type: "text", autocomplete: "off", spellcheck: "false", ...more }));
  const title = h("h2", { tabindex: "-1" });
  const state = h("p", { role: "status" });
  const faults = h("div", { class: "import-faults" });
  const findings = h("div", {});
  const fields = { number: typed("number", { maxlength: 80 }), size: typed("size"), where: typed("where"), first: typed("first"), last: typed("last"), skin: typed("skin"), join: typed("join"), thickness: typed("thickness"), tooling: typed("tooling"), fit: typed("fit") };
  const wrong = h("p", { class: "finding", "data-severity": "stop", hidden: true }, say("start.name_wrong"));
  const what = change("what", h("select", { id: "import-what" }));
  const curve = change("curve", select("import-curve", ["", "typed", "faired", "arcs"].map((v) => [v, say(`imports.curve_${v || "default"}`)])));
  const line = change("line", select("import-line", [["", say("imports.line_later")], ["outside-mold-line", say("part.w_outside_mold_line")], ["inside-mold-line", say("part.w_inside_mold_line")]]));
  const face = change("face", select("import-face", ["", "heel", "inner", "mid"].map((v) => [v, say(`imports.face_${v || "none"}`)])));
  const flags = Object.fromEntries(["curves", "as_drawn"].map((key) => [key, change(key, h("input", { id: `import-${key}`, type: "checkbox" }), "checked")]));
  const check = (key) => h("label", { class: "part-check" }, flags[key], say(`imports.${key}`));
  const where = row(say("imports.where"), fields.where);
  const known = h("fieldset", { class: "part-set" }, h("legend", {}, say("imports.known")), h("p", { class: "quiet" }, say("imports.known_about")), row(say("imports.size"), fields.size), row(say("imports.what"), what), where);
  const suspects = suspectsTable(app, (n, words) => wish("say-of-import", { takes: { ...form().takes, [n]: words } }));
  const layers = layersTable(app, (layer, words) => wish("say-of-import", { roles: { ...form().roles, [layer]: words } }));
  const more = {
    table: h("details", { class: "part-own" }, h("summary", {}, say("imports.more")), row(say("imports.first"), fields.first), row(say("imports.last"), fields.last), row(say("imports.skin"), fields.skin), row(say("imports.curve"), curve)),
    solid: h("div", {}, row(say("imports.thickness"), fields.thickness), row(say("imports.face"), face), row(say("imports.tooling"), fields.tooling), row(say("imports.fit"), fields.fit)),
    drawing: h("details", { class: "part-own" }, h("summary", {}, say("imports.more")), row(say("imports.line"), line), row(say("imports.join"), fields.join), check("curves"), check("as_drawn")),
  };
  const lines = h("ul", { class: "import-lines" });
  // never disabled: while the file is read again it keeps the focus, and what is read last is waited for
  const make = h("button", { type: "button", class: "start-big", onclick: () => wish("take-import") }, say("imports.make"));
  const el = h("section", { class: "sheet import-open", "aria-label": say("imports.open") }, title, state, faults, row(say("imports.number"), fields.number, wrong), known, suspects.el, layers.el, more.table, more.drawing, more.solid,
    h("details", {}, h("summary", {}, say("imports.lines")), lines), findings,
    h("div", { class: "part-buttons" }, make, h("button", { type: "button", onclick: () => wish("leave-import") }, say("imports.leave"))));
  let file = null;
  return {
    el,
    update(now) {
      const { imported } = now;
      el.hidden = !imported;
      if (!imported) {
        file = null;
        return;
      }
      const kind = sourceKind(imported.name);
      const { job } = imported;
      const result = job?.state === "done" ? job.result : null;
      const at = standing(imported);
      text(title, say("imports.file", { name: imported.name }));
      text(state, say(!job || !["done", "failed", "cancelled"].includes(job.state) ? "imports.reading" : at.ready ? "imports.whole" : "imports.wanting"));
      for (const [key, one] of Object.entries(fields)) if (document.activeElement !== one || one.value === "") put(one, "value", imported.form[key]);
      for (const [key, one] of Object.entries(flags)) one.checked = imported.form[key];
      keepList(what, [{ what: "" }, ...KNOWN[kind]], (k) => `${kind} ${k.what}`, (k) => h("option", { value: k.what }, say(k.what ? `imports.what_${k.what}` : "imports.what_none")));
      what.value = imported.form.what;
      curve.value = imported.form.curve;
      line.value = imported.form.line;
      face.value = imported.form.face;
      where.hidden = !wantsWhere(kind, imported.form.what);
      put(fields.where, "placeholder", where.hidden ? null : say(`imports.where_${imported.form.what}`));
      put(fields.size, "placeholder", say("imports.size_like"));
      for (const [name, one] of Object.entries(more)) one.hidden = kind !== name;
      wrong.hidden = goodName(imported.form.number);
      keepList(faults, at.faults, (f) => f.say, (f) => h("p", { class: "finding", "data-severity": "stop" }, f.say));
      // a suspect stands in its table
      keepList(findings, at.findings.filter((f) => f.code !== "ordinate-suspect"), (f) => `${f.code} ${f.say}`, (f) => h("p", { class: "finding", "data-severity": f.severity }, h("b", {}, say(`part.severity_${f.severity}`)), ` ${f.say}`));
      keepList(lines, (result?.lines ?? []).filter(Boolean).map((words, i) => ({ words, i })), ({ i, words }) => `${i} ${words}`, ({ words }) => h("li", {}, words.trim()));
      // while it is read again, what was told before stays to be answered
      if (result || imported.blob !== file) {
        suspects.update(result?.import?.suspects ?? [], imported.form, result?.unit || now.units);
        layers.update(result?.layers ?? [], imported.form);
      }
      if (file !== imported.blob) title.focus();
      file = imported.blob;
      put(make, "aria-disabled", String(!at.ready || !wrong.hidden));
    },
  };
}
