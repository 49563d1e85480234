/** The page's address: `#/SHOP/PART/SCREEN`, so that a reload and the browser's back button find the same sheet again. */

export const SCREENS = ["part", "blank", "forecast", "packet"];

/** @returns {{shop: string, part: string, screen: string}} */
export function read(hash) {
  const [shop = "", part = "", screen = "part"] = hash.replace(/^#\/?/, "").split("/").map(decoded);
  if (!shop || !part) return { shop, part: "", screen: "start" };
  return { shop, part, screen: SCREENS.includes(screen) ? screen : "part" };
}

export const write = ({ shop, part, screen }) =>
  part ? `#/${[shop, part, screen].map(encodeURIComponent).join("/")}` : "#/";

function decoded(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return "";
  }
}
