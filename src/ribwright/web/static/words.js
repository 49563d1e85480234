/**
 * Every word of the page, ready for translation: one section a screen. {name} is filled in by `say`.
 * Sentences that the calculation makes (findings, faults, explanations) come from the server as they stand.
 */
export const WORDS = {
  frame: {
    name: "ribwright",
    skip: "To the content",
    sheets: "Sheets of this part",
    start: "Parts",
    part: "Part",
    blank: "Blank and block",
    forecast: "Forecast",
    packet: "Packet",
    units: "Unit first",
    inch: "inch",
    mm: "mm",
    saved: "saved",
    draft: "draft, not yet in the part file",
    save: "Save to the part file",
    undo: "Undo",
    redo: "Redo",
    revision: "rev {revision}",
    faults: "{n} faults",
    fault: "1 fault",
    no_faults: "reads without fault",
    working: "Working",
    cancel: "Stop",
    not_compared: "Computed. Not compared with a real formed part. Never calls a part airworthy; never drives a press.",
    close: "Close",
    lost: "The server on this machine does not answer. Start it again: ribwright serve. What you entered last is kept as a draft.",
    token: "This page is open to the network. Its token, as printed where the server was started:",
    enter: "Enter",
    press: "Press",
    no_press: "no press named",
    stale: "The draft has changed since: this answer is of the part as it was.",
    stops: "This job is stopped: {say}",
  },
  start: {
    taken: "{name} taken in.",
  },
  part: {},
  blank: {},
  forecast: {},
  packet: {},
  number: {},
};

/** `say("frame.faults", {n: 3})` -> "3 faults". A key that is not there is a bug of ours and says so. */
export function say(key, values = {}) {
  const words = key.split(".").reduce((at, name) => at?.[name], WORDS);
  if (typeof words !== "string") throw new Error(`no words for ${key}`);
  return words.replace(/\{(\w+)\}/g, (_, name) => {
    if (!(name in values)) throw new Error(`${key} wants ${name}`);
    return String(values[name]);
  });
}
