// Writes numbers as a person reads them: the digits that are known, never without a unit.

import { say } from "../say.js";
import { degrees as warmth, marked, timeOfDay, volume } from "../liking.js";

const SPACE = "\u00a0"; // one that no line ends at
const FAINTEST = 1e-6; // mole fraction in air: less than that nobody measures or reckons
const LEAST = 0.0001; // mass fraction of methanol that cannot be told apart from nothing

let ahead = 0; // s by which the tank's time of day is ahead of UTC
let days = []; // of the run, each with when it began and its name

export const keepTime = (course) => {
  ({ ahead, days } = course);
};

export const local = (time) => time + ahead;

export function clock(time) {
  const at = new Date(local(time) * 1000);
  return timeOfDay(at.getUTCHours(), at.getUTCMinutes());
}

const dayOf = (time) => days.findLast((one) => one.start <= time) ?? days[0];

// A time of day, with its day where that is not the run's first.
export function moment(time) {
  const day = dayOf(time);
  return day === days[0] ? clock(time) : say("{time} on {day}", { time: clock(time), day: day.said });
}

// The same where room is scarce: the day's name stands for the moment at which it began.
export function tick(time) {
  const day = dayOf(time);
  return day !== days[0] && Math.abs(time - day.start) < 1 ? day.said : clock(time);
}

// So many significant digits, without an exponent.
export function digits(value, count) {
  if (!value) return "0";
  const places = Math.max(0, count - 1 - Math.floor(Math.log10(Math.abs(value))));
  const rounded = Number(value.toPrecision(count));
  return marked(rounded.toFixed(places));
}

export const percent = (share) => (share < LEAST ? say("less than {amount}", { amount: marked(`0.01${SPACE}%`) }) : `${digits(share * 100, 2)}${SPACE}%`);
export const milligrams = (share) => `${digits(share * 1e6, 2)}${SPACE}mg/kg`;
export const degrees = (celsius) => warmth(celsius, 1);
export const humid = (value) => `${Math.round(value)}${SPACE}%`;
export const litres = volume;
export const gramsAMinute = (flow) => `${digits(flow * 60000, 2)}${SPACE}g/min`;
export const millionths = (share) =>
  share > 0 && share < FAINTEST ? say("less than {amount}", { amount: `1${SPACE}ppm` }) : `${digits(share * 1e6, 2)}${SPACE}ppm`;

// An amount with its range; by itself where nothing else is known.
export function ranged(write, middle, low, high) {
  if (middle === null) return say("not known");
  const said = write(middle);
  if (low === null || high === null || (write(low) === said && write(high) === said)) return said;
  const [number, unit] = write(low).split(SPACE);
  const isShort = /^[−\d.,]+$/.test(number) && write(high).endsWith(`${SPACE}${unit}`);
  return say("{middle} ({low} to {high})", { middle: said, low: isShort ? number : write(low), high: write(high) });
}
