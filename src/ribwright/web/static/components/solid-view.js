/**
 * Form block, formed part and flat blank in three dimensions. three.js is loaded when this is first shown; a frame is drawn only when
 * something changed.
 */
import { fill, h, put, text } from "../dom.js";
import * as camera from "../logic/camera.js";
import { length, plain } from "../logic/units.js";

const MOST = 20;

export function mount(el, app) {
  const { say } = app;
  const figure = h("figure", { class: "solid-figure" });
  const view = (name) => h("button", { type: "button", onclick: () => look(camera.looking(name)) }, say(`blank.solid_${name}`));
  const zoom = (key, times, sign) => h("button", { type: "button", "aria-label": say(`blank.${key}`), title: say(`blank.${key}`), onclick: () => look(camera.zoomed(at, times)) }, sign);
  const tools = h("div", { class: "plane-tools no-print" }, zoom("zoom_out", 1 / 1.5, "−"), zoom("zoom_in", 1.5, "+"),
    h("button", { type: "button", onclick: () => look(camera.onKey(at, "Home")) }, say("blank.show_all")));
  const box = (name, on) => {
    const tick = h("input", { type: "checkbox", checked: on, onchange: () => draw() });
    return { tick, el: h("label", {}, tick, h("span", { class: `solid-sample ${name}` }), h("span", {}, say(`blank.solid_${name}`))) };
  };
  const show = { block: box("block", true), formed: box("formed", false), flat: box("flat", false) };
  const slider = h("input", { type: "range", min: 1, max: MOST, step: 1, value: 1, id: "solid-times", "aria-label": say("blank.solid_times"), oninput: () => draw() });
  const said = h("output", { class: "solid-said", for: "solid-times" });
  const notes = h("div", { class: "quiet" });
  const side = h("div", { class: "blank-side" },
    h("fieldset", {}, h("legend", {}, say("blank.solid_view")), h("div", { class: "blank-times" }, Object.keys(camera.VIEWS).map(view))),
    h("fieldset", { class: "plane-legend" }, h("legend", {}, say("blank.solid_show")), Object.values(show).map((x) => x.el)),
    h("fieldset", {}, h("legend", {}, say("blank.solid_times")), slider, said), h("p", { class: "quiet" }, say("blank.solid_keys")), notes);
  const words = h("p", { class: "blank-wait", role: "status" }, say("blank.solid_loading"));
  fill(figure, words);
  fill(el, h("div", { class: "blank-pictures" }, figure, side));

  let at = camera.looking("three_quarter");
  let scene = null;
  let loading = null;
  let given = {};

  function look(next) {
    if (!next) return;
    at = next;
    scene?.look(at);
  }
  async function load() {
    loading ??= import("./solid-scene.js");
    try {
      const { makeScene } = await loading;
      scene ??= makeScene(figure);
    } catch {
      text(words, say("blank.solid_none"));
      return;
    }
    words.remove();
    figure.append(tools);
    put(scene.canvas, "aria-label", `${say("blank.solid_picture")}. ${say("blank.solid_keys")}`);
    hands(scene.canvas);
    scene.look(at);
    draw();
  }
  function draw() {
    const times = Number(slider.value);
    text(said, times === 1 ? say("blank.solid_true") : say("blank.solid_said", { n: times }));
    if (!scene || !given.view) return;
    scene.show({
      block: given.view, formed: given.formed, times,
      shown: Object.fromEntries(Object.entries(show).map(([k, x]) => [k, x.tick.checked && !x.tick.disabled])),
    });
  }
  function hands(canvas) {
    let drag = null;
    canvas.addEventListener("pointerdown", (event) => {
      drag = [event.clientX, event.clientY];
      canvas.setPointerCapture(event.pointerId);
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!drag) return;
      const [dx, dy] = [event.clientX - drag[0], event.clientY - drag[1]];
      drag = [event.clientX, event.clientY];
      const tall = canvas.clientHeight;
      look(event.shiftKey ? camera.panned(at, dx / tall, -dy / tall) : camera.turned(at, -dx * 0.4, dy * 0.4));
    });
    for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, () => { drag = null; });
    canvas.addEventListener("wheel", (event) => {
      if (!(event.ctrlKey || event.metaKey || document.activeElement === canvas)) return;
      event.preventDefault();
      look(camera.zoomed(at, event.deltaY < 0 ? 1.15 : 1 / 1.15));
    }, { passive: false });
    canvas.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const next = camera.onKey(at, event.key, event.shiftKey);
      if (!next) return;
      event.preventDefault();
      look(next);
    });
  }
  return {
    update({ view: block, formed, units }) {
      const first = !given.view;
      if (block === given.view && formed === given.formed && units === given.units) return;
      given = { view: block, formed, units };
      if (!block) return;
      const meshed = Boolean(formed?.nodes.length);
      for (const name of ["formed", "flat"]) show[name].tick.disabled = !meshed;
      fill(notes,
        block.undercut && h("p", {}, say("blank.solid_no_undercut", { low: plain(block.undercut.deg[0], 1), high: plain(block.undercut.deg[1], 1), back: length(block.undercut.setback[1], units) })),
        block.mirrored && h("p", {}, say("blank.solid_mirrored")), !block.good && h("p", {}, say("blank.solid_not_good")),
        formed && !meshed && formed.why_not.map((why) => h("p", {}, why)));
      if (first) load();
      else draw();
    },
  };
}
