/** The documents of a packet, from the names of a job's files: what stands where in the list, what is printed how. No DOM. */

/** Sheets that are cut, marked or drilled from: they are good at 1:1 alone. */
export const ONE_TO_ONE = new Set(["blank-template", "check-template", "block-template", "drill-template", "router-template", "bevel-cards"]);
const ORDER = [
  "job-card", "set-up-card", "findings", "route-sheet", "block-drawing", "hand-finishing", "inspection-sheet", "cut-list",
  "blank-template", "check-template", "block-template", "drill-template", "router-template", "bevel-cards",
];

/**
 * @param {{name: string, bytes: number}[]} files of the job
 * @returns {{name, file, bytes, kind: "pdf"|"dxf"|"step"|"json"|"other", preview: string|null, oneToOne: boolean}[]} sheets first, in the order of the bench
 */
export function documentsOf(files) {
  const previews = new Set(files.filter((f) => f.name.startsWith("preview/")).map((f) => f.name));
  const place = (name) => (ORDER.includes(name) ? ORDER.indexOf(name) : ORDER.length);
  return files
    .filter((f) => !f.name.startsWith("preview/") && !f.name.endsWith(".zip"))
    .map((f) => {
      const dot = f.name.lastIndexOf(".");
      const name = dot > 0 ? f.name.slice(0, dot) : f.name;
      const end = dot > 0 ? f.name.slice(dot + 1) : "";
      const kind = ["pdf", "dxf", "step", "json"].includes(end) ? end : "other";
      const preview = kind === "pdf" && previews.has(`preview/${name}.svg`) ? `preview/${name}.svg` : null;
      return { name, file: f.name, bytes: f.bytes, kind, preview, oneToOne: kind === "pdf" && ONE_TO_ONE.has(name) };
    })
    .sort((a, b) => (a.kind === "pdf" ? 0 : 1) - (b.kind === "pdf" ? 0 : 1) || place(a.name) - place(b.name) || a.file.localeCompare(b.file));
}

/** The zip of all of them, where the server made one. */
export const zipOf = (files) => files.find((f) => f.name.endsWith(".zip"))?.name ?? null;

/** "job-card" -> "Job card". */
export const titleOf = (name) => name.charAt(0).toUpperCase() + name.slice(1).replace(/-(?!up\b)/g, " ");

/** "84 kB", "1.2 MB". */
export function sizeOf(bytes) {
  if (bytes < 1000) return `${bytes} B`;
  return bytes < 1e6 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}
