// A run: what happened, as its page brought it, and its series, fetched as columns in which a gap is a null.

import { say } from "../say.js";

const SILENCE = 180; // s without a reading after which a line breaks
const OUTLYING = 4; // times the usual spread of a thinned point: such extremes are drawn too

export class Trouble extends Error {}

async function get(path) {
  const answer = await fetch(path).catch(() => null);
  if (!answer) throw new Trouble(say("The board did not answer. Check its power and the network, then load this page again."));
  const body = await answer.json().catch(() => null);
  if (!answer.ok) throw new Trouble(body?.detail ?? say("The board could not tell. Load this page again."));
  return body;
}

export function courseIn(page) {
  const course = page.querySelector("script[data-course]");
  if (!course) throw new Trouble(say("The board could not tell. Load this page again."));
  return JSON.parse(course.textContent);
}

// All series by name; of another span than the address says where one is given.
export async function fetchSeries(address, span) {
  const asked = new URL(address, location);
  if (span) ["start", "end"].forEach((end, i) => asked.searchParams.set(end, Math.max(0, span[i]).toFixed(3)));
  const found = await get(span ? asked : address);
  return Object.fromEntries(found.map((one) => [one.name, one]));
}

const median = (numbers) => numbers.sort()[numbers.length >> 1];

// Times and values to draw: nulls where nothing was read for long, extremes where they stand out.
export function drawn({ time, value, low, high, step }, to) {
  const usual = step ? median(Float64Array.from(high, (most, i) => most - low[i])) : Infinity;
  const longest = Math.max(SILENCE, 3 * step);
  const times = [];
  const values = [];
  const put = (at, one) => {
    times.push(at);
    values.push(one);
  };
  for (let i = 0; i < time.length; i += 1) {
    if (i && time[i] - time[i - 1] > longest) put((time[i] + time[i - 1]) / 2, null);
    put(time[i], to(value[i]));
    if (high[i] - value[i] > OUTLYING * usual) put(time[i] + step / 3, to(high[i]));
    if (value[i] - low[i] > OUTLYING * usual) put(time[i] + (2 * step) / 3, to(low[i]));
  }
  return [times, values];
}

// The value of a series at a time: that of the last point before it, unless it is long ago.
export function valueAt(series, at) {
  if (!series || !series.time.length) return null;
  const { time, value, step } = series;
  let [from, to] = [0, time.length];
  while (from < to) {
    const middle = (from + to) >> 1;
    if (time[middle] <= at) from = middle + 1;
    else to = middle;
  }
  return from && at - time[from - 1] <= Math.max(SILENCE, 3 * step) ? value[from - 1] : null;
}
