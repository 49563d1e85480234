/** The packet: made for a paper, read sheet by sheet, printed at true size, taken away. */
import { fill, h, put, text } from "../dom.js";
import { api } from "../api.js";
import { documentsOf, sizeOf, titleOf, zipOf } from "../logic/packet.js";
import { fresh } from "../state.js";
import { mount as mountViewer } from "./packet-viewer.js";

const PAPERS = ["letter", "a4", "roll"];
const BUSY = ["queued", "running"];

export function mount(el, app) {
  const { say, wish } = app;
  const ui = { picked: "", of: "" };
  const paper = h("select", {}, PAPERS.map((p) => h("option", { value: p }, say(`packet.paper_${p}`))));
  const go = h("button", { type: "submit", class: "packet-go" }, say("packet.go"));
  const stop = h("button", { type: "button", onclick: () => wish("stop-job", { name: "packet" }) }, say("packet.stop"));
  const bar = h("progress", {});
  const words = h("p", { class: "packet-words", role: "status" });
  const notices = h("div", {});
  const form = h("form", { class: "packet-form no-print", onsubmit: (e) => { e.preventDefault(); wish("start-job", { name: "packet", kind: "packet", options: { press: last.press, paper: paper.value } }); } },
    h("h2", {}, say("packet.title")), h("label", { class: "packet-paper" }, say("packet.paper"), paper), go, stop, bar, words);
  const list = h("ul", { class: "packet-list", onkeydown: keys });
  const all = h("a", { class: "packet-all", download: true }, say("packet.all"));
  const mark = h("p", { class: "packet-mark" });
  const room = h("div", { class: "packet-viewer-room" });
  const viewer = mountViewer(room, app, (way) => step(way));
  const whole = h("div", { class: "packet-row" }, h("nav", { class: "packet-side", "aria-label": say("packet.documents") }, list, all, mark), room);
  fill(el, form, notices, whole);
  // list and sheet are as high as fits between what stands above them and the frame's foot
  const fit = () => {
    if (!whole.isConnected) return;
    const foot = document.querySelector(".frame-foot")?.offsetHeight ?? 40;
    whole.style.setProperty("--room", `${Math.round(innerHeight - whole.getBoundingClientRect().top - scrollY - foot - 20)}px`);
  };
  new ResizeObserver(fit).observe(document.body);
  addEventListener("resize", fit);
  let last = { press: "" };
  let shown = { documents: [], id: "" };

  function step(way) {
    const sheets = shown.documents.filter((d) => d.preview);
    const at = sheets.findIndex((d) => d.file === ui.picked);
    const to = sheets[Math.min(Math.max(at + way, 0), sheets.length - 1)];
    if (to) open(to.file);
  }
  function open(file, focus = false) {
    ui.picked = file;
    showList();
    if (focus) list.querySelector(`[data-file="${CSS.escape(file)}"]`)?.focus();
  }
  function keys(event) {
    const names = shown.documents.filter((d) => d.preview).map((d) => d.file);
    const at = names.indexOf(event.target.dataset.file);
    const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: names.length - 1 }[event.key];
    if (at < 0 || to === undefined) return;
    event.preventDefault();
    open(names[Math.min(Math.max(to, 0), names.length - 1)], true);
  }
  function showList() {
    const { documents, id } = shown;
    const top = list.scrollTop;
    fill(list, documents.map((d) => {
      const link = h("a", { class: "packet-take", href: api.jobFile(id, d.file, true), download: d.file, "aria-label": say("packet.take_label", { name: d.file }) }, say("packet.take"));
      const name = h("span", { class: "packet-name" }, titleOf(d.name), h("small", {}, `${d.kind.toUpperCase()} · ${sizeOf(d.bytes)}${d.oneToOne ? ` · ${say("packet.one_to_one")}` : ""}`));
      return h("li", {}, d.preview
        ? h("button", { type: "button", class: "packet-open", "data-file": d.file, "aria-current": d.file === ui.picked ? "true" : null, tabindex: d.file === ui.picked ? 0 : -1, onclick: () => open(d.file, true) }, name)
        : h("div", { class: "packet-open packet-plain" }, name), link);
    }));
    list.scrollTop = top;
    const row = list.querySelector("[aria-current]")?.parentElement;
    // the list alone is moved, never the page
    if (row) list.scrollTop = Math.min(row.offsetTop, Math.max(list.scrollTop, row.offsetTop + row.offsetHeight - list.clientHeight));
    const sheets = documents.filter((d) => d.preview);
    const at = sheets.findIndex((d) => d.file === ui.picked);
    viewer.update({ document: sheets[at] ?? null, id, first: at <= 0, last: at >= sheets.length - 1, count: sheets.length, at });
  }

  function update(now) {
    if (now.screen !== "packet" || !now.draft) return;
    last = now;
    const job = now.jobs.packet;
    const busy = Boolean(job) && BUSY.includes(job.state);
    go.disabled = busy || now.draft.faults.length > 0;
    stop.hidden = !busy;
    bar.hidden = !busy;
    if (busy) {
      put(bar, "max", job.of || null);
      put(bar, "value", job.of ? (job.done ?? 0) : null);
    }
    const done = job?.state === "done" && job.result;
    text(go, say(done ? "packet.again" : "packet.go"));
    text(words, now.draft.faults.length ? say("packet.mend_faults") : !job ? say(now.press ? "packet.begin" : "packet.begin_no_press") : busy ? (job.words || say("frame.working"))
      : job.state === "cancelled" ? say("packet.stopped") : job.state === "failed" ? say("packet.failed") : say("packet.ready", { n: documentsOf(job.files).length, paper: say(`packet.paper_${job.options.paper || "letter"}`) }));
    const key = JSON.stringify([job?.id, job?.state, fresh(now, "packet"), now.press]);
    if (el.dataset.shown === key) return;
    el.dataset.shown = key;
    const stops = done ? (job.result.findings ?? []).filter((f) => f.severity === "stop") : [];
    fill(notices,
      done && !fresh(now, "packet") ? h("p", { class: "finding", "data-severity": "warn" }, h("b", {}, say("packet.out_of_date")), " ", say("packet.out_of_date_words")) : null,
      done && fresh(now, "packet") && (job.options.press ?? "") !== now.press ? h("p", { class: "finding", "data-severity": "warn" }, say("packet.other_press", { press: job.options.press || say("frame.no_press") })) : null,
      (job?.state === "failed" ? job.faults : []).map((f) => h("p", { class: "finding", "data-severity": "stop" }, f.say)),
      stops.map((f) => h("p", { class: "finding", "data-severity": "stop" }, h("b", {}, say("packet.crossed")), " ", f.say)));
    whole.hidden = !done;
    if (!done) return;
    shown = { documents: documentsOf(job.files), id: job.id };
    if (ui.of !== job.id || !shown.documents.some((d) => d.file === ui.picked)) {
      ui.of = job.id;
      ui.picked = shown.documents.find((d) => d.preview)?.file ?? "";
    }
    const zip = zipOf(job.files);
    all.hidden = !zip;
    if (zip) {
      put(all, "href", api.jobFile(job.id, zip, true));
      put(all, "download", zip);
    }
    text(mark, say("packet.fingerprint", { mark: job.result.fingerprint ?? "?" }));
    showList();
    fit();
  }
  return { update };
}
