/** Measuring between two places, chosen from lists or pressed in the picture. */
import { fill, h, text } from "../dom.js";
import { named, next, spoken } from "../logic/measure.js";

/**
 * @param app @param {(set: string, places: object[], ends: (number[]|null)[]) => void} changed  told which places are chosen, where
 * @returns {{el, show(sets), choose(index), far(), redraw()}} sets: [{id, words, places}]
 */
export function measureBar(app, changed) {
  const { say } = app;
  const which = h("select", { onchange: () => start(which.value) });
  const whichField = h("label", {}, h("span", {}, say("blank.measure_on")), which);
  const lists = [0, 1].map((k) => h("select", { onchange: (e) => set(k, Number(e.target.value)) }));
  const answer = h("p", { class: "measure-answer", role: "status" });
  const clear = h("button", { type: "button", onclick: () => { chosen = [-1, -1]; tell(); } }, say("blank.measure_clear"));
  const el = h("fieldset", { class: "measure" }, h("legend", {}, say("blank.measure")), whichField,
    h("label", {}, h("span", {}, say("blank.measure_from")), lists[0]), h("label", {}, h("span", {}, say("blank.measure_to")), lists[1]), answer, clear);
  let sets = [];
  let at = "";
  let chosen = [-1, -1];
  let key = "";
  const places = () => sets.find((x) => x.id === at)?.places ?? [];
  const set = (k, index) => {
    chosen = k ? [chosen[0], index] : [index, chosen[1]];
    tell();
  };
  function start(id) {
    at = id;
    chosen = [-1, -1];
    const names = named(places(), say);
    const order = names.map((name, i) => [name, i]).sort((a, b) => a[0].localeCompare(b[0], undefined, { numeric: true }));
    for (const list of lists) {
      fill(list, h("option", { value: -1 }, say("blank.measure_none")), order.map(([name, i]) => h("option", { value: i }, name)));
    }
    tell();
  }
  function tell(words = "") {
    lists.forEach((list, k) => { list.value = String(chosen[k]); });
    const ends = chosen.map((i) => places()[i]?.at ?? null);
    clear.disabled = !ends[0] && !ends[1];
    if (ends[0] && ends[1]) {
      const said = spoken(ends[0], ends[1], app.store.get().units, say);
      fill(answer, h("b", {}, said.distance), h("br"), said.parts);
    } else text(answer, words || say("blank.measure_hint"));
    changed(at, places(), ends);
  }
  return {
    el,
    show(more) {
      const now = JSON.stringify(more);
      if (now === key) return;
      key = now;
      sets = more;
      fill(which, sets.map((x) => h("option", { value: x.id }, x.words)));
      whichField.hidden = sets.length < 2;
      if (sets.length) start(sets.some((x) => x.id === at) ? at : sets[0].id);
      which.value = at;
    },
    choose(index) {
      chosen = next(chosen, index);
      tell();
    },
    far: () => tell(say("blank.measure_far")),
    redraw: () => tell(),
  };
}
