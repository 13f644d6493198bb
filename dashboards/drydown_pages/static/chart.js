// Tells the run so far, in a sentence, in a table, and drawn. It comes after everything else on the page, and
// the page is whole without it.

import { degrees, marked } from "./liking.js";
import { draw, fit } from "./plots.js";
import { say } from "./say.js";

const figure = document.querySelector("[data-run]");
const place = figure.querySelector("[data-plots]");
const { tank } = document.querySelector("[data-tank]").dataset;
const limit = Number(figure.dataset.limit);
const POINTS = 400; // a series
const ROWS = 12;
const EVERY = 60; // s of the tank's time between two drawings
const REST = 4000; // ms of real time between them at least
const LEAST = 0.0001; // mass fraction: less than that cannot be told apart from nothing
const FLOOR = LEAST / 2; // as what less than that is drawn
const NAMES = ["estimate/methanol/low", "estimate/methanol", "estimate/methanol/high", "fuel/temperature"];

const SPACE = "\u00a0"; // one that no line ends at
const percent = (share) =>
  share < LEAST
    ? say("less than {amount}", { amount: marked(`0.01${SPACE}%`) })
    : marked(`${(share * 100).toPrecision(2)}${SPACE}%`);
const about = (share) => (share < LEAST ? percent(share) : say("about {amount}", { amount: percent(share) }));
const range = (low, high) =>
  high < LEAST ? percent(high) : say("{low} to {high}", { low: percent(low), high: percent(high) });
const mark = (share) => marked(`${Number((share * 100).toPrecision(2))}${SPACE}%`);
const hours = (seconds) => {
  const minutes = Math.round(seconds / 60);
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
};

const length = (seconds) => {
  const minutes = Math.round(seconds / 60);
  const rest = minutes % 60 ? ` ${minutes % 60}${SPACE}min` : "";
  return minutes < 60 ? `${minutes}${SPACE}min` : `${Math.floor(minutes / 60)}${SPACE}h${rest}`;
};

async function get(path) {
  const answer = await fetch(`/api/v1/tanks/${tank}/${path}`);
  if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
  return answer.json();
}

// The run since the blower first started: columns of seconds and of values; null before that.
async function fetchRun() {
  const [run] = await get("runs");
  const start = run?.stages.find((one) => one.stage === "bubbling")?.time;
  if (start === undefined) return null;
  const query = new URLSearchParams([["start", start], ["points", POINTS], ...NAMES.map((name) => ["name", name])]);
  if (run.end) query.set("end", run.end);
  const found = Object.fromEntries((await get(`series?${query}`)).map((one) => [one.name, one]));
  const [low, median, high, fuel] = NAMES.map((name) => found[name] ?? { time: [], value: [] });
  if (median.time.length < 2 || fuel.time.length < 2) return null;
  const since = (series) => series.time.map((time) => time - start);
  const content = (series) => series.value.map((share) => Math.max(share, FLOOR));
  return {
    start: run.start,
    methanol: [since(median), content(low), content(median), content(high)],
    temperature: [since(fuel), fuel.value],
  };
}

const nearest = (times, time) =>
  times.reduce((best, one, i) => (Math.abs(one - time) < Math.abs(times[best] - time) ? i : best), 0);

function summary({ methanol: [times, low, median, high], temperature: [, fuel] }) {
  const last = about(median.at(-1));
  const content = say(
    "In the {time} since the blower first started, methanol went from {start} to {end}; its limit is {limit}.",
    {
      time: length(times.at(-1)),
      start: about(median[0]),
      end: high.at(-1) < LEAST ? last : `${last} (${range(low.at(-1), high.at(-1))})`,
      limit: percent(limit),
    },
  );
  const [start, end, least] = [fuel[0], fuel.at(-1), Math.min(...fuel)].map((one) => degrees(one));
  const warmth =
    least === end
      ? say("Meanwhile the fuel went from {start} to {end}.", { start, end })
      : say("Meanwhile the fuel went from {start} to {end}, {least} at its coldest.", { start, end, least });
  return `${content} ${warmth}`;
}

function rows({ methanol: [times, low, median, high], temperature: [instants, fuel] }) {
  const chosen = Array.from({ length: ROWS + 1 }, (_, i) => nearest(times, (times.at(-1) * i) / ROWS));
  return [...new Set(chosen)].map((i) => [
    `${hours(times[i])}${SPACE}h`,
    percent(median[i]),
    range(low[i], high[i]),
    degrees(fuel[nearest(instants, times[i])]),
  ]);
}

function tableRow(kind, texts) {
  const row = document.createElement("tr");
  row.append(...texts.map((text) => Object.assign(document.createElement(kind), { textContent: text })));
  return row;
}

function tell(run) {
  figure.querySelector("[data-closer]").href = `/tanks/${tank}/runs/${run.start}`;
  figure.querySelector("[data-summary]").textContent = summary(run);
  const head = tableRow("th", [say("Since the start"), say("Methanol"), say("Nine times in ten"), say("Fuel")]);
  figure.querySelector("[data-table]").replaceChildren(head, ...rows(run).map((texts) => tableRow("td", texts)));
  if (window.uPlot) draw(place, run, limit, { hours, percent, mark, degrees });
}

let at = Number(figure.dataset.at); // the tank's time of what the page shows
let told = -Infinity; // the tank's time of what is drawn
let run = null; // what is told
let resting = false;

async function refresh() {
  if (resting || document.hidden || at - told < EVERY) return;
  resting = true;
  setTimeout(() => {
    resting = false;
    refresh();
  }, REST);
  const now = at;
  try {
    run = await fetchRun();
    figure.hidden = !run; // before anything is drawn: what is hidden has no width
    if (run) tell(run);
    told = now;
  } catch (error) {
    console.info(`The run cannot be told now: ${error.message}`);
  }
}

function load(kind, properties) {
  return new Promise((resolve, reject) => {
    const element = Object.assign(document.createElement(kind), properties);
    element.addEventListener("load", resolve);
    element.addEventListener("error", () => reject(new Error(`${properties.href ?? properties.src} is missing`)));
    document.head.append(element);
  });
}

async function begin() {
  const style = load("link", { rel: "stylesheet", href: "/static/vendor/uPlot.min.css" });
  const script = load("script", { src: "/static/vendor/uPlot.iife.min.js" });
  await Promise.all([style, script]).catch((error) => console.info(`Told in numbers only: ${error.message}`));
  document.addEventListener("drydown:view", (event) => {
    at = event.detail.at;
    refresh();
  });
  document.addEventListener("visibilitychange", refresh);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => run && tell(run));
  new ResizeObserver(() => fit(place.clientWidth)).observe(place);
  refresh();
}

const painted = new Promise((resolve) => new PerformanceObserver(resolve).observe({ type: "paint", buffered: true }));
const patience = new Promise((resolve) => setTimeout(resolve, 3000)); // where a browser does not tell
Promise.race([painted, patience]).then(begin);
