/** A part from a table or a drawing: what a person says of the file, as the options of its import. No DOM. */

export const TABLES = [".csv", ".tsv", ".txt"];
const ending = (name) => (/\.[a-z0-9]+$/i.exec(name)?.[0] ?? "").toLowerCase();
export const SOLIDS = [".step", ".stp"];
/** "table", "drawing", "solid", or "" for a file that nobody makes a part from. */
export const sourceKind = (name) => (TABLES.includes(ending(name)) ? "table" : ending(name) === ".dxf" ? "drawing" : SOLIDS.includes(ending(name)) ? "solid" : "");

/** A part's name from a file's: what the data folder does not take in a name becomes a dash. */
export const partName = (file) => file.slice(0, file.length - ending(file).length).normalize("NFC").replace(/[^\p{L}\p{N}\-_. ]+/gu, "-").replace(/^[. ]+|[. ]+$/g, "").slice(0, 80) || "part";

/** What is said of a file before anybody has said anything. */
export const firstForm = (file) => ({ number: partName(file), size: "", what: "", where: "", takes: {}, roles: {}, first: "", last: "", skin: "", curve: "", line: "", join: "", curves: false, as_drawn: false, thickness: "", face: "", tooling: "", fit: "" });

/** Lengths that a person may know; with `where` a place must be said, too. */
const DRAWN = [{ what: "width" }, { what: "height" }, { what: "outline" }, { what: "circle", where: true }, { what: "points", where: true }];
export const KNOWN = {
  table: [{ what: "chord" }, { what: "height" }, { what: "upper", where: true }, { what: "lower", where: true }],
  drawing: DRAWN,
  solid: DRAWN,
};
export const wantsWhere = (kind, what) => Boolean(KNOWN[kind]?.find((k) => k.what === what)?.where);

/** The known length as the import takes it, "" while it is not said whole. */
export function lengthText(kind, { size, what, where }) {
  const [long, place] = [size.trim(), where.trim()];
  if (!long || !what || (wantsWhere(kind, what) && !place)) return "";
  if (kind === "table") return wantsWhere(kind, what) ? `${long}=${what} at ${place}` : `${long}=${what}`;
  return `${long} = ${what === "circle" ? `circle ${place}` : what === "points" ? place : what}`;
}

/** Options of the import's job. What is empty is left out; only what this kind of file takes is said. */
export function optionsOf(name, form) {
  const kind = sourceKind(name);
  const options = { number: form.number.trim(), length: lengthText(kind, form) };
  if (kind === "table") {
    const { first, last, skin, curve } = form;
    const take = Object.entries(form.takes).filter(([, words]) => words !== "").map(([n, words]) => (words === "fits" ? n : `${n}=${words}`)).join("\n");
    Object.assign(options, { take, first, last, skin, curve });
  } else if (kind === "solid") {
    const { thickness, face, fit } = form;
    Object.assign(options, { thickness, face, fit, tooling: form.tooling.split(/[,;]/).map((words) => words.trim()).filter(Boolean).join("\n") });
  } else {
    const role = Object.entries(form.roles).filter(([, words]) => words.trim()).map(([layer, words]) => `${layer}=${words.trim()}`).join("\n");
    Object.assign(options, { role, line: form.line, join: form.join, curves: form.curves ? "yes" : "", as_drawn: form.as_drawn ? "yes" : "" });
  }
  return Object.fromEntries(Object.entries(options).map(([key, words]) => [key, words.trim()]).filter(([, words]) => words));
}

/** A role as typed, "flange skin", as {word, flange}, and back. */
export const roleOf = (typed) => ({ word: typed.split(" ")[0], flange: typed.split(" ").slice(1).join(" ") });
export const named = (word) => word === "flange" || word === "tangent";

/** What keeps a part from being made of an import, and whether one can be: {faults, findings, ready}. */
export function standing(imported) {
  const job = imported?.job;
  if (!job) return { faults: [], findings: [], ready: false };
  const result = job.state === "done" ? job.result : null;
  const faults = [...(job.faults ?? []), ...(result?.faults ?? [])];
  return { faults, findings: result?.findings ?? [], ready: Boolean(result?.text) && faults.length === 0 };
}

/** A pasted table as a file: its kind by the tabs in it, its unit in its head where one is chosen. */
export function pastedFile(words, units) {
  const head = units ? `# units = ${units}\n` : "";
  return { name: words.includes("\t") ? "pasted.tsv" : "pasted.csv", text: `${head}${words.replace(/^\s*\n/, "")}\n` };
}
