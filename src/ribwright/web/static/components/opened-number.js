/** A number opened: value with band, formula, what goes in, source, where it holds, what it was compared with, which keys change it. */
import { fill, h, stylesheet, text } from "../dom.js";
import { fieldPath, grouped } from "../logic/keys.js";
import { ownerOf } from "../logic/paths.js";
import { shown } from "../logic/units.js";
import { numberButton } from "./number.js";

export function mount(el, app) {
  const { say, wish, store } = app;
  stylesheet("opened-number");
  const body = h("div", { class: "opened-body" });
  const close = h("button", { type: "button", class: "opened-close", onclick: () => dialog.close() }, say("frame.close"));
  const back = h("button", { type: "button", onclick: () => goBack() }, say("number.back"));
  const title = h("h2", { id: "opened-title", tabindex: "-1" }, say("number.title"));
  const dialog = h("dialog", { class: "opened", "aria-labelledby": "opened-title", onclose: () => closed() },
    h("div", { class: "opened-head" }, title, h("div", { class: "opened-tools" }, back, close)), body);
  fill(el, dialog);
  let trail = []; // {path, options} opened one after the other
  let from = null; // what had the focus
  let key = "";

  function closed() {
    trail = [];
    if (store.get().opened) wish("close-number");
    if (from?.isConnected) from.focus();
    else document.querySelector(`button.number[data-path="${CSS.escape(from?.dataset?.path ?? "")}"]`)?.focus();
    from = null;
  }
  function goBack() {
    trail.pop();
    const last = trail.pop();
    if (last) wish("open-number", last);
  }
  return {
    update(now) {
      const { opened } = now;
      const job = now.jobs.explain;
      if (!opened) {
        if (dialog.open) dialog.close();
        return;
      }
      if (!dialog.open) {
        from = document.activeElement;
        dialog.showModal();
        title.focus();
      }
      const options = Object.fromEntries(Object.entries(job?.options ?? {}).filter(([k]) => k !== "number"));
      if (trail.at(-1)?.path !== opened) {
        trail.push({ path: opened, options });
        text(title, named(document.querySelector(`button.number[data-path="${CSS.escape(opened)}"]`)) || say("number.title"));
      }
      back.hidden = trail.length < 2;
      const next = JSON.stringify([opened, job?.state, job?.words, now.units]);
      if (next === key) return;
      key = next;
      if (!job || job.state === "queued" || job.state === "running") fill(body, h("p", { role: "status" }, `${say("number.opening")} … ${job?.words ?? ""}`));
      else if (job.state !== "done") fill(body, h("p", { role: "alert" }, say("number.failed", { words: job.faults.map((f) => f.say).join(" ") || job.words })));
      else fill(body, told(app, job.result.explanation, options, () => dialog.close()));
    },
  };
}

/** What a number's button calls it: "lower, Flat width: 0.667 in" -> "lower, Flat width". */
const named = (button) => button?.getAttribute("aria-label")?.split(": ").slice(0, -1).join(": ");

const part = (title, ...inside) => h("section", {}, h("h3", {}, title), inside);

function told(app, e, options, close) {
  const { say } = app;
  const units = app.store.get().units;
  const value = (v, unit) => shown(v, unit, units);
  const inputs = e.inputs.map((i) => h("tr", {}, h("th", { scope: "row" }, i.symbol), h("td", {}, i.name),
    h("td", {}, i.path && typeof i.value === "number" ? numberButton(app, { path: i.path, value: i.value, unit: i.unit, options, label: i.name }) : value(i.value, i.unit)),
    h("td", {}, i.from)));
  return [
    h("p", { class: "opened-value" }, h("b", {}, value(e.value, e.unit)), " ", h("span", { class: "quiet" }, say(`number.origin_${e.origin}`))),
    h("p", { class: "opened-what" }, e.what),
    e.band && part(say("number.band"), h("p", {}, e.band)),
    e.formula && part(say("number.formula"), e.formula.split("; ").map((line) => h("p", { class: "formula" }, line))),
    inputs.length > 0 && part(say("number.inputs"), h("div", { class: "table-room", tabindex: "0" }, h("table", {}, h("thead", {}, h("tr", {},
      ["symbol", "name", "value", "from"].map((k) => h("th", { scope: "col" }, say(`number.${k}`))))), h("tbody", {}, inputs)))),
    e.again !== null && h("p", {}, `${say("number.again")}: ${value(e.again, e.unit)}`),
    e.source && part(say("number.source"), h("p", {}, e.source)),
    e.validity && part(say("number.validity"), h("p", e.inside === false ? { class: "opened-outside" } : {}, e.inside === false ? say("number.outside") : null, e.validity)),
    e.compared && part(say("number.compared"), h("p", {}, e.compared)),
    e.changes.length > 0 && part(say("number.changes"), h("p", { class: "quiet" }, say("number.changes_hint")), changes(app, e.changes, close)),
    h("p", { class: "quiet" }, `${say("number.path")}: `, h("code", {}, e.named)),
  ].filter(Boolean);
}

/** Keys by file; those of the part lead to their field. */
function changes(app, list, close) {
  const { sketch } = app.store.get().draft ?? {};
  const go = async (key) => {
    close();
    await app.wish("pick", { path: ownerOf(fieldPath(key, sketch), (sketch?.flanges ?? []).map((f) => f.name)) });
    await app.wish("open-screen", { screen: "part" });
  };
  return grouped(list).map(({ file, rows }) => h("div", { class: "opened-file" }, h("h4", {}, file), h("ul", {}, rows.map(({ holder, keys }) => {
    const name = ({ last, key }) => (file === "part file"
      ? h("a", { href: "#", onclick: (event) => { event.preventDefault(); go(key); } }, last)
      : h("code", {}, last));
    return h("li", {}, holder && h("b", {}, `${holder}: `), keys.flatMap((k, i) => (i ? [", ", name(k)] : [name(k)])));
  }))));
}
