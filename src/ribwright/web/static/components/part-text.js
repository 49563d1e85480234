/** The part file's text, kept in step both ways: typed here it goes to the draft a moment after the last key; changed elsewhere it follows. */
import { fill, h, keepList, put, text } from "../dom.js";
import { byLine, caretAfter, lineOf, offsetOf } from "../logic/text-marks.js";

const TYPED_AFTER_MS = 400;
const LINE_PX = 26;

export function mount(el, ctx) {
  const { app } = ctx;
  const { say } = app;
  const area = h("textarea", { id: "part-text", class: "part-text-area", spellcheck: "false", autocapitalize: "off", autocomplete: "off", wrap: "off" });
  const lines = h("div", { class: "part-text-lines" });
  const numbers = h("div", { class: "part-text-numbers", "aria-hidden": "true" }, lines);
  const here = h("div", { class: "part-text-here", "aria-hidden": "true" });
  const faults = h("div", { class: "part-text-faults", id: "part-text-faults" });
  const download = h("button", { type: "button", onclick: () => {
    const url = URL.createObjectURL(new Blob([area.value], { type: "application/toml" }));
    h("a", { href: url, download: `${app.store.get().part}.part.toml` }).click();
    URL.revokeObjectURL(url);
  } }, say("part.text_download"));
  fill(el, h("section", { class: "part-text" }, h("div", { class: "part-list-head" }, h("h2", {}, h("label", { for: "part-text" }, say("part.text"))), download),
    h("div", { class: "part-text-box" }, numbers, h("div", { class: "part-text-paper" }, here, area)), faults));
  let waiting = null;
  let sent = "";
  let pickedFor = "";

  const send = () => {
    clearTimeout(waiting);
    waiting = null;
    if (area.value === app.store.get().draft?.text) return;
    sent = area.value;
    app.wish("type-draft", { text: area.value });
  };
  area.oninput = () => {
    clearTimeout(waiting);
    waiting = setTimeout(send, TYPED_AFTER_MS);
    showLines();
  };
  area.onblur = () => waiting !== null && send();
  area.onscroll = () => follow();
  const follow = () => {
    lines.style.setProperty("transform", `translateY(${-area.scrollTop}px)`);
    here.style.setProperty("transform", `translateY(${-area.scrollTop}px)`);
  };

  const showLines = () => {
    const n = area.value.split("\n").length;
    const marks = byLine(area.value, ctx.marks.filter((m) => m.severity === "fault"));
    const key = `${n} ${[...marks].map(([line, list]) => `${line}:${list.map((m) => m.n)}`).join()}`;
    if (lines.dataset.key !== key) {
      lines.dataset.key = key;
      fill(lines, Array.from({ length: n }, (_, i) => {
        const at = marks.get(i + 1);
        return h("div", { "data-bad": Boolean(at), title: at ? at.map((m) => m.say).join("\n") : null }, at ? h("b", { class: "part-n" }, at.map((m) => m.n).join(",")) : null, String(i + 1));
      }));
    }
    put(area, "aria-invalid", marks.size ? "true" : null);
    put(area, "aria-describedby", marks.size ? "part-text-faults" : null);
    keepList(faults, [...marks].sort((a, b) => a[0] - b[0]).flatMap(([line, list]) => list.map((mark) => ({ line, mark }))), ({ mark }) => `${mark.n} ${mark.say}`,
      () => h("button", { type: "button", class: "part-text-fault" }), (button, { line, mark }) => {
        text(button, say("part.text_fault", { n: mark.n, line, say: mark.say }));
        button.onclick = () => goTo(line, true);
      });
  };
  /** Shows a line, with the caret there when the person asked for it. */
  const goTo = (line, caret) => {
    const top = (line - 1) * LINE_PX;
    if (top < area.scrollTop || top > area.scrollTop + area.clientHeight - 3 * LINE_PX) area.scrollTop = Math.max(0, top - 4 * LINE_PX);
    if (!caret) return;
    area.focus();
    const at = offsetOf(area.value, line);
    area.setSelectionRange(at, at);
  };
  const showPicked = (now) => {
    const line = now.picked ? lineOf(area.value, now.picked) : 0;
    here.hidden = !line;
    if (line) here.style.setProperty("top", `${10 + (line - 1) * LINE_PX}px`);
    const key = `${now.picked} ${line}`;
    if (key === pickedFor) return;
    pickedFor = key;
    if (line && document.activeElement !== area) goTo(line, false);
    follow();
  };
  return {
    update(now) {
      const wanted = now.draft.text;
      const typing = document.activeElement === area && (waiting !== null || area.value === sent);
      if (area.value !== wanted && !typing) {
        const [caret, top] = [area.selectionStart, area.scrollTop];
        const at = caretAfter(area.value, wanted, caret);
        area.value = wanted;
        if (document.activeElement === area) area.setSelectionRange(at, at);
        area.scrollTop = top;
      }
      showLines();
      showPicked(now);
    },
  };
}
