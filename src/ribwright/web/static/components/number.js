/** A number that opens: shown as the shop writes it, pressed it tells formula, inputs, source, margin and the key that changes it. */
import { h, put, text } from "../dom.js";
import { shown } from "../logic/units.js";

/**
 * @param app
 * @param {{path: string, value: number|null, unit: string, options?: object, label?: string}} of
 *   `path` in the JSON answers, `options` of the job it came from (press, model, ...), `label` says what it is to who does not see it
 */
export function numberButton(app, of) {
  const button = h("button", { class: "number", type: "button" });
  showNumber(app, button, of);
  return button;
}

/** Brings such a button in step. */
export function showNumber(app, button, { path, value, unit, options = {}, label = "" }) {
  const words = shown(value, unit, app.store.get().units);
  text(button, words);
  put(button, "aria-label", label ? `${label}: ${words}` : null);
  put(button, "data-path", path);
  button.onclick = () => app.wish("open-number", { path, options });
}
