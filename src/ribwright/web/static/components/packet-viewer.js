/** One sheet of the packet: as wide as the room or enlarged, the next and the one before, printed at true size. */
import { api } from "../api.js";
import { fill, h, put, stylesheet, text } from "../dom.js";
import { titleOf } from "../logic/packet.js";
import { printPdf } from "./packet-print.js";

const ZOOMS = [1, 1.5, 2, 3];

/** `onStep(way)` hears 1 for the next sheet, -1 for the one before. */
export function mount(el, app, onStep) {
  stylesheet("packet-viewer");
  const { say } = app;
  let zoom = 0;
  let of = "";
  const title = h("h3", { class: "viewer-title" });
  const back = h("button", { type: "button", onclick: () => onStep(-1) }, say("packet.back"));
  const on = h("button", { type: "button", onclick: () => onStep(1) }, say("packet.next"));
  const less = h("button", { type: "button", onclick: () => zoomed(-1), "aria-label": say("packet.smaller") }, "−");
  const width = h("button", { type: "button", onclick: () => zoomed(-zoom) }, say("packet.page_width"));
  const more = h("button", { type: "button", onclick: () => zoomed(1), "aria-label": say("packet.larger") }, "+");
  let pdf = "";
  const print = h("button", { type: "button", class: "viewer-print", onclick: async () => {
    if (!(await printPdf(pdf))) text(note, say("packet.print_not"));
  } }, say("packet.print"));
  const note = h("p", { class: "viewer-note" });
  const image = h("img", { class: "viewer-image", alt: "" });
  const sheet = h("div", { class: "viewer-sheet", tabindex: 0, role: "region", onkeydown: keys }, image);
  const whole = h("div", { class: "packet-viewer" }, h("div", { class: "viewer-tools no-print" }, title, h("div", { class: "viewer-buttons" }, back, on, less, width, more, print)), note, sheet);
  sheet.title = say("packet.keys");
  fill(el, whole);

  function zoomed(by) {
    zoom = Math.min(Math.max(zoom + by, 0), ZOOMS.length - 1);
    image.style.width = `${100 * ZOOMS[zoom]}%`;
    less.disabled = width.disabled = zoom === 0;
    more.disabled = zoom === ZOOMS.length - 1;
  }
  function keys(event) {
    const act = { n: () => onStep(1), p: () => onStep(-1), "+": () => zoomed(1), "=": () => zoomed(1), "-": () => zoomed(-1), 0: () => zoomed(-zoom) }[event.key];
    if (!act || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    act();
  }
  zoomed(0);
  return {
    update({ document, id, first, last, count, at }) {
      whole.hidden = !document;
      if (!document) return;
      const key = `${id}/${document.file}`;
      text(title, `${titleOf(document.name)} · ${say("packet.of", { at: at + 1, count })}`);
      back.disabled = first;
      on.disabled = last;
      pdf = api.jobFile(id, document.file);
      text(note, say(document.oneToOne ? "packet.print_true" : "packet.print_any"));
      put(note, "data-true", document.oneToOne);
      if (of === key) return;
      of = key;
      put(image, "src", api.jobFile(id, document.preview));
      put(image, "alt", say("packet.picture_of", { name: titleOf(document.name) }));
      put(sheet, "aria-label", titleOf(document.name));
      sheet.scrollTo(0, 0);
    },
  };
}
