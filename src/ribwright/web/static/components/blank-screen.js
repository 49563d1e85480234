/**
 * Blank and block: asks for the plan (the quick formula's first, then the section model's), says which stands, and shows it in tabs.
 *
 * Jobs under these names: plan-quick, plan, blank-view, block-view, methods-view, formed-view. A view once drawn stays until the next
 * one is there.
 */
import { fill, h, put, stylesheet, text } from "../dom.js";
import { belongs, standing } from "../logic/standing.js";
import { mount as mountFlat } from "./blank-flat.js";
import { mount as mountMargins } from "./blank-margins.js";
import { mount as mountMethods } from "./blank-methods.js";
import { mount as mountSetup } from "./blank-setup.js";
import { mount as mountBlock } from "./block-plan.js";
import { mount as mountSolid } from "./solid-view.js";

// tab, its component, the views it draws; what was not asked for before the plan is when the tab is opened
const TABS = [
  ["flat", mountFlat, ["blank-view"]], ["methods", mountMethods, ["methods-view"]], ["block", mountBlock, ["block-view"]],
  ["solid", mountSolid, ["block-view", "formed-view"]], ["setup", mountSetup, []], ["margins", mountMargins, []],
];
const METHODS = ["", "handbook", "strain-corrected", "inverse"];
const QUICK = "closed-form";
const FOOT = 64; // the frame's foot with no work going on, and a gap [px]
for (const name of ["blank-plane", "blank-table", "measure-bar", "solid-view"]) stylesheet(name);

export function mount(el, app) {
  const { say, wish, store } = app;
  let tab = "flat";
  let method = "";
  let askedFor = "";
  const held = {}; // by view: the last answer of this part
  const stops = h("div", { class: "blank-stops" });
  const words = h("p", { class: "blank-stands", role: "status" });
  const again = h("button", { type: "button", onclick: () => { askedFor = ""; update(store.get()); } }, say("blank.again"));
  const select = h("select", { onchange: () => { method = select.value; update(store.get()); } },
    METHODS.map((m) => h("option", { value: m }, say(`blank.method_${(m || "default").replaceAll("-", "_")}`))));
  const tabs = TABS.map(([name]) => h("button", { type: "button", role: "tab", id: `tab-${name}`, "aria-controls": `sheet-${name}`, onclick: () => open(name) }, say(`blank.tab_${name}`)));
  const sheets = TABS.map(([name]) => h("div", { role: "tabpanel", id: `sheet-${name}`, "aria-labelledby": `tab-${name}`, hidden: true }));
  const list = h("div", { class: "blank-tabs", role: "tablist", "aria-label": say("blank.views"), onkeydown: turn }, tabs);
  const wait = h("p", { class: "blank-wait", role: "status" });
  const body = h("div", { class: "blank-body" }, wait, sheets);
  const cannot = h("div", { class: "blank-cannot" }, h("p", {}, say("blank.cannot")), h("a", { href: "#/" }, say("blank.to_part")));
  const whole = h("div", {}, stops, h("div", { class: "blank-head" }, list, h("label", { class: "blank-method" }, h("span", {}, say("blank.method")), select)),
    h("div", { class: "blank-status" }, words, again), body);
  fill(el, cannot, whole);
  const made = {};

  function open(name) {
    tab = name;
    update(store.get());
  }
  function turn(event) {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    const at = TABS.findIndex(([name]) => name === tab);
    const to = event.key === "Home" ? 0 : event.key === "End" ? TABS.length - 1 : step ? (at + step + TABS.length) % TABS.length : -1;
    if (to < 0) return;
    event.preventDefault();
    open(TABS[to][0]);
    tabs[to].focus();
  }

  const optionsOf = (now, model) => ({ press: now.press, model, method });
  const start = (name, kind, options) => wish("start-job", { name, kind, options });
  async function ask(now, key) {
    if (now.press) await start("plan-quick", "plan", optionsOf(now, QUICK));
    if (key !== askedFor) return;
    const first = optionsOf(now, now.press ? QUICK : "");
    await start("blank-view", "blank-view", first);
    await start("block-view", "block-view", first);
    await start("formed-view", "formed-view", first);
    if (key === askedFor) await start("plan", "plan", optionsOf(now, ""));
  }
  /** A job as long as it belongs to the draft as it is and was asked with these options. */
  const job = (now, name, options) => (belongs(now.jobs[name], now.draft.revision, options) ? now.jobs[name] : null);

  /** Views that the open tab draws and that nobody has asked for yet. */
  function askViews(now, stands) {
    if (!stands.job) return;
    for (const name of TABS.find(([t]) => t === tab)[2]) {
      // only the block hangs on the model
      const options = name === "block-view" ? stands.job.options : optionsOf(now, now.press ? QUICK : "");
      const have = job(now, name, options);
      const failed = have && ["failed", "cancelled"].includes(have.state);
      if (!have && !failed) start(name, name, options);
    }
  }
  function hold(now) {
    const part = `${now.shop}/${now.part}`;
    if (held.part !== part) {
      for (const key of Object.keys(held)) delete held[key];
      held.part = part;
    }
    for (const name of ["blank-view", "block-view", "methods-view", "formed-view"]) {
      if (now.jobs[name]?.state === "done") held[name] = now.jobs[name].result;
    }
  }

  function update(now) {
    if (!now.draft) return;
    const faulty = now.draft.faults.length > 0;
    cannot.hidden = !faulty;
    whole.hidden = faulty;
    if (faulty) {
      put(cannot.querySelector("a"), "href", location.hash.replace(/\/blank$/, "/part"));
      return;
    }
    const key = JSON.stringify([now.shop, now.part, now.draft.revision, now.press, method]);
    if (key !== askedFor) {
      askedFor = key;
      ask(now, key);
      return;
    }
    hold(now);
    const plan = job(now, "plan", optionsOf(now, ""));
    const stands = standing({ quick: now.press ? job(now, "plan-quick", optionsOf(now, QUICK)) : null, plan, press: now.press });
    if (stands.job) held.stood = stands.job;
    // while the next answer is at work the last one stays, out of date and out of reach
    const stale = !stands.job && stands.state !== "failed" ? (held.stood ?? null) : null;
    showHead(now, stands, stale);
    askViews(now, stands);
    showTab(now, stale ? { ...stands, job: stale } : stands);
    put(body, "data-stale", Boolean(stale));
    for (const sheet of sheets) sheet.inert = Boolean(stale);
  }

  function showHead(now, stands, stale) {
    const { state, words: told } = stands;
    const said = {
      none: () => say("blank.none"), planning: () => say("blank.planning", { words: told }), quick: () => say("blank.quick_stands", { words: told }),
      "quick-left": () => say("blank.quick_left", { words: told }), section: () => say("blank.section_stands", { press: now.press }),
      closed: () => say("blank.closed_stands", { why: say(`blank.why_${stands.why}`) }), failed: () => say("blank.failed", { words: told }),
      stopped: () => say("blank.stopped", { words: told }),
    };
    text(words, stale ? `${said[state]()} ${say("frame.stale")}` : said[state]());
    put(words, "data-state", state);
    again.hidden = !["failed", "stopped", "quick-left"].includes(state);
    text(again, say(state === "quick-left" ? "blank.ask_section" : "blank.again"));
    const found = (stands.job ?? stale)?.result.findings.filter((f) => f.severity === "stop") ?? [];
    const key = JSON.stringify(found.map((f) => f.say));
    if (stops.dataset.key !== key) {
      stops.dataset.key = key;
      fill(stops, found.length > 0 && h("div", { class: "blank-stop", role: "alert" }, h("p", {}, say("frame.stops", { say: found[0].say })),
        h("button", { type: "button", onclick: () => open("margins") }, found.length > 1 ? say("blank.more_stops", { n: found.length - 1 }) : say("blank.read_stop"))));
    }
  }

  /** Pictures are as high as fits between what stands above them and the frame's foot. */
  function roomFor() {
    const top = body.getBoundingClientRect().top + scrollY;
    body.style.setProperty("--room", `${Math.round(innerHeight - top - FOOT)}px`);
  }
  addEventListener("resize", roomFor);

  function showTab(now, stands) {
    roomFor();
    TABS.forEach(([name], k) => {
      put(tabs[k], "aria-selected", String(name === tab));
      put(tabs[k], "tabindex", name === tab ? "0" : "-1");
      sheets[k].hidden = name !== tab || !stands.job;
    });
    const [, mountTab, views] = TABS.find(([name]) => name === tab);
    const missing = stands.job ? views.filter((v) => !held[v]) : [];
    const bad = missing.map((v) => now.jobs[v]).find((j) => j && ["failed", "cancelled"].includes(j.state));
    wait.hidden = Boolean(stands.job) && !missing.length;
    text(wait, !stands.job ? "" : bad ? say("blank.no_picture", { words: bad.faults.map((f) => f.say).join(" ") || bad.words }) : say("blank.drawing"));
    if (!stands.job) return;
    made[tab] ??= mountTab(sheets[TABS.findIndex(([name]) => name === tab)], app);
    made[tab].update({
      answer: stands.job.result, options: stands.job.options, units: now.units, state: stands.state,
      view: held[views[0]] ?? null, formed: held["formed-view"] ?? null, formedJob: now.jobs["formed-view"] ?? null,
    });
    put(body, "data-stopped", stands.job.result.findings.some((f) => f.severity === "stop"));
  }
  return { update };
}
