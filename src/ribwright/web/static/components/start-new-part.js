/** The form of a new part: what the drawing's title block says. */
import { h, keepList, put, text } from "../dom.js";
import { goodName, partBody } from "../logic/start.js";

export function newPartForm(app) {
  const { say, wish } = app;
  const input = (key, more = {}) => h("input", { id: `start-part-${key}`, type: "text", autocomplete: "off", spellcheck: "false", ...more });
  const row = (key, control, ...more) => h("div", { class: "part-field" }, h("label", { for: control.id }, say(`start.${key}`)), control, ...more);
  const shop = h("select", { id: "start-part-shop" });
  const shopRow = row("into", shop);
  const units = h("select", { id: "start-part-units" }, h("option", { value: "in" }, say("frame.inch")), h("option", { value: "mm" }, say("frame.mm")));
  const hand = h("select", { id: "start-part-hand" }, ["none", "left", "right"].map((v) => h("option", { value: v }, say(`start.hand_${v}`))));
  const [materials, tempers] = ["materials", "tempers"].map((key) => h("datalist", { id: `start-${key}` }));
  const fields = {
    number: input("number", { required: true, maxlength: 80 }), revision: input("revision", { required: true, maxlength: 20 }), title: input("title", { maxlength: 200 }),
    material: input("material", { required: true, list: materials.id }), formed_in: input("formed_in", { list: tempers.id }), final: input("final", { list: tempers.id }), thickness: input("thickness", { required: true }),
  };
  const inUnit = h("span", { class: "part-both", id: "start-part-unit-note" });
  put(fields.thickness, "aria-describedby", inUnit.id);
  const wrong = h("p", { class: "finding", "data-severity": "stop", role: "alert", hidden: true }, say("start.name_wrong"));
  const send = h("button", { type: "submit" }, say("start.make_part"));
  const form = h("form", { class: "start-form" }, shopRow,
    row("part_number", fields.number), row("revision", fields.revision), row("part_title", fields.title), row("hand", hand), row("unit", units),
    row("material", fields.material, materials), row("formed_in", fields.formed_in, tempers), row("final", fields.final), row("thickness", fields.thickness, inUnit), wrong, send);
  form.onsubmit = async (event) => {
    event.preventDefault();
    const typed = Object.fromEntries(Object.entries(fields).map(([key, one]) => [key, one.value.trim()]));
    wrong.hidden = goodName(typed.number);
    if (!wrong.hidden) {
      fields.number.focus();
      return;
    }
    send.disabled = true;
    await wish("make-part", { shop: shop.value, ...partBody({ ...typed, hand: hand.value, units: units.value }) });
    send.disabled = false;
  };
  let asked = "";
  const ask = (name) => {
    if (!name || name === asked) return;
    asked = name;
    wish("read-choices", { shop: name });
  };
  shop.onchange = () => ask(shop.value);
  units.onchange = () => showUnit();
  const showUnit = () => text(inUnit, say("start.in_unit", { unit: units.value === "mm" ? say("frame.mm") : say("frame.inch") }));
  let unitsOf = "";
  return {
    el: h("section", { class: "sheet" }, h("h2", {}, say("start.new_part")), h("p", { class: "quiet" }, say("start.new_about")), form),
    update(now) {
      const shops = now.shops ?? [];
      keepList(shop, shops, (s) => s.name, (s) => h("option", { value: s.name }, s.name));
      shopRow.hidden = shops.length < 2;
      if (!shop.value && shops.length) shop.value = shops[0].name;
      if (shop.value !== unitsOf) {
        unitsOf = shop.value;
        units.value = shops.find((s) => s.name === unitsOf)?.units ?? "in";
      }
      ask(shop.value);
      showUnit();
      const choices = now.choicesOf?.shop === shop.value ? now.choicesOf.choices : null;
      keepList(materials, choices?.materials ?? [], (v) => v, (v) => h("option", { value: v }));
      keepList(tempers, ["as bought", ...(choices?.tempers ?? [])], (v) => v, (v) => h("option", { value: v }));
    },
  };
}

