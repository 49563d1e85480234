/** What the start screen decides by itself: names, kinds of files, the body of a new part. No DOM. */

/** Letters, digits, `-_.` and blanks, 1 to 80, not beginning with a dot: what the data folder takes as a name. */
export const goodName = (name) => /^[\p{L}\p{N}\-_ ][\p{L}\p{N}\-_. ]{0,79}$/u.test(name) && name.trim() === name;

/** "part", "shop", "ordinates", or "" for a file that does not belong in a shop. */
export function fileKind(name) {
  if (name === "shop.toml") return "shop";
  if (name.endsWith(".part.toml") && name.length > 10) return "part";
  return name.endsWith(".csv") && name.length > 4 ? "ordinates" : "";
}

/** A text as TOML writes it. */
const quoted = (words) => JSON.stringify(words.replace(/\p{Cc}/gu, " "));
const isNumber = (words) => /^[+-]?(0|[1-9]\d*)(\.\d+)?$/.test(words);

/** The text of a new part file: what the title block says, no outline yet. A thickness keeps its digits; what is empty is left out. */
export function starterText(typed) {
  const rows = (pairs) => pairs.filter(([, words]) => words).map(([key, words]) => `${key} = ${key === "thickness" && isNumber(words) ? words : quoted(words)}`);
  const { units, number, revision, title, hand, material, formed_in, final, thickness } = typed;
  return [
    `units = ${quoted(units)}`, "",
    "[part]", ...rows([["number", number], ["revision", revision], ["title", title], ["hand", hand]]), "",
    "[sheet]", ...rows([["material", material], ["formed_in", formed_in], ["final", final], ["thickness", thickness]]), "",
    "[web]", 'line = "outside-mold-line"', "start = [0.0, 0.0]", "",
  ].join("\n");
}

/** The body that asks for a new part; its file has the part's number as name. */
export const partBody = (typed) => ({ name: typed.number, text: starterText(typed) });
