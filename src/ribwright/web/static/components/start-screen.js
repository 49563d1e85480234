/** The shops and their parts; a first shop, a new part, files brought in. */
import { fill, h, keepList, put, stylesheet, text } from "../dom.js";
import { fileKind, goodName } from "../logic/start.js";
import { importSheet } from "./start-import.js";
import { newPartForm } from "./start-new-part.js";

export function mount(el, app) {
  const { say, wish } = app;
  stylesheet("part-field");
  stylesheet("part-panel");
  const waiting = h("p", { class: "quiet" }, say("start.reading"));
  const first = firstShop(app);
  const shops = h("div", { class: "start-shops" });
  const aside = h("div", { class: "start-aside" });
  const form = newPartForm(app);
  const imports = importSheet(app);
  const bring = bringIn(app);
  const another = anotherShop(app);
  const data = h("p", { class: "quiet" });
  fill(aside, form.el, imports.el, bring.el, another.el);
  const both = h("div", { class: "start-both" }, h("div", {}, imports.open, shops), aside);
  fill(el, h("div", { class: "start" }, waiting, first, both, data));

  const shopOf = () => {
    const [title, about, faults, rows] = [h("h2"), h("p", { class: "quiet" }), h("div"), h("tbody")];
    const none = h("p", { class: "quiet" }, say("start.no_parts"));
    const table = h("table", { class: "start-table" }, h("thead", {}, h("tr", {}, ["number", "revision", "what", "state"].map((key) => h("th", { scope: "col" }, say(`start.${key}`))))), rows);
    return Object.assign(h("section", { class: "sheet start-shop" }, title, about, faults, table, none), { title_: title, about, faults, rows, none, table });
  };
  const rowOf = (shop) => (part) => {
    const open = h("button", { type: "button", class: "start-open", onclick: () => wish("open-part", { shop: shop.name, part: part.name }) });
    const cells = [h("td", {}, open), h("td"), h("td"), h("td")];
    return Object.assign(h("tr", {}, ...cells), { open, cells_: cells });
  };
  return {
    update(now) {
      const shown = now.shops ?? [];
      waiting.hidden = now.shops !== null;
      first.hidden = now.shops === null || shown.length > 0;
      both.hidden = shown.length === 0;
      text(data, now.about ? say("start.data", { data: now.about.data }) : "");
      keepList(shops, shown, (s) => s.name, shopOf, (node, shop) => {
        text(node.title_, shop.title || shop.name);
        const presses = (shop.presses ?? []).map((p) => `${p.id} ${p.kind}`).join(", ");
        text(node.about, [shop.title && shop.title !== shop.name ? shop.name : "", presses ? say("start.presses", { names: presses }) : say("start.no_presses")].filter(Boolean).join(". "));
        keepList(node.faults, shop.faults ?? [], (f) => f.say, (f) => h("p", { class: "finding", "data-severity": "stop" }, f.say));
        const parts = shop.parts ?? [];
        node.table.hidden = parts.length === 0;
        node.none.hidden = parts.length > 0;
        keepList(node.rows, parts, (p) => p.name, rowOf(shop), (row, part) => {
          text(row.open, part.number || part.name);
          put(row.open, "aria-label", say("start.open", { name: [part.number || part.name, part.title].filter(Boolean).join(", ") }));
          text(row.cells_[1], part.revision || "");
          text(row.cells_[2], part.title || "");
          text(row.cells_[3], say(part.draft ? "start.draft" : "start.saved"));
          put(row.cells_[3], "data-draft", Boolean(part.draft));
        });
      });
      form.update(now);
      imports.update(now);
      bring.update(now);
    },
  };
}

/** Before there is any shop: the example in one press, or an empty one. */
function firstShop(app) {
  const { say, wish } = app;
  const example = h("button", { type: "button", class: "start-big", onclick: async () => {
    example.disabled = true;
    await wish("make-shop", { name: say("start.example_name"), example: true });
    example.disabled = false;
  } }, say("start.example"));
  return h("section", { class: "sheet start-first" }, h("h2", {}, say("start.first_title")), h("p", {}, say("start.first")), example, emptyShop(app, "first"));
}

function anotherShop(app) {
  const { say, wish } = app;
  const example = h("button", { type: "button", onclick: () => wish("make-shop", { name: say("start.example_name"), example: true }) }, say("start.example"));
  const el = h("details", { class: "sheet" }, h("summary", {}, say("start.another_shop")), emptyShop(app, "more"), h("p", {}, example));
  return { el };
}

function emptyShop(app, key) {
  const { say, wish } = app;
  const name = h("input", { id: `start-shop-${key}`, type: "text", required: true, maxlength: 80, autocomplete: "off" });
  const units = h("select", { id: `start-units-${key}` }, h("option", { value: "in" }, say("frame.inch")), h("option", { value: "mm" }, say("frame.mm")));
  const wrong = h("p", { class: "finding", "data-severity": "stop", hidden: true }, say("start.name_wrong"));
  return h("form", { class: "start-form", onsubmit: async (event) => {
    event.preventDefault();
    wrong.hidden = goodName(name.value.trim());
    if (wrong.hidden && (await wish("make-shop", { name: name.value.trim(), units: units.value, example: false }))) name.value = "";
  } }, h("h3", {}, say("start.empty_shop")), h("div", { class: "part-field" }, h("label", { for: name.id }, say("start.shop_name")), name),
  h("div", { class: "part-field" }, h("label", { for: units.id }, say("start.units")), units), wrong, h("button", { type: "submit" }, say("start.make_shop")));
}

/** Files brought in, chosen or dropped. */
function bringIn(app) {
  const { say, wish, store } = app;
  const shop = h("select", { id: "start-bring-shop" });
  const shopField = h("div", { class: "part-field" }, h("label", { for: shop.id }, say("start.into")), shop);
  const input = h("input", { id: "start-files", type: "file", multiple: true, accept: ".toml,.csv", class: "start-files" });
  const refused = h("p", { class: "finding", "data-severity": "stop", role: "alert", hidden: true });
  const take = async (files) => {
    refused.hidden = true;
    // ordinates and the shop first: a part file is read with them
    for (const file of [...files].sort((a, b) => Number(fileKind(a.name) === "part") - Number(fileKind(b.name) === "part"))) {
      if (!fileKind(file.name)) {
        text(refused, say("start.not_taken", { name: file.name }));
        refused.hidden = false;
        continue;
      }
      if (!(await wish("take-file", { shop: shop.value, name: file.name, blob: file }))) break;
    }
  };
  input.onchange = async () => {
    await take(input.files);
    input.value = "";
  };
  const clashes = h("div", { role: "status" });
  const clash = (c) => h("div", { class: "finding", "data-severity": "warn" }, h("p", {}, say("start.clash", { name: c.name, shop: c.shop })), h("div", { class: "part-buttons" },
    h("button", { type: "button", onclick: () => wish("take-file", { ...c, over: true }) }, say("start.write_over")),
    h("button", { type: "button", onclick: () => wish("leave-file", c) }, say("start.keep_old"))));
  const el = h("section", { class: "sheet start-drop" }, h("h2", {}, say("start.bring")), h("p", {}, say("start.bring_about")), shopField,
    h("label", { class: "start-choose", for: input.id }, say("start.choose")), input, clashes, refused);
  el.addEventListener("dragover", (event) => {
    event.preventDefault();
    put(el, "data-over", true);
  });
  el.addEventListener("dragleave", () => put(el, "data-over", false));
  el.addEventListener("drop", (event) => {
    event.preventDefault();
    put(el, "data-over", false);
    take(event.dataTransfer.files);
  });
  return {
    el,
    update(now) {
      keepList(shop, now.shops ?? [], (s) => s.name, (s) => h("option", { value: s.name }, s.name));
      keepList(clashes, now.clashes, (c) => `${c.shop}/${c.name}`, clash);
      shopField.hidden = (now.shops ?? []).length < 2;
      if (!shop.value && now.shops?.length) shop.value = (now.shop && store.get().shop) || now.shops[0].name;
    },
  };
}

