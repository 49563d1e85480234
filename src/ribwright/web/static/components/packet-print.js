/** Prints a PDF of the server: loaded into a frame of the page that is not seen, from there to the printer. */
import { h } from "../dom.js";

let frame = null;

/** Resolves true when the browser's print window was asked for; false where this browser will not print from a frame. */
export async function printPdf(url) {
  const answer = await fetch(url, { credentials: "same-origin" });
  if (!answer.ok) return false;
  const at = URL.createObjectURL(new Blob([await answer.arrayBuffer()], { type: "application/pdf" }));
  frame?.remove();
  frame = h("iframe", { class: "print-frame", title: "print", "aria-hidden": "true", tabindex: -1 });
  const ready = new Promise((done) => frame.addEventListener("load", done, { once: true }));
  frame.src = at;
  document.body.append(frame);
  await ready;
  try {
    frame.contentWindow.focus();
    frame.contentWindow.print();
    return true;
  } catch {
    return false;
  }
}
