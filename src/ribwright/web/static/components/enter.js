/** Asks for the token of a page that is open to the network. */
import { fill, h } from "../dom.js";

export function mount(el, app) {
  const token = h("input", { type: "password", autocomplete: "off", required: true });
  const form = h("form", { class: "enter", onsubmit: (e) => { e.preventDefault(); app.wish("enter", { token: token.value.trim() }); } },
    h("label", {}, app.say("frame.token"), token), h("button", { type: "submit" }, app.say("frame.enter")));
  fill(el, form);
  return { update() {} };
}
