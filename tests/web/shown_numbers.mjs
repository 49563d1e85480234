// Paths of all numbers that the tables of the page show of an answer (JSON on standard input), one a line.
import { readFileSync } from "node:fs";
import * as rows from "../../src/ribwright/web/static/logic/rows.js";
import { say } from "../../src/ribwright/web/static/words.js";

const answer = JSON.parse(readFileSync(0, "utf8"));
const setup = rows.setup(answer, say);
const tables = [
  ...(setup ? [setup.pressure, setup.place] : []),
  ...["edges", "holes", "corners", "blankSizes", "undercut", "recesses", "pins", "blockBody", "closing", "margins"].map((name) => rows[name](answer, say)),
];
for (const cell of tables.flatMap((t) => t.rows.flatMap((row) => row.cells.flat(2)))) if (cell?.path) console.log(cell.path);
