// Lays runs over each other by the time since bubbling began. The page has it all in tables, without this.

import { degrees, marked } from "./liking.js";
import { say } from "./say.js";

const place = document.querySelector("[data-over]");
const { runs, limits } = JSON.parse(document.querySelector("[data-runs]").textContent);

const FONT = "16px system-ui, sans-serif";
const STEPS = [300, 600, 900, 1800, 3600, 7200, 14400, 28800, 86400]; // s
const DASHES = [[], [9, 5], [3, 4], [14, 4, 3, 4], [6, 3], [2, 7]]; // as on the legend: runs differ by more than colour
const LETTER_ROOM = 22; // px to the right of the curves
const FLOOR = 0.00005; // mass fraction as what less than that is drawn
const MARKS = { methanol: [1e-4, 3e-4, 1e-3, 3e-3, 1e-2, 3e-2, 1e-1] };

const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
const percent = (share) => marked(`${Number((share * 100).toPrecision(2))} %`);
const milligrams = (share) => `${Math.round(share * 1e6)}`;
const hours = (seconds) => {
  const minutes = Math.round(seconds / 60);
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
};

const CHARTS = [
  {
    title: say("Methanol in the fuel, logarithmic"),
    name: "estimate/methanol",
    write: percent,
    limit: limits.methanol,
    height: 260,
    value: (one) => Math.max(one, FLOOR),
    y: { distr: 3 },
    axis: { splits: ({ scales: { y } }) => MARKS.methanol.filter((one) => one >= y.min && one <= y.max), filter: (_, at) => at },
  },
  { title: say("Water in the fuel, mg/kg"), name: "estimate/water", write: milligrams, limit: limits.water, height: 200, y: {} },
  { title: say("Fuel temperature"), name: "fuel/temperature", write: degrees, height: 200, y: {} },
];

// One column of times for all runs, and each run's values at them; undefined where that run has none.
function columns({ name, value = (one) => one }) {
  const tables = runs.map(({ courses }) => [courses[name].time, courses[name].value.map(value)]);
  return tables.some(([times]) => times.length) ? uPlot.join(tables) : null;
}

function letters(ends) {
  return ({ ctx, valToPos }) => {
    const dot = devicePixelRatio;
    ctx.save();
    ctx.font = `700 ${15 * dot}px system-ui, sans-serif`;
    ctx.textAlign = "left";
    ctx.textBaseline = "middle";
    ctx.fillStyle = colour("--ink");
    let free = -Infinity;
    const placed = ends.map(([letter, x, y]) => [letter, valToPos(x, "x", true), valToPos(y, "y", true)]);
    for (const [letter, x, y] of placed.sort((a, b) => a[2] - b[2])) {
      free = Math.max(y, free + 15 * dot);
      ctx.fillText(letter, x + 5 * dot, free);
    }
    ctx.restore();
  };
}

function limitLine(limit) {
  return ({ ctx, bbox, valToPos }) => {
    const at = valToPos(limit, "y", true);
    const dot = devicePixelRatio;
    if (at < bbox.top || at > bbox.top + bbox.height) return;
    ctx.save();
    ctx.strokeStyle = ctx.fillStyle = colour("--ink");
    ctx.lineWidth = dot;
    ctx.setLineDash([8 * dot, 5 * dot]);
    ctx.beginPath();
    ctx.moveTo(bbox.left, at);
    ctx.lineTo(bbox.left + bbox.width, at);
    ctx.stroke();
    ctx.font = `600 ${15 * dot}px system-ui, sans-serif`;
    ctx.textAlign = "right";
    ctx.textBaseline = "bottom";
    ctx.fillText(say("limit"), bbox.left + bbox.width - 6 * dot, at - 3 * dot);
    ctx.restore();
  };
}

function chart({ title, name, write, limit, height, y, axis = {}, value }) {
  const data = columns({ name, value });
  if (!data) return null;
  place.append(Object.assign(document.createElement("h2"), { textContent: title }));
  const ends = runs.flatMap(({ letter, courses }) => {
    const { time, value: told } = courses[name];
    return time.length ? [[letter, time.at(-1), value ? value(told.at(-1)) : told.at(-1)]] : [];
  });
  const series = runs.map((_, i) => ({
    stroke: colour(`--run-${i}`),
    width: 2.5,
    dash: DASHES[i],
    points: { show: false },
    spanGaps: true,
  }));
  const plain = { stroke: colour("--soft"), font: FONT, ticks: { show: false } };
  const size = { width: place.clientWidth, height };
  const options = {
    ...size,
    legend: { show: false },
    cursor: { show: false },
    padding: [10, LETTER_ROOM, 0, 0],
    scales: { x: { time: false }, y },
    series: [{}, ...series],
    axes: [
      { ...plain, size: 36, space: 70, incrs: STEPS, grid: { show: false }, values: (_, at) => at.map((one) => `${hours(one)} h`) },
      {
        ...plain,
        size: 70,
        grid: { stroke: colour("--line"), width: 1 },
        values: (_, at) => at.map((one) => (one === null ? "" : write(one))),
        ...axis,
      },
    ],
    hooks: { draw: [letters(ends), ...(limit ? [limitLine(limit)] : [])] },
  };
  return new uPlot(options, data, place);
}

let plots = [];

function draw() {
  for (const old of plots) old.destroy();
  place.replaceChildren();
  plots = CHARTS.map(chart).filter(Boolean);
}

if (window.uPlot) {
  draw();
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  new ResizeObserver(() => {
    for (const one of plots) one.setSize({ width: place.clientWidth, height: one.height });
  }).observe(place);
} else document.querySelector("[data-table]").open = true;
