/** A table of an answer whose every number opens. */
import { fill, h } from "../dom.js";
import { length } from "../logic/units.js";
import { numberButton } from "./number.js";

/**
 * @param app @param {string} title @param {{columns: string[], rows: {key: string, cells: any[], bad?: boolean}[]}} table
 * @param {object} options  of the job that the numbers come from
 */
export function numberTable(app, title, { columns, rows }, options) {
  if (!rows.length) return null;
  const cell = (c) => {
    if (Array.isArray(c)) return h("div", { class: "cell-lines" }, c.map((x) => h("div", {}, cell(x))));
    if (c && typeof c === "object" && "path" in c) return [c.before && `${c.before} `, numberButton(app, { ...c, options })];
    if (c && typeof c === "object") return length(c.plain, app.store.get().units);
    return c;
  };
  const head = columns.length ? h("thead", {}, h("tr", {}, columns.map((c) => h("th", { scope: "col" }, c)))) : null;
  const body = rows.map((row) => h("tr", row.bad ? { class: "bad-row" } : {}, row.cells.map((c, i) => {
    const inside = Array.isArray(c) && c.every((x) => typeof x === "string") ? h("ol", {}, c.map((x) => h("li", {}, x))) : cell(c);
    return i ? h("td", {}, inside) : h("th", { scope: "row" }, row.bad ? h("span", { class: "bad-word" }, `${app.say("blank.bad")} `) : null, inside);
  })));
  const table = h("table", { class: columns.length ? "numbers" : "numbers list" }, h("caption", {}, title), head, h("tbody", {}, body));
  return h("div", { class: "table-room", tabindex: "0", role: "region", "aria-label": title }, table);
}

/** Tables one under the other: [[title, table]...]; those without a row are left out. */
export const tables = (app, el, list, options) => fill(el, list.map(([title, table]) => table && numberTable(app, title, table, options)));
