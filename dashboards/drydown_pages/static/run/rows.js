// The rows above the charts: stage, blower, vent, verdict as boxes with their words; below them what happened.

import { say } from "../say.js";

const SVG = "http://www.w3.org/2000/svg";
const HEIGHT = 26;
const SIGN = 18; // px that a sign takes
const LETTER = 7.6; // px of a letter, about

function node(kind, attributes, text) {
  const made = document.createElementNS(SVG, kind);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  if (text) made.textContent = text;
  return made;
}

function hatchings() {
  const defs = node("defs", {});
  const hatch = (id, turn, inner) => {
    const made = node("pattern", { id, width: 8, height: 8, patternUnits: "userSpaceOnUse", patternTransform: `rotate(${turn})` });
    made.append(node("rect", { width: 8, height: 8, class: "ground" }), inner);
    defs.append(made);
  };
  hatch("slanted", 45, node("path", { d: "M0 0V8", class: "amber" }));
  hatch("upright", 0, node("path", { d: "M0 0V8", class: "ink" }));
  hatch("dotted", 0, node("circle", { cx: 4, cy: 4, r: 1.8, class: "blue" }));
  return defs;
}

function boxes(row, at, width) {
  const svg = node("svg", { height: HEIGHT, width, "aria-hidden": "true" });
  for (const { start, end, what, said } of row.stretches) {
    const [left, right] = [Math.max(at(start), -2), Math.min(at(end), width + 2)];
    if (right <= 0 || left >= width) continue;
    svg.append(node("rect", { x: left, y: 1, width: Math.max(right - left, 1.5), height: HEIGHT - 2, class: `held ${what}` }));
    const middle = (Math.max(left, 0) + Math.min(right, width)) / 2;
    const fits = said.length * LETTER < right - left - 4;
    if (fits) svg.append(node("text", { x: middle, y: HEIGHT / 2 + 5, class: `said ${what}` }, said));
  }
  return svg;
}

function signs(marks, at, width) {
  const shown = marks.filter((one) => one.kind !== "stage" && at(one.time) >= -1 && at(one.time) <= width + 1);
  const free = [];
  const lanes = shown.map((one) => {
    const lane = free.findIndex((edge) => edge <= at(one.time) - SIGN / 2);
    const found = lane < 0 ? free.length : lane;
    free[found] = Math.max(at(one.end), at(one.time) + SIGN / 2);
    return found;
  });
  const svg = node("svg", { height: Math.max(free.length, 1) * 22, width, "aria-hidden": "true" });
  shown.forEach((one, i) => {
    const [x, y] = [at(one.time), lanes[i] * 22];
    const kind = `mark ${one.kind.replace(" ", "-")}`;
    if (one.end > one.time) svg.append(node("rect", { x, y: y + 17, width: Math.max(at(one.end) - x, 2), height: 3, class: kind }));
    const sign = node("text", { x, y: y + 15, class: kind }, one.sign);
    sign.append(node("title", {}, `${one.at} ${one.said}`));
    svg.append(sign);
  });
  return svg;
}

// `at` gives the place of a time in px from the axis's left end.
export function drawRows(place, { rows, marks }, at, width) {
  const named = (name, svg) => {
    const label = Object.assign(document.createElement("span"), { className: "row-name", textContent: name });
    const row = Object.assign(document.createElement("div"), { className: "row" });
    row.append(label, svg);
    return row;
  };
  const all = rows.map((row) => named(row.name, boxes(row, at, width)));
  if (marks.some((one) => one.kind !== "stage")) all.push(named(say("Events"), signs(marks, at, width)));
  const patterns = node("svg", { width: 0, height: 0, class: "patterns", "aria-hidden": "true" });
  patterns.append(hatchings());
  place.replaceChildren(patterns, ...all);
}
