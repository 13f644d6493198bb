// Draws one panel with uPlot: bands and lines against limits, no legend of its own.

import { marked } from "../liking.js";
import { drawn } from "./data.js";
import { local, tick } from "./numbers.js";

export const LEFT = 56; // CSS px before the axis of time begins, in every panel and in the rows
export const RIGHT = 14;
const HEIGHT = { tall: 220, low: 150 };
const STEPS = [60, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, ...[1, 2, 7, 14, 28].map((days) => days * 86400)]; // s
const FONT = "15px system-ui, sans-serif";
const LETTER = 8.5; // CSS px of it, about

const COLOURS = ["--soft", "--line", "--ink", "--card", "--fuel", "--fuel-band", "--air", "--air-band"];
let colours = {};

// Reads the colours of the page as it looks now: once, since each look at them may have the page laid out anew.
export function mixColours() {
  const style = getComputedStyle(document.documentElement);
  colours = Object.fromEntries(COLOURS.map((name) => [name, style.getPropertyValue(name).trim()]));
}

const colour = (name) => colours[name];

function splitsOfTime(_plot, _axis, min, max, step) {
  const first = Math.ceil(local(min) / step) * step - (local(min) - min);
  return Array.from({ length: Math.max(0, Math.floor((max - first) / step) + 1) }, (_, i) => first + i * step);
}

// Those that have room to stand below their moments: the last may be too close to the edge.
const ticks = (plot, at) => at.map(tick).map((said, i) => (plot.valToPos(at[i], "x") + (said.length * LETTER) / 2 < plot.bbox.width / devicePixelRatio + RIGHT ? said : ""));

function axes(panel) {
  const plain = { stroke: colour("--soft"), font: FONT, ticks: { show: false } };
  const grid = { stroke: colour("--line"), width: 1 };
  const time = { size: 30, space: 64, incrs: STEPS, splits: splitsOfTime, grid, values: ticks };
  const plainly = (value) => (value === null ? "" : marked(String(Number(value.toPrecision(6)))));
  const value = { size: LEFT, space: 28, grid, values: (_, at) => at.map(plainly) };
  const decades = panel.log && { splits: ({ scales: { y } }) => marks(y.min, y.max), filter: (_, at) => at };
  return [{ ...plain, ...time }, { ...plain, ...value, ...decades }];
}

// 1, 2, 5, 10, 20 … or only tens, where those would crowd.
function marks(low, high) {
  const factors = high / low > 300 ? [1] : [1, 2, 5];
  const found = [];
  for (let power = Math.floor(Math.log10(low)); power <= Math.log10(high); power += 1) {
    found.push(...factors.map((one) => Number((one * 10 ** power).toPrecision(1))).filter((one) => one >= low && one <= high));
  }
  return found;
}

function limitLines(panel, limits) {
  return ({ ctx, bbox, valToPos, scales: { y } }) => {
    const dot = devicePixelRatio;
    ctx.save();
    ctx.strokeStyle = ctx.fillStyle = colour("--ink");
    ctx.lineWidth = 1.75 * dot;
    ctx.setLineDash([8 * dot, 5 * dot]);
    ctx.font = `600 ${14 * dot}px system-ui, sans-serif`;
    ctx.textAlign = "right";
    ctx.textBaseline = "bottom";
    for (const [limit, name] of panel.limits(limits)) {
      const value = panel.to(limit);
      if (value < y.min || value > y.max) continue;
      const at = valToPos(value, "y", true);
      ctx.beginPath();
      ctx.moveTo(bbox.left, at);
      ctx.lineTo(bbox.left + bbox.width, at);
      ctx.stroke();
      const words = `${name} ${panel.write(limit)}`;
      const right = bbox.left + bbox.width - 4 * dot;
      ctx.save();
      ctx.setLineDash([]);
      ctx.strokeStyle = colour("--card");
      ctx.lineWidth = 4 * dot;
      ctx.lineJoin = "round";
      ctx.strokeText(words, right, at - 3 * dot);
      ctx.restore();
      ctx.fillText(words, right, at - 3 * dot);
    }
    ctx.restore();
  };
}

// Tests of the fuel as dots, with a whisker of two standard errors either way.
function testDots(panel, tests) {
  return ({ ctx, bbox, valToPos, scales: { x, y } }) => {
    const dot = devicePixelRatio;
    ctx.save();
    ctx.fillStyle = ctx.strokeStyle = colour("--ink");
    ctx.lineWidth = 2 * dot;
    for (const { time, value, sigma } of tests.filter((one) => one.quantity === panel.id)) {
      if (time < x.min || time > x.max) continue;
      const at = valToPos(time, "x", true);
      const place = (share) => valToPos(Math.min(Math.max(panel.to(share), y.min), y.max), "y", true);
      ctx.beginPath();
      ctx.moveTo(at, place(value - 2 * sigma));
      ctx.lineTo(at, place(value + 2 * sigma));
      ctx.stroke();
      ctx.beginPath();
      ctx.arc(at, place(value), 5 * dot, 0, 2 * Math.PI);
      ctx.fill();
    }
    ctx.restore();
  };
}

function seriesOf({ pen, band }) {
  const quiet = { points: { show: false } };
  const middle = { ...quiet, stroke: colour(pen.colour), width: pen.width, dash: pen.dash };
  const edge = { ...quiet, stroke: "transparent", width: 0 };
  return band ? [middle, edge, edge] : [middle];
}

function bandsOf(lines) {
  const found = [];
  let at = 1;
  for (const one of lines) {
    if (one.band) found.push({ series: [at + 2, at + 1], fill: colour(one.pen.colour === "--fuel" ? "--fuel-band" : "--air-band") });
    at += one.band ? 3 : 1;
  }
  return found;
}

function tables(panel, lines, series) {
  const to = panel.log ? (value) => panel.to(Math.max(value, panel.log.least)) : panel.to;
  return lines.flatMap(({ series: name, band }) =>
    (band ? ["", "/low", "/high"] : [""]).map((end) => drawn(series[name + end] ?? series[name], to)),
  );
}

// The lowest and the highest value that the panel's scale has to show.
function reach(panel, lines, series, limits) {
  const values = (name) => series[name]?.value ?? [];
  const all = lines.flatMap(({ series: name, band }) => (band ? ["/low", "/high"] : [""]).flatMap((end) => values(name + end)));
  const middles = lines.flatMap(({ series: name }) => values(name));
  const [limit] = panel.limits(limits).map(([one]) => one);
  const least = (found, from) => found.reduce((a, b) => Math.min(a, b), from);
  const most = (found, from) => found.reduce((a, b) => Math.max(a, b), from);
  if (panel.log) {
    const low = Math.max(panel.log.least, least(all, limit / 10) * 0.9);
    return [panel.to(low), panel.to(Math.min(panel.log.most, most(all, 2 * limit) * 1.2))];
  }
  let high = most(all, -Infinity);
  if (panel.crop) high = Math.max(Math.min(high, 2 * most(middles, 0)), 1.5 * limit);
  const low = panel.from ?? least(all, Infinity);
  const spare = Math.max(0, (panel.least ?? 0) - (high - low)) / 2 + (high - low) * 0.05;
  return [panel.to(panel.from ?? low - spare), panel.to(high + spare)];
}

// A panel whose series were recorded; null where none was.
export function plot(place, panel, series, { limits, tests }, span, width) {
  const lines = panel.lines.filter((one) => series[one.series]?.time.length);
  if (!lines.length) return null;
  const data = uPlot.join(tables(panel, lines, series));
  const options = {
    width,
    height: panel.tall ? HEIGHT.tall : HEIGHT.low,
    padding: [8, RIGHT, 0, 0],
    legend: { show: false },
    cursor: { show: false },
    scales: {
      x: { time: false, auto: false, min: span[0], max: span[1] },
      y: { distr: panel.log ? 3 : 1, auto: false, range: reach(panel, lines, series, limits) },
    },
    series: [{}, ...lines.flatMap(seriesOf)],
    bands: bandsOf(lines),
    axes: axes(panel),
    hooks: { draw: [limitLines(panel, limits), testDots(panel, tests)] },
  };
  return new uPlot(options, data, place);
}

export const dataOf = (panel, series) =>
  uPlot.join(tables(panel, panel.lines.filter((one) => series[one.series]?.time.length), series));
