/** Everything of the part in a list: the same pick as in the drawing, by keyboard. Left and right, or up and down, go from one to the next. */
import { fill, h, keepList, put, text } from "../dom.js";
import { listed } from "../logic/listing.js";

export function mount(el, ctx) {
  const { say, wish } = ctx.app;
  const groups = h("div", { class: "part-list", role: "group", "aria-label": say("part.everything") });
  const none = h("button", { type: "button", class: "part-list-new", onclick: () => wish("pick", { path: "" }) }, say("part.add_something"));
  fill(el, h("section", {}, h("div", { class: "part-list-head" }, h("h2", {}, say("part.everything")), none), groups));
  const buttons = () => [...groups.querySelectorAll("button")];
  groups.onkeydown = (event) => {
    const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (!by && event.key !== "Home" && event.key !== "End") return;
    const all = buttons();
    const i = all.indexOf(document.activeElement);
    const next = event.key === "Home" ? all[0] : event.key === "End" ? all.at(-1) : all[(i + by + all.length) % all.length];
    event.preventDefault();
    next.focus();
    wish("pick", { path: next.dataset.path });
  };
  const item = (one) => {
    const [name, about, marks] = [h("span", { class: "part-item-name" }), h("span", { class: "part-unseen" }), h("span", { class: "part-item-marks" })];
    const button = h("button", { type: "button", class: "part-item", "data-path": one.path, onclick: () => wish("pick", { path: one.path }) }, name, about, marks);
    return Object.assign(button, { name_: name, about_: about, marks_: marks });
  };
  const group = () => {
    const [title, items] = [h("h3"), h("div", { class: "part-items" })];
    return Object.assign(h("div", { class: "part-group" }, title, items), { title_: title, items });
  };
  const update = (now) => {
    const owner = ctx.owner(now);
    const all = listed(now.draft.sketch ?? {}, say).filter((g) => g.items.length);
    const first = all[0]?.items[0]?.path;
    const known = all.some((g) => g.items.some((i) => i.path === owner));
    keepList(groups, all, (g) => g.key, group, (node, g) => {
      text(node.title_, g.title);
      keepList(node.items, g.items, (i) => i.path, item, (button, i) => {
        const marks = ctx.marks.filter((m) => m.owner === i.path && m.severity !== "note");
        text(button.name_, i.name);
        text(button.about_, ` ${i.about}`);
        text(button.marks_, marks.map((m) => say(`part.sign_${m.severity}`, { n: m.n })).join(" "));
        button.marks_.hidden = marks.length === 0;
        put(button, "aria-pressed", String(i.path === owner));
        put(button, "tabindex", i.path === (known ? owner : first) ? "0" : "-1");
        put(button, "title", i.about || null);
      });
    });
    put(none, "aria-pressed", String(!now.picked));
  };
  return { update };
}
