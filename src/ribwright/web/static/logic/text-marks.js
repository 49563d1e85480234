/** The part file's text: where its tables and keys stand, what changed in it. A reader for the eye only; the server's is the strict one. No DOM. */

const HEAD = /^\s*\[(\[)?\s*([^\]]+?)\s*\]/;
const unquoted = (name) => name.split(/\.(?=(?:[^"']|"[^"]*"|'[^']*')*$)/).map((part) => part.trim().replace(/^(["'])(.*)\1$/, "$2")).join(".");

/**
 * The line (from 1) of a key path's nearest table or key: the key's own line where it stands on one, else its table's head, else 0.
 * @param {string} text @param {string} path like `web.edge[2].to`, `flange.lower skin`, `hole[3]`
 */
export function lineOf(text, path) {
  let best = 0;
  let table = "";
  const count = {};
  const lines = text.split("\n");
  for (let i = 0; i < lines.length; i += 1) {
    const head = HEAD.exec(lines[i]);
    if (head) {
      const name = unquoted(head[2]);
      if (head[1]) {
        count[name] = (count[name] ?? 0) + 1;
        table = `${name}[${count[name]}]`;
      } else table = name;
      if (path === table || path.startsWith(`${table}.`)) best = i + 1;
      continue;
    }
    const key = /^\s*("[^"]*"|'[^']*'|[\w-]+)\s*=/.exec(lines[i]);
    if (!key) continue;
    const full = table ? `${table}.${unquoted(key[1])}` : unquoted(key[1]);
    if (path === full || path.startsWith(`${full}[`) || path.startsWith(`${full}.`)) return i + 1;
  }
  return best;
}

/** Marks by line: Map line -> marks. A mark without a line of its own is looked for by its key. */
export function byLine(text, marks) {
  const out = new Map();
  for (const mark of marks) {
    const line = mark.line ?? (mark.key ? lineOf(text, mark.key) : 0);
    if (!line) continue;
    if (!out.has(line)) out.set(line, []);
    out.get(line).push(mark);
  }
  return out;
}

/** Where a caret belongs in a text that changed elsewhere: before the change it stays, behind it it moves along. */
export function caretAfter(before, after, caret) {
  let same = 0;
  const most = Math.min(before.length, after.length);
  while (same < most && before[same] === after[same]) same += 1;
  if (caret <= same) return caret;
  let tail = 0;
  while (tail < most - same && before[before.length - 1 - tail] === after[after.length - 1 - tail]) tail += 1;
  return Math.max(same, Math.min(after.length, caret + after.length - before.length));
}

/** The offset where a line (from 1) begins. */
export function offsetOf(text, line) {
  let at = 0;
  for (let i = 1; i < line; i += 1) {
    const next = text.indexOf("\n", at);
    if (next < 0) return at;
    at = next + 1;
  }
  return at;
}
