/** Keys that change a number, sorted for reading, and the fields of the part they belong to. Pure. */

/**
 * Keys grouped by file and by what they belong to: [{file, rows: [{holder, keys: [{last, key}]}]}].
 * "hole[L1].at" and "hole[L1].diameter" stand in one row "hole[L1]".
 */
export function grouped(changes) {
  const files = new Map();
  for (const { file, key } of changes) {
    const rows = files.get(file) ?? new Map();
    files.set(file, rows);
    const { holder, last } = parted(key);
    const row = rows.get(holder) ?? [];
    rows.set(holder, row);
    if (!row.some((k) => k.key === key)) row.push({ last, key });
  }
  return [...files].map(([file, rows]) => ({ file, rows: [...rows].map(([holder, keys]) => ({ holder, keys })) }));
}

/** "flange.skin.width" -> holder "flange.skin", last "width"; names in brackets and quotes may hold dots. */
function parted(key) {
  let depth = 0;
  let quoted = false;
  let cut = -1;
  for (let i = 0; i < key.length; i++) {
    if (key[i] === '"') quoted = !quoted;
    else if (key[i] === "[" && !quoted) depth++;
    else if (key[i] === "]" && !quoted) depth--;
    else if (key[i] === "." && depth === 0 && !quoted) cut = i;
  }
  return cut < 0 ? { holder: "", last: key } : { holder: key.slice(0, cut), last: key.slice(cut + 1) };
}

/**
 * The path of a key of the part file as the Part sheet knows it: things called by name become counted ones,
 * "hole[L1].at" -> "hole[3].at". A name the sketch does not know is left as it is.
 */
export function fieldPath(key, sketch) {
  const hit = /^(hole|web\.edge|cutout)\[([^\]]*)\](.*)$/.exec(key);
  if (!hit) return key;
  const [, table, name, rest] = hit;
  const known = table === "hole" ? (sketch?.holes ?? []) : table === "cutout" ? (sketch?.loops ?? []) : (sketch?.loops ?? []).flatMap((l) => l.edges);
  const found = known.find((x) => x.name === name);
  return found ? found.path + rest : key;
}
