/** Every place of the forecast in a table, by edge; each number opens. */
import { fill, h, stylesheet } from "../dom.js";
import { byOwner, percentOf, stationPaths, toleranceOf, verdictOf, weight } from "../logic/forecast.js";
import { plain } from "../logic/units.js";
import { numberButton } from "./number.js";

const HEADS = ["place", "loaded", "released", "band", "off", "back", "radius", "strain", "thickness", "split", "quick"];

/** @returns {{update({stations, contour, picked, options, nameOf, notes}): void}} */
export function mount(el, app, onPick) {
  stylesheet("forecast-table");
  const { say } = app;
  const table = h("table", { class: "forecast-table" });
  const unproven = h("ul", { class: "forecast-unproven quiet" });
  fill(el, h("div", { class: "forecast-table-room" }, table), unproven);

  function cell(path, value, unit, options, label) {
    return h("td", { class: "figure" }, value === null || value === undefined ? h("span", { class: "quiet" }, "-") : numberButton(app, { path, value, unit, options, label }));
  }
  function row(s, index, path, { contour, picked, options, nameOf }) {
    const verdict = verdictOf(s, toleranceOf(s, contour));
    const name = nameOf(s);
    const number = (key, unit, what) => cell(`${path}.${key}.value`, s[key]?.value, unit, options, `${name}, ${say(`forecast.head_${what}`)}`);
    const out = s.angle_released_deg;
    return h("tr", { class: index === picked ? "forecast-picked" : null, "data-weight": weight(verdict) },
      h("th", { scope: "row" }, h("button", { type: "button", class: "forecast-place", "aria-pressed": String(index === picked), onclick: () => onPick(index) }, s.hole ? say("forecast.hole", { name: s.hole }) : name.slice(s.edge.length).trim() || name),
        h("div", { class: "forecast-verdict" }, say(`forecast.verdict_${verdict.replaceAll("-", "_")}`), s.unverified ? h("abbr", { title: s.unverified, "aria-label": say("forecast.unverified") }, "†") : null)),
      number("angle_loaded_deg", "deg", "loaded"), number("angle_released_deg", "deg", "released"),
      h("td", { class: "figure" }, out ? say("forecast.from_to", { low: plain(out.low, 1), high: plain(out.high, 1) }) : "-"),
      h("td", {}, out ? offWords(s.off_drawing_deg) : "-"),
      number("springback_deg", "deg", "back"), number("formed_radius_mm", "mm", "radius"),
      cell(`${path}.edge_strain.value`, percentOf(s.edge_strain?.value), "%", options, `${name}, ${say("forecast.head_strain")}`),
      number("edge_thickness_mm", "mm", "thickness"),
      cell(`${path}.split_margin.value`, s.split_margin ? Math.round(100 * s.split_margin.value) : null, "%", options, `${name}, ${say("forecast.head_split")}`),
      number("closed_form_released_deg", "deg", "quick"));
  }
  function offWords(off) {
    if (Math.abs(off) < 0.05) return say("forecast.on_it");
    return say(off > 0 ? "forecast.off_closed" : "forecast.off_open", { deg: plain(Math.abs(off), 1) });
  }
  return {
    update(shown) {
      const { stations } = shown;
      el.hidden = stations.length === 0;
      const focused = document.activeElement?.closest?.(".forecast-place") && table.contains(document.activeElement) ? [...table.querySelectorAll(".forecast-place")].indexOf(document.activeElement) : -1;
      const paths = stationPaths(stations);
      fill(table, h("caption", {}, say("forecast.table_caption")), h("thead", {}, h("tr", {}, HEADS.map((k) => h("th", { scope: "col" }, say(`forecast.head_${k}`))))),
        byOwner(stations).map((g) => h("tbody", {}, g.owner.kind === "edge" ? h("tr", { class: "forecast-owner" }, h("th", { scope: "rowgroup", colspan: HEADS.length }, say("forecast.edge", { name: g.owner.name }))) : null,
          g.rows.map(({ s, index }) => row(s, index, paths[index], shown)))));
      fill(unproven, shown.notes.map((f) => h("li", {}, `† ${f.say}`)));
      if (focused >= 0) table.querySelectorAll(".forecast-place")[focused]?.focus();
    },
  };
}
