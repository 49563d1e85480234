/** Making elements. No text is ever read as HTML. */

/**
 * An element: `h("button", {class: "x", onclick: fn, "aria-label": "..."}, child, "text", [more])`.
 * Attributes that are functions become listeners; true is an empty attribute, false, null and undefined none; `style` takes an object.
 */
export const h = (tag, attributes, ...children) => filled(document.createElement(tag), attributes, children);

/** The same for SVG. */
export const s = (tag, attributes, ...children) =>
  filled(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);

function filled(el, attributes, children) {
  for (const [key, value] of Object.entries(attributes ?? {})) put(el, key, value);
  el.append(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return el;
}

/** Sets one attribute the way `h` does; only when it differs. */
export function put(el, key, value) {
  if (typeof value === "function") {
    el[key.toLowerCase()] = value;
  } else if (key === "style") {
    for (const [name, v] of Object.entries(value)) el.style.setProperty(name, v);
  } else if (value === false || value === null || value === undefined) {
    el.removeAttribute(key);
  } else if (key === "value" && el.localName !== "option") {
    if (el.value !== String(value)) el.value = String(value);
  } else if (el.getAttribute(key) !== (value === true ? "" : String(value))) {
    el.setAttribute(key, value === true ? "" : String(value));
  }
}

/** Replaces all children. */
export function fill(el, ...children) {
  el.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false));
  return el;
}

/**
 * Keeps a list of children in step with `items`: one child a key, made once, updated after, in the items' order.
 * Focus stays where it is.
 */
export function keepList(el, items, keyOf, make, update) {
  const have = el.keptList ?? new Map();
  const next = new Map();
  let place = el.firstChild;
  for (const item of items) {
    const key = keyOf(item);
    const child = have.get(key) ?? make(item);
    have.delete(key);
    next.set(key, child);
    update?.(child, item);
    if (child === place) place = place.nextSibling;
    else el.insertBefore(child, place);
  }
  for (const gone of have.values()) gone.remove();
  el.keptList = next;
}

/** Text only when it differs, so that a screen reader is not told twice. */
export function text(el, words) {
  if (el.textContent !== words) el.textContent = words;
}

/** Loads a stylesheet once; resolves when it is there. */
export function stylesheet(name) {
  const href = new URL(`styles/${name}.css`, import.meta.url).href;
  const have = [...document.styleSheets].some((sheet) => sheet.href === href) || document.querySelector(`link[data-name="${name}"]`);
  if (have) return Promise.resolve();
  return new Promise((done) => {
    document.head.append(h("link", { rel: "stylesheet", href, "data-name": name, onload: done, onerror: done }));
  });
}
