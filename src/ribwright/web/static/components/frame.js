/** The frame of every sheet: what is open, the four sheets, units, undo, save, and at the foot what is at work. */
import { fill, h, put, stylesheet, text } from "../dom.js";
import { SCREENS, write } from "../logic/address.js";
import { mount as mountEnter } from "./enter.js";
import { mount as mountOpened } from "./opened-number.js";

const LOADERS = {
  start: () => import("./start-screen.js"),
  part: () => import("./part-screen.js"),
  blank: () => import("./blank-screen.js"),
  forecast: () => import("./forecast-screen.js"),
  packet: () => import("./packet-screen.js"),
};

export function mount(el, app) {
  const { say, wish } = app;
  const title = h("h1", { class: "frame-title", tabindex: "-1" });
  const sheets = h("nav", { class: "frame-sheets", "aria-label": say("frame.sheets") });
  const links = Object.fromEntries(
    ["start", ...SCREENS].map((screen, i) => [screen, h("a", { href: "#/" }, i ? h("b", {}, `${i} `) : null, say(`frame.${screen}`))]),
  );
  sheets.append(...Object.values(links));
  const state = h("p", { class: "frame-state" });
  const undo = h("button", { type: "button", onclick: () => app.store.get().draft?.can_undo && wish("undo-draft") }, say("frame.undo"));
  const redo = h("button", { type: "button", onclick: () => app.store.get().draft?.can_redo && wish("redo-draft") }, say("frame.redo"));
  const save = h("button", { type: "button", onclick: () => wish("save-draft") }, say("frame.save"));
  const press = h("select", { "aria-label": say("frame.press"), onchange: (e) => wish("set-press", { press: e.target.value }) });
  const pressField = h("label", { class: "frame-field" }, h("span", {}, say("frame.press")), press);
  const units = ["in", "mm"].map((unit) =>
    h("button", { type: "button", "data-unit": unit, onclick: () => wish("set-units", { units: unit }) }, say(unit === "in" ? "frame.inch" : "frame.mm")),
  );
  const unitsField = h("div", { class: "frame-field", role: "group", "aria-label": say("frame.units") }, h("span", {}, say("frame.units")), ...units);
  const draftTools = h("div", { class: "frame-tools" }, state, undo, redo, save);
  const main = h("main", { id: "content", tabindex: "-1" });
  const work = h("div", { class: "frame-work", role: "status" });
  const message = h("div", { class: "frame-message" });
  fill(
    el,
    h("a", { class: "skip", href: "#content", onclick: (e) => { e.preventDefault(); main.focus(); } }, say("frame.skip")),
    h("header", { class: "frame-head" }, h("div", { class: "frame-line" }, title, draftTools), h("div", { class: "frame-line" }, sheets, h("div", { class: "frame-tools" }, pressField, unitsField))),
    main,
    h("footer", { class: "frame-foot" }, message, work, h("p", { class: "frame-note" }, say("frame.not_compared"))),
  );
  const opened = mountOpened(el.appendChild(h("div")), app);
  addEventListener("keydown", (event) => {
    const typing = event.target.closest?.("input, textarea, select");
    if (typing || !(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z") return;
    event.preventDefault();
    wish(event.shiftKey ? "redo-draft" : "undo-draft");
  });

  const mounted = {};
  let asked = "";
  const screenOf = (now) => (now.about?.entered === false ? "enter" : now.screen);
  const showScreen = async (name) => {
    if (asked === name) return;
    asked = name;
    if (!mounted[name]) {
      const host = h("section", { class: `screen screen-${name}` });
      let make;
      try {
        [{ mount: make }] = name === "enter" ? [{ mount: mountEnter }] : await Promise.all([LOADERS[name](), stylesheet(`${name}-screen`)]);
      } catch {
        // a browser keeps a module that did not load as failed until the page is loaded anew
        fill(main, h("div", { class: "message", role: "alert", "data-kind": "bad" }, h("p", {}, say("frame.no_sheet")),
          h("button", { type: "button", onclick: () => location.reload() }, say("frame.reload"))));
        return;
      }
      mounted[name] ??= { host, component: make(host, app) };
    }
    if (asked !== name) return;
    fill(main, mounted[name].host);
    const now = app.store.get();
    mounted[name].component.update(now, now);
  };
  return {
    update(now, before) {
      const open = Boolean(now.part && now.draft && now.screen !== "start");
      text(title, open ? titleOf(now, say) : say("frame.name"));
      put(title, "title", title.textContent);
      document.title = open ? `${now.part} · ribwright` : "ribwright";
      for (const [screen, link] of Object.entries(links)) {
        put(link, "href", screen === "start" ? "#/" : write({ shop: now.shop, part: now.part, screen }));
        put(link, "aria-current", now.screen === screen ? "page" : null);
        link.hidden = screen !== "start" && !now.part;
      }
      draftTools.hidden = pressField.hidden = !open;
      if (open) {
        text(state, `${faultWords(now.draft, say)} · ${say(now.draft.saved ? "frame.saved" : "frame.draft")}`);
        put(state, "data-bad", now.draft.faults.length > 0);
        put(state, "data-busy", now.changing > 0);
        // not disabled: a button that goes off takes the focus with it
        put(undo, "aria-disabled", now.draft.can_undo ? null : "true");
        put(redo, "aria-disabled", now.draft.can_redo ? null : "true");
        save.disabled = now.draft.saved;
        showPresses(press, now, say);
      }
      for (const button of units) put(button, "aria-pressed", String(button.dataset.unit === now.units));
      showWork(work, now, app);
      showMessage(message, now, app);
      opened.update(now);
      const screen = screenOf(now);
      if (asked !== screen) showScreen(screen);
      else mounted[screen]?.component.update(now, before);
    },
  };
}

function titleOf(now, say) {
  const value = (path) => now.draft.sketch?.values?.[path]?.text ?? now.draft.sketch?.values?.[path]?.typed ?? "";
  const number = value("part.number") || now.part;
  return [number, value("part.revision") && say("frame.revision", { revision: value("part.revision") }), value("part.title")].filter(Boolean).join(" · ");
}

const faultWords = (draft, say) =>
  draft.faults.length === 0 ? say("frame.no_faults") : draft.faults.length === 1 ? say("frame.fault") : say("frame.faults", { n: draft.faults.length });

function showPresses(select, now, say) {
  const wanted = [["", say("frame.no_press")], ...(now.choices?.presses ?? []).map((p) => [p.id, `${p.id} ${p.kind}`])];
  const key = JSON.stringify(wanted);
  if (select.dataset.key !== key) {
    select.dataset.key = key;
    fill(select, wanted.map(([id, words]) => h("option", { value: id }, words)));
  }
  select.value = now.press;
}

const QUICK_MS = 600; // work that is done sooner is not worth moving the foot for

function showWork(el, now, app) {
  const since = (el.since ??= new Map());
  const open = Object.entries(now.jobs).filter(([, job]) => job.state === "queued" || job.state === "running");
  for (const name of since.keys()) if (!open.some(([n]) => n === name)) since.delete(name);
  for (const [name] of open) {
    if (since.has(name)) continue;
    since.set(name, performance.now());
    setTimeout(() => showWork(el, app.store.get(), app), QUICK_MS + 20);
  }
  const running = open.filter(([name]) => performance.now() - since.get(name) >= QUICK_MS);
  // one line for all of them: the one that tells most, and how many wait beside it
  const [, job] = running.find(([, j]) => j.of) ?? running.find(([, j]) => j.words) ?? running[0] ?? [];
  const key = running.map(([name]) => name).join() + (job ? [job.kind, job.words, job.done, job.of].join() : "");
  if (el.dataset.key === key) return;
  el.dataset.key = key;
  if (!job) {
    fill(el);
    return;
  }
  const { say } = app;
  const what = say(`jobs.${job.kind.replaceAll("-", "_")}`);
  const more = running.length > 1 ? ` ${say("frame.more_work", { n: running.length - 1 })}` : "";
  fill(el, h("div", { class: "frame-job" },
    h("progress", job.of ? { max: job.of, value: job.done ?? 0, "aria-label": what } : { "aria-label": what }),
    h("span", {}, `${what}: ${job.words || say("frame.working")}${more}`),
    h("button", { type: "button", onclick: () => running.forEach(([name]) => app.wish("stop-job", { name })) }, say("frame.cancel"))));
}

function showMessage(el, now, app) {
  if (el.message === now.message) return;
  el.message = now.message;
  if (!now.message) {
    fill(el);
    return;
  }
  fill(el, h("div", { class: "message", role: "alert", "data-kind": now.message.kind }, h("p", {}, now.message.words),
    h("button", { type: "button", onclick: () => app.wish("clear-message") }, app.say("frame.close"))));
}
