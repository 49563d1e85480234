/** Values that vary along an edge as rows a person types: [place, value]. No DOM. */

import { typedValue } from "./placing.js";

/** Rows as they are shown of a sketch's stations [[measure, at, value], ...]; lengths in the file's unit. */
export function rowsOf(stations, show) {
  return stations.map(([measure, at, value]) => [measure === "fraction" ? (at === 0 ? "start" : at === 1 ? "end" : `${Number((at * 100).toFixed(4))} %`) : show(at, true), show(value, false)]);
}

/** The value of the op of rows typed. */
export const rowsValue = (rows) => rows.map(([at, value]) => [typedValue(at), typedValue(value)]);
