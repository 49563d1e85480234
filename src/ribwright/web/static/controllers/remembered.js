/** Small choices this browser remembers. Without storage nothing is remembered and nothing breaks. */

const kept = (key) => {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
};
const keep = (key, value) => {
  try {
    localStorage.setItem(key, value);
  } catch {
    // a browser without storage
  }
};

export const remembered = {
  units: () => kept("ribwright.units"),
  keepUnits: (units) => keep("ribwright.units", units),
  press: (shop) => kept(`ribwright.press.${shop}`),
  keepPress: (shop, press) => keep(`ribwright.press.${shop}`, press),
};
