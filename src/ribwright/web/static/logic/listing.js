/** Everything of a part that can be picked, in groups, with what the list says of it. No DOM. */

/** @typedef {{path: string, name: string, about: string}} Item */

/**
 * @param {object} sketch @param {(key: string, values?: object) => string} say
 * @returns {{key: string, items: Item[]}[]}
 */
export function listed(sketch, say) {
  const groups = [];
  for (const loop of sketch.loops ?? []) {
    const items = loop.edges.map((edge, i) => ({
      path: edge.path, name: edge.name || say("part.edge_n", { n: i + 1 }),
      about: [say(`part.kind_${edge.kind}`), edge.flange ? say("part.with_flange", { name: edge.flange }) : say("part.no_flange")].join(", "),
    }));
    if (loop.path !== "web") items.unshift({ path: loop.path, name: loop.name || say("part.cutout"), about: say("part.cutout") });
    groups.push({ key: loop.path === "web" ? "outline" : `cutout ${loop.path}`, title: loop.path === "web" ? say("part.outline") : say("part.cutout_named", { name: loop.name ?? "" }), items });
  }
  const add = (key, title, items) => groups.push({ key, title, items });
  add("holes", say("part.holes"), (sketch.holes ?? []).map((h) => ({ path: h.path, name: h.name ?? h.path, about: h.kind ? say(`part.hole_${["lightening", "tooling", "plain"].includes(h.kind) ? h.kind : "plain"}`) : "" })));
  add("corners", say("part.corners"), (sketch.corners ?? []).map((c) => ({ path: c.path, name: (c.at ?? []).join(" / "), about: c.relief ?? "" })));
  add("rivets", say("part.rivets"), (sketch.rivets ?? []).map((r) => ({ path: r.path, name: r.edge ?? r.path, about: r.on ?? "" })));
  add("flanges", say("part.flanges"), (sketch.flanges ?? []).map((f) => ({ path: f.path, name: f.name, about: "" })));
  if (sketch.others?.length) add("others", say("part.others"), sketch.others.map((o) => ({ path: o.path, name: say(`part.${o.kind}_listed`, { name: o.edge ?? o.path.slice(o.kind.length + 1, -1) }), about: "" })));
  add("heads", say("part.heads"), ["part", "sheet", "web", "approval", "tolerance", "blank"].map((path) => ({ path, name: say(`part.head_${path}`), about: "" })));
  return groups;
}

/** A name that is not taken yet: "L3" after L1 and L2. */
export function freeName(stem, taken) {
  let i = 1;
  while (taken.includes(`${stem}${i}`)) i += 1;
  return `${stem}${i}`;
}

/** Meetings of neighbouring edges that have no corner of their own: [[a, b], ...]. */
export function openCorners(sketch) {
  const has = ([a, b]) => (sketch.corners ?? []).some((c) => Array.isArray(c.at) && c.at.includes(a) && c.at.includes(b));
  return (sketch.loops ?? []).flatMap((loop) => loop.edges.map((e, i) => [e.name, loop.edges[(i + 1) % loop.edges.length].name])).filter((pair) => pair[0] && pair[1] && pair[0] !== pair[1] && !has(pair));
}
