// What the charts are: each a few series on a scale of its own (`to`, from what is recorded), with limits. The
// page names the same series in the address from which they come.

import { say } from "../say.js";
import { degrees, gramsAMinute, humid, litres, milligrams, millionths, percent } from "./numbers.js";

// Lines differ in their dashes, not in their colour alone.
const PENS = {
  fuel: { colour: "--fuel", width: 2.5 },
  air: { colour: "--air", width: 2.5 },
  airDashed: { colour: "--air", width: 2, dash: [8, 4] },
  airDotted: { colour: "--air", width: 2, dash: [2, 4] },
  ink: { colour: "--ink", width: 1.75, dash: [10, 3, 2, 3] },
};

const { temperature, volume } = document.documentElement.dataset; // as whoever reads likes them
const times = (factor) => (value) => value * factor;
const [toDegrees, degree] = temperature === "fahrenheit" ? [(celsius) => celsius * 1.8 + 32, "°F"] : [times(1), "°C"];
const [toVolume, unitOfVolume] = volume === "gallons" ? [times(1000 / 3.785411784), "gal"] : [times(1000), "L"];

const line = (series, name, pen) => ({ series, name, pen: PENS[pen] });
const band = (series, name, pen) => ({ ...line(series, name, pen), band: true });

export const PANELS = [
  {
    id: "methanol", title: say("Methanol in the fuel"), unit: say("% by mass, logarithmic"), write: percent, to: times(100), tall: true,
    lines: [band("estimate/methanol", say("methanol"), "fuel")],
    limits: (limits) => [[limits.methanol, say("limit")]],
    log: { least: 0.0001, most: 0.2 }, end: "gone",
  },
  {
    id: "water", title: say("Water in the fuel"), unit: "mg/kg", write: milligrams, to: times(1e6), tall: true,
    lines: [band("estimate/water", say("water"), "fuel"), line("estimate/water_floor", say("what this air leaves in it"), "airDotted")],
    limits: (limits) => [[limits.water, say("limit")]],
    from: 0, crop: true, end: "dry",
  },
  {
    id: "temperatures", title: say("Temperatures"), unit: degree, write: degrees, to: toDegrees, least: 4,
    lines: [
      line("fuel/temperature", say("fuel"), "fuel"),
      line("air/temperature", say("room air"), "airDashed"),
      line("blower/discharge_temperature", say("air from the blower"), "airDotted"),
      line("blower/motor_temperature", say("blower’s motor"), "ink"),
    ],
    limits: (limits) => [[limits.fuel, say("fuel’s limit")]],
  },
  {
    id: "air", title: say("Dampness of the room’s air"), unit: say("% of what it could hold"), write: humid, to: times(1), least: 10,
    lines: [line("air/humidity", say("humidity"), "air")],
    limits: () => [],
  },
  {
    id: "level", title: say("Fuel in the tank"), unit: say("{unit} at {temperature}", { unit: unitOfVolume, temperature: degrees(15).replace(/[.,]0/, "") }), write: litres, to: toVolume, least: 0.01,
    lines: [line("fuel/volume", say("fuel"), "fuel")],
    limits: () => [],
  },
  {
    id: "emission", title: say("Methanol leaving the fuel"), unit: say("g a minute"), write: gramsAMinute, to: times(60000), from: 0,
    lines: [band("estimate/emission", say("methanol"), "fuel")],
    limits: () => [],
  },
  {
    id: "room", title: say("Methanol in the room’s air"), unit: say("ppm, logarithmic"), write: millionths, to: times(1e6),
    lines: [band("room/methanol", say("by reckoning"), "air"), line("vapour/methanol", say("measured"), "ink")],
    limits: (limits) => [[limits.breathe, say("limit for a working day")], [limits.fire, say("a quarter of what burns")]],
    log: { least: 1e-5, most: 0.1 },
  },
];
