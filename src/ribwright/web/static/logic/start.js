/** What the start screen decides by itself: names, kinds of files, the body of a new part. No DOM. */

/** Letters, digits, `-_.` and blanks, 1 to 80, not beginning with a dot: what the data folder takes as a name. */
export const goodName = (name) => /^[\p{L}\p{N}\-_ ][\p{L}\p{N}\-_. ]{0,79}$/u.test(name) && name.trim() === name;

/** "part", "shop", "ordinates", or "" for a file that does not belong in a shop. */
export function fileKind(name) {
  if (name === "shop.toml") return "shop";
  if (name.endsWith(".part.toml") && name.length > 10) return "part";
  return name.endsWith(".csv") && name.length > 4 ? "ordinates" : "";
}

/** The body that asks for a new part: its name is its number; what was left empty is left out. */
export const partBody = (typed) => ({ name: typed.number, ...Object.fromEntries(Object.entries(typed).filter(([, words]) => words !== "")) });
