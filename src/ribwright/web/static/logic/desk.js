/** What the hand on the Part screen is doing. A small store of that screen alone; the part itself is the draft. No DOM. */

/**
 * tool.kind "pick" | "place" {path} | "place-loop" {path} | "new-hole" {hole} | "new-corner" | "new-bead" {from} | "along" {path} | "split" {path} | "insert" {path} | "pen"
 * moves     {path: [x, y]} in mm: points in the hand, drawn there though the draft does not know yet
 * pen       the outline being drawn (logic/pen.js), or null
 */
export const PICK = Object.freeze({ kind: "pick" });
export const FIRST_DESK = Object.freeze({ tool: PICK, moves: Object.freeze({}), pen: null });
