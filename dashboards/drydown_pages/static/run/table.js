// The charts as a table, for those who cannot see them or want a number: a line every few minutes of what is shown.

import { say } from "../say.js";
import { valueAt } from "./data.js";
import { moment, ranged } from "./numbers.js";

const ROWS = 20;
const STEPS = [60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, 86400, 2 * 86400, 7 * 86400]; // s

const cell = (kind, text, scope) => {
  const made = Object.assign(document.createElement(kind), { textContent: text });
  if (scope) made.scope = scope;
  return made;
};

export const heldAt = (row, time) => row.stretches.find((one) => one.start <= time && time < one.end)?.said ?? "—";

export function valueInWords(panel, one, series, time) {
  const ends = one.band ? ["", "/low", "/high"] : [""];
  const [middle, low = null, high = null] = ends.map((end) => valueAt(series[one.series + end], time));
  return ranged(panel.write, middle, low, high);
}

export function fillTable(table, panels, series, rows, [from, to]) {
  const step = STEPS.find((one) => (to - from) / one <= ROWS) ?? STEPS.at(-1);
  const times = [];
  for (let time = Math.ceil(from / step) * step; time <= to; time += step) times.push(time);
  if (!times.length) times.push(from);
  const columns = panels.flatMap((panel) => panel.lines.filter((one) => series[one.series]).map((one) => [panel, one]));
  const name = ([panel, one]) => (panel.lines.length > 1 ? `${panel.title}: ${one.name}` : panel.title);
  const head = document.createElement("tr");
  head.append(...[say("Time"), ...rows.map((row) => row.name), ...columns.map(name)].map((text) => cell("th", text, "col")));
  const body = times.map((time) => {
    const line = document.createElement("tr");
    line.append(cell("th", moment(time), "row"));
    line.append(...rows.map((row) => cell("td", heldAt(row, time))));
    line.append(...columns.map(([panel, one]) => cell("td", valueInWords(panel, one, series, time))));
    return line;
  });
  const every = step < 3600 ? `${step / 60} min` : `${step / 3600} h`;
  const span = { from: moment(from), to: moment(to), step: every };
  const caption = cell("caption", say("{from} to {to}, a line every {step}", span));
  const [top, rest] = ["thead", "tbody"].map((kind) => document.createElement(kind));
  top.append(head);
  rest.append(...body);
  table.replaceChildren(caption, top, rest);
}
