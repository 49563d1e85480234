/** The name of a thing: changed where it stands and wherever it is referred to. */
import { h, put } from "../dom.js";
import { showFaults } from "./part-field.js";

let made = 0;

export function nameField(ctx, path, label) {
  const id = `part-name-${(made += 1)}`;
  const input = h("input", { id, type: "text", autocomplete: "off", "data-key": `${path}.name` });
  const faults = h("div", { class: "part-field-faults", id: `${id}-faults` });
  const nameNow = (now) => (path.startsWith("flange.") ? path.slice(7) : (now.draft?.sketch?.values?.[`${path}.name`]?.text ?? now.draft?.sketch?.values?.[`${path}.name`]?.typed ?? ""));
  input.onchange = async () => {
    const to = input.value.trim();
    const was = nameNow(ctx.now());
    if (!to || to === was) {
      put(input, "value", was);
      return;
    }
    const done = await ctx.app.wish("edit-draft", { ops: [{ op: "rename", path, to }] });
    if (!done) put(input, "value", was);
    else if (path.startsWith("flange.")) ctx.app.wish("pick", { path: `flange.${to}` });
  };
  return {
    el: h("div", { class: "part-field" }, h("label", { for: id }, label), h("div", { class: "part-field-line" }, input), faults),
    update(now) {
      const name = nameNow(now);
      if (document.activeElement !== input || input.dataset.was === input.value) put(input, "value", name);
      input.dataset.was = name;
      showFaults(ctx, input, faults, now, `${path}.name`);
    },
  };
}
