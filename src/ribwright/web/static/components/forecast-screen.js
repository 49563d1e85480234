/**
 * The forecast: what comes off the block. The quick formula first, the section model after it; a place picked is played in section, with
 * its angle over pressure; strain over the part; where hand work will be needed.
 */
import { fill, h, put, text } from "../dom.js";
import { askedOf, handWork, ownerOf, placeKey, toleranceOf, worstOf } from "../logic/forecast.js";
import { lengthIn, pressure } from "../logic/units.js";
import { fresh } from "../state.js";
import { mount as mountCurve } from "./curve-chart.js";
import { mount as mountHand } from "./forecast-hand.js";
import { mount as mountPlan } from "./forecast-plan.js";
import { mount as mountTable } from "./forecast-table.js";
import { mount as mountPlayer } from "./section-player.js";
import { mount as mountStrain } from "./strain-map.js";

const BUSY = ["queued", "running"];

export function mount(el, app) {
  const { say, wish, store } = app;
  // `by` "press" or "fluid" once somebody has chosen; until then by the press that is named, if one is
  const ui = { by: "", picked: null, chosen: false, of: null, section: "", contour: "" };

  // ---- what is asked
  const by = { press: radio("press"), fluid: radio("fluid") };
  const pressureField = h("input", { type: "text", autocomplete: "off", size: 15, placeholder: say("forecast.pressure_example") });
  const undercutField = h("input", { type: "text", autocomplete: "off", size: 8, inputmode: "decimal", placeholder: say("forecast.undercut_example") });
  const pressWords = h("span", {});
  const pressureWords = h("span", {});
  const go = h("button", { type: "submit", class: "forecast-go" }, say("forecast.go"));
  const stop = h("button", { type: "button", onclick: () => wish("stop-job", { name: "forecast" }) }, say("forecast.stop"));
  const form = h("form", { class: "forecast-form no-print", onsubmit: (e) => { e.preventDefault(); start(); } },
    h("fieldset", { class: "forecast-by" }, h("legend", {}, say("forecast.by")), h("label", {}, by.press, pressWords), h("label", {}, by.fluid, say("forecast.by_fluid"))),
    h("label", { class: "forecast-field" }, pressureWords, pressureField), h("label", { class: "forecast-field" }, say("forecast.undercut"), undercutField), go, stop);
  const bar = h("progress", {});
  const words = h("p", { class: "forecast-words", role: "status" });
  const stands = h("div", { class: "forecast-stands" }, bar, words);
  const notices = h("div", { class: "forecast-notices" });
  const facts = h("p", { class: "quiet" });
  const acts = h("span", {});
  const rests = h("details", { class: "forecast-facts" }, h("summary", {}, acts, " ", h("span", { class: "quiet" }, say("forecast.rests"))), facts);

  // ---- what is answered
  const host = (name, ...above) => {
    const room = h("div", {});
    const section = h("section", { class: `forecast-part forecast-in-${name}`, "aria-labelledby": `forecast-h-${name}`, id: `forecast-${name}` }, h("h2", { id: `forecast-h-${name}`, tabindex: -1 }, say(`forecast.title_${name}`)), above, room);
    return { room, section };
  };
  const rooms = { plan: host("plan"), section: host("section"), curve: host("curve"), hand: host("hand"), table: host("table") };
  const strainGo = h("button", { type: "button", onclick: () => startStrain() }, say("forecast.strain_go"));
  const strainStop = h("button", { type: "button", onclick: () => wish("stop-job", { name: "strain" }) }, say("forecast.stop"));
  const strainWords = h("p", { role: "status" });
  rooms.strain = host("strain", h("div", { class: "no-print forecast-strain-tools" }, strainGo, strainStop), strainWords);
  const placeWords = h("p", { class: "forecast-place-words" });
  rooms.section.section.insertBefore(placeWords, rooms.section.room);
  const jump = (name) => h("a", { href: "#", onclick: (e) => { e.preventDefault(); rooms[name].section.scrollIntoView({ block: "start" }); rooms[name].section.querySelector("h2").focus({ preventScroll: true }); } }, say(`forecast.title_${name}`));
  const jumps = h("nav", { class: "forecast-jumps no-print", "aria-label": say("forecast.jumps") }, ["plan", "section", "curve", "hand", "table", "strain"].map(jump));

  const plan = mountPlan(rooms.plan.room, app, (i) => pick(i));
  const player = mountPlayer(rooms.section.room, app);
  const curve = mountCurve(rooms.curve.room, app);
  player.onPlace((at) => curve.show(at));
  const hand = mountHand(rooms.hand.room, app, (i, show) => pick(i, show));
  const table = mountTable(rooms.table.room, app, (i) => pick(i));
  const strain = mountStrain(rooms.strain.room, app);
  fill(el, h("h2", { class: "forecast-title" }, say("forecast.title")), form, stands, notices, rests, jumps, rooms.plan.section,
    h("div", { class: "forecast-two" }, rooms.section.section, rooms.curve.section), rooms.hand.section, rooms.table.section, rooms.strain.section);

  function radio(value) {
    return h("input", { type: "radio", name: "forecast-by", value, onchange: () => { ui.by = value; update(store.get(), store.get()); } });
  }
  const asked = (now) => askedOf({ by: byOf(now), press: now.press, pressure: pressureField.value, undercut: undercutField.value });

  const byOf = (now) => (now.press ? ui.by || "press" : "fluid");

  function start() {
    Object.assign(ui, { picked: null, chosen: false });
    wish("start-job", { name: "forecast", kind: "forecast", options: asked(store.get()) });
  }
  function startStrain() {
    const { press, pressure: typed } = shownOptions(store.get()) ?? asked(store.get());
    wish("start-job", { name: "strain", kind: "strain-view", options: press ? { press } : { pressure: typed } });
  }
  const shownOptions = (now) => now.jobs.forecast?.options;

  /** The forecast that is shown: the section model's, or until then the quick formula's. */
  function answerOf(job) {
    if (!job) return null;
    const had = job.result?.forecast?.stations.some((s) => s.angle_released_deg) ?? false;
    if (job.result?.forecast && (had || job.state === "done" || !job.early)) return { forecast: job.result.forecast, findings: job.result.findings ?? [], whole: true };
    // what the quick formula said stays, also when the rest was stopped
    const early = job.early?.forecast ?? job.early;
    return early?.stations ? { forecast: early, findings: [], whole: false } : null;
  }
  function nameOf(s) {
    const now = store.get();
    return s.hole ? say("forecast.hole", { name: s.hole }) : `${s.edge} ${say("forecast.at", { along: lengthIn(s.along_mm, now.units) })}`;
  }
  function pick(i, show = false) {
    Object.assign(ui, { picked: i, chosen: true });
    update(store.get(), store.get());
    if (show) rooms.section.section.scrollIntoView({ block: "start" });
  }
  /** The section of the picked place is asked for once the section model has answered. */
  function askSection(now, stations) {
    const job = now.jobs.forecast;
    const s = stations[ui.picked];
    if (job.state !== "done" || !s || s.wall_gap_mm === null || !fresh(now, "forecast")) return;
    const where = s.hole ? { hole: s.hole } : { edge: s.edge, along: `${s.along_mm} mm` };
    const key = JSON.stringify([job.key ?? job.id, where]);
    if (ui.section === key && now.jobs.section) return;
    ui.section = key;
    wish("start-job", { name: "section", kind: "section-view", options: { ...job.options, ...where } });
  }
  function askContour(now) {
    const key = `${now.shop}/${now.part}/${now.draft?.revision}`;
    if (!now.draft || now.draft.faults.length || (ui.contour === key && now.jobs.contour)) return;
    ui.contour = key;
    wish("start-job", { name: "contour", kind: "contour-view" });
  }

  function update(now) {
    if (now.screen !== "forecast" || !now.draft) return;
    askContour(now);
    const job = now.jobs.forecast;
    const answer = answerOf(job);
    const stations = answer?.forecast.stations ?? [];
    const contour = now.jobs.contour?.result?.view ?? null;
    // another answer: begin with the place that comes out worst, unless somebody picked one
    const of = `${job?.id} ${answer?.whole}`;
    if ((of !== ui.of && !ui.chosen) || ui.picked === null || ui.picked >= stations.length) {
      ui.of = of;
      const worst = worstOf(stations);
      ui.picked = worst < 0 ? null : worst;
    }
    showForm(now, job);
    showNotices(now, job, answer);
    const ready = Boolean(answer);
    for (const { section } of Object.values(rooms)) section.hidden = !ready;
    rooms.plan.section.hidden = !contour;
    rooms.strain.section.hidden = false;
    jumps.hidden = !ready;
    const hands = (answer?.whole ? handWork(stations, answer.findings, contour) : []).map((r, i) => ({ ...r, number: i + 1 }));
    const options = job ? { press: job.options.press, pressure: job.options.pressure, undercut: job.options.undercut } : {};
    plan.update({ contour, stations, picked: ui.picked, hands: hands.filter((r) => ownerOf(r.where)), nameOf, units: now.units });
    if (ready) {
      const key = JSON.stringify([job.id, answer.whole, ui.picked, now.units, Boolean(contour), job.state]);
      if (el.dataset.shown !== key) {
        el.dataset.shown = key;
        table.update({ stations, contour, picked: ui.picked, options, nameOf, notes: answer.findings.filter((x) => x.code === "forecast-unverified") });
        const judged = stations.some((s) => toleranceOf(s, contour));
        hand.update({ hands, ready: answer.whole, judged, nameOf });
        rooms.hand.section.hidden = !answer.whole;
      }
      askSection(now, stations);
    }
    rooms.hand.section.hidden = !answer?.whole;
    showSection(now, stations, answer);
    showStrain(now);
  }

  function showForm(now, job) {
    text(pressWords, now.press ? say("forecast.by_press", { press: now.press }) : say("forecast.by_no_press"));
    by.press.disabled = !now.press;
    const fluid = byOf(now) === "fluid";
    by[fluid ? "fluid" : "press"].checked = true;
    text(pressureWords, say(fluid ? "forecast.pressure_fluid" : "forecast.pressure_press"));
    pressureField.required = fluid;
    const busy = job && BUSY.includes(job.state);
    stop.hidden = !busy;
    go.disabled = Boolean(now.draft.faults.length) || Boolean(busy);
    text(go, say(job?.result ? "forecast.again" : "forecast.go"));
    bar.hidden = !busy;
    if (busy) {
      put(bar, "max", job.of || null);
      put(bar, "value", job.of ? (job.done ?? 0) : null);
    }
    text(words, wordsOf(now, job));
  }
  function wordsOf(now, job) {
    if (now.draft.faults.length) return say("forecast.mend_faults");
    if (!job) return say(now.press ? "forecast.begin" : "forecast.begin_no_press");
    if (BUSY.includes(job.state)) return `${say(answerOf(job) ? "forecast.quick_stands" : "forecast.quick_coming")} ${job.words ?? ""}`;
    if (job.state === "failed") return say("forecast.failed");
    const f = answerOf(job)?.forecast;
    if (job.state === "cancelled" || f?.outcome === "cancelled") return say(f ? (answerOf(job).whole ? "forecast.stopped_kept" : "forecast.stopped_quick") : "forecast.stopped");
    return say(f?.model === "section" ? "forecast.section_stands" : "forecast.quick_only");
  }
  function showNotices(now, job, answer) {
    const f = answer?.forecast;
    const key = JSON.stringify([job?.id, job?.state, answer?.whole, fresh(now, "forecast"), now.units, now.press]);
    if (notices.dataset.key === key) return;
    notices.dataset.key = key;
    const stale = job && !fresh(now, "forecast");
    const stops = (answer?.findings ?? []).filter((x) => x.severity === "stop");
    fill(notices,
      stale ? h("p", { class: "finding", "data-severity": "warn" }, h("b", {}, say("forecast.out_of_date")), " ", say("frame.stale")) : null,
      job && !stale && (job.options.press ?? "") && job.options.press !== now.press ? h("p", { class: "finding", "data-severity": "warn" }, say("forecast.other_press", { press: job.options.press })) : null,
      (job?.state === "failed" ? job.faults : []).map((x) => h("p", { class: "finding", "data-severity": "stop" }, faultWords(x))),
      stops.map((x) => h("p", { class: "finding", "data-severity": "stop" }, h("b", {}, say("forecast.stop_word")), " ", x.say)),
      f && f.outcome !== "converged" && f.outcome !== "cancelled" ? h("p", { class: "finding", "data-severity": "warn" }, say(`forecast.outcome_${f.outcome.replaceAll("-", "_")}`)) : null);
    text(acts, f ? say("forecast.acts", { psi: pressure(f.pressure_mpa, now.units), comes: f.pressure_is }) : "");
    rests.hidden = !f;
    const lines = f ? [
      f.pad_share_mpa ? say("forecast.pad_share", { psi: pressure(f.pad_share_mpa, now.units) }) : "",
      say("forecast.undercut_is", { words: f.undercut_is }),
      typeof f.quick_formula_off_deg === "number" ? say("forecast.quick_off", { deg: Math.abs(f.quick_formula_off_deg).toFixed(1), way: say(f.quick_formula_off_deg > 0 ? "forecast.too_closed" : "forecast.too_open") }) : "",
      f.quick_formula_closes_else?.length ? say("forecast.quick_wrong", { names: f.quick_formula_closes_else.join(", ") }) : "",
      ...f.left_out.map((w) => say("forecast.left_out", { words: w })), f.says,
    ] : [];
    text(facts, lines.filter(Boolean).join(" "));
  }
  /** What was typed into this form is called by the form's words. */
  const faultWords = (x) => (x.file !== "command line" ? x.say
    : say("forecast.typed_wrong", { what: say(x.key === "--undercut" ? "forecast.undercut" : "forecast.by"), found: x.found, allowed: x.allowed }));
  function showSection(now, stations, answer) {
    const s = stations[ui.picked];
    const job = now.jobs.section;
    const mine = job?.result?.view && s && sameplace(job.result.view.place, s) && job.options.press === (now.jobs.forecast?.options.press ?? "") ? job.result.view : null;
    let why = "";
    if (!mine) {
      if (now.jobs.forecast?.state === "cancelled") why = say("forecast.section_stopped");
      else if (!answer?.whole || now.jobs.forecast?.state !== "done") why = say("forecast.section_later");
      else if (!s || s.wall_gap_mm === null) why = say("forecast.section_none");
      else if (job && BUSY.includes(job.state)) why = `${say("forecast.section_coming")} ${job.words ?? ""}`.trim();
      else if (job?.state === "failed") why = job.faults.map((x) => x.say).join(" ");
      else if (!fresh(now, "forecast")) why = say("frame.stale");
    }
    text(placeWords, s ? say("forecast.section_of", { place: nameOf(s) }) : "");
    // the curve first: the player tells it where it stands
    curve.update({ view: mine, units: now.units, why });
    player.update({ view: mine, units: now.units, why });
  }
  const sameplace = (place, s) => (place.hole ? place.hole === s.hole : placeKey(place) === placeKey(s));

  function showStrain(now) {
    const job = now.jobs.strain;
    const busy = job && BUSY.includes(job.state);
    strainStop.hidden = !busy;
    strainGo.disabled = busy || now.draft.faults.length > 0 || !(shownOptions(now) ?? asked(now)).press && !pressureField.value && !shownOptions(now)?.pressure;
    text(strainGo, say(job?.result ? "forecast.strain_again" : "forecast.strain_go"));
    const state = !job ? say("forecast.strain_begin") : busy ? `${say("forecast.strain_coming")} ${job.words ?? ""}` : job.state === "failed" ? job.faults.map((x) => x.say).join(" ")
      : job.state === "cancelled" ? say("forecast.stopped") : !job.result?.view ? (job.result?.strain?.words ?? "") : fresh(now, "strain") ? "" : say("frame.stale");
    text(strainWords, state);
    strain.update({ answer: job?.result ?? null, units: now.units, options: job?.options ?? {} });
  }
  return { update };
}
