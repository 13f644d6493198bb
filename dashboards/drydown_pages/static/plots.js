// Draws a run with uPlot: methanol with its band against the limit, and the fuel's temperature below it.

import { say } from "./say.js";

const HEIGHTS = { methanol: 240, temperature: 170 }; // CSS px
const FONT = "16px system-ui, sans-serif";
const MARKS = [0.0001, 0.0002, 0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1]; // mass fractions
const STEPS = [60, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, ...[1, 2, 7, 14, 28].map((days) => days * 86400)]; // s

const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

function axes(hours, write, marks) {
  const plain = { stroke: colour("--soft"), font: FONT, ticks: { show: false } };
  const grid = { stroke: colour("--line"), width: 1 };
  return [
    { ...plain, size: 36, space: 70, incrs: STEPS, grid: { show: false }, values: (_, at) => at.map((one) => `${hours(one)} h`) },
    { ...plain, size: 70, grid, values: (_, at) => at.map((one) => (one === null ? "" : write(one))), ...marks },
  ];
}

function plot(place, height, data, y, series, more) {
  const quiet = { legend: { show: false }, cursor: { show: false }, padding: [10, 28, 0, 0] };
  const scales = { x: { time: false }, y };
  const size = { width: place.clientWidth, height };
  return new uPlot({ ...size, ...quiet, scales, series: [{}, ...series], ...more }, data, place);
}

function limitLine(limit, words) {
  return ({ ctx, bbox, valToPos }) => {
    const at = valToPos(limit, "y", true);
    const dot = devicePixelRatio;
    ctx.save();
    ctx.strokeStyle = ctx.fillStyle = colour("--ink");
    ctx.lineWidth = 2 * dot;
    ctx.setLineDash([8 * dot, 5 * dot]);
    ctx.beginPath();
    ctx.moveTo(bbox.left, at);
    ctx.lineTo(bbox.left + bbox.width, at);
    ctx.stroke();
    ctx.font = `600 ${16 * dot}px system-ui, sans-serif`;
    ctx.textAlign = "left";
    ctx.textBaseline = "top";
    ctx.fillText(words, bbox.left + 6 * dot, at + 6 * dot);
    ctx.restore();
  };
}

function methanol(place, data, limit, write) {
  const lowest = Math.min(...data[1], limit / 10);
  const highest = Math.max(...data[3], 2 * limit);
  const edge = { stroke: "transparent", width: 0, points: { show: false } };
  const middle = { stroke: colour("--fuel"), width: 3, points: { show: false } };
  const between = ({ scales: { y } }) => MARKS.filter((one) => one >= y.min && one <= y.max);
  const y = { distr: 3, range: [lowest * 0.8, highest * 1.2] };
  return plot(place, HEIGHTS.methanol, data, y, [edge, middle, edge], {
    axes: axes(write.hours, write.mark, { splits: between, filter: (_, at) => at }),
    bands: [{ series: [3, 1], fill: colour("--fuel-band") }],
    hooks: { draw: [limitLine(limit, say("limit {amount}", { amount: write.percent(limit) }))] },
  });
}

function temperature(place, data, write) {
  const fuel = { stroke: colour("--fuel"), width: 3, points: { show: false } };
  const y = { range: (_, low, high) => [Math.floor(low - 1), Math.ceil(high + 1)] };
  return plot(place, HEIGHTS.temperature, data, y, [fuel], {
    axes: axes(write.hours, write.degrees, { incrs: [1, 2, 5, 10, 20], space: 30 }),
  });
}

let plots = [];

// `write` writes numbers: hours, percent, mark (a percent on an axis), degrees.
export function draw(place, run, limit, write) {
  for (const old of plots) old.destroy();
  place.replaceChildren();
  const under = (text) => {
    place.append(Object.assign(document.createElement("h3"), { textContent: text }));
    return place;
  };
  plots = [
    methanol(under(say("Methanol in the fuel")), run.methanol, limit, write),
    temperature(under(say("Fuel temperature")), run.temperature, write),
  ];
}

export function fit(width) {
  for (const one of plots) one.setSize({ width, height: one.height });
}
