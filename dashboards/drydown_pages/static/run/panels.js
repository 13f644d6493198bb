// What the charts are: each a few series on a scale of its own (`to`, from what is recorded), with limits. The
// page names the same series in the address from which they come.

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
    id: "methanol", title: "Methanol in the fuel", unit: "% by mass, logarithmic", write: percent, to: times(100), tall: true,
    lines: [band("estimate/methanol", "methanol", "fuel")],
    limits: (limits) => [[limits.methanol, "limit"]],
    log: { least: 0.0001, most: 0.2 }, end: "gone",
  },
  {
    id: "water", title: "Water in the fuel", unit: "mg/kg", write: milligrams, to: times(1e6), tall: true,
    lines: [band("estimate/water", "water", "air"), line("estimate/water_floor", "what this air leaves in it", "airDotted")],
    limits: (limits) => [[limits.water, "limit"]],
    from: 0, crop: true, end: "dry",
  },
  {
    id: "temperatures", title: "Temperatures", unit: degree, write: degrees, to: toDegrees, least: 4,
    lines: [
      line("fuel/temperature", "fuel", "fuel"),
      line("air/temperature", "room air", "airDashed"),
      line("blower/discharge_temperature", "air from the blower", "airDotted"),
      line("blower/motor_temperature", "blower’s motor", "ink"),
    ],
    limits: (limits) => [[limits.fuel, "fuel’s limit"]],
  },
  {
    id: "air", title: "Dampness of the room’s air", unit: "% of what it could hold", write: humid, to: times(1), least: 10,
    lines: [line("air/humidity", "humidity", "air")],
    limits: () => [],
  },
  {
    id: "level", title: "Fuel in the tank", unit: `${unitOfVolume} at ${degrees(15).replace(/[.,]0/, "")}`, write: litres, to: toVolume, least: 0.01,
    lines: [line("fuel/volume", "fuel", "fuel")],
    limits: () => [],
  },
  {
    id: "emission", title: "Methanol leaving the fuel", unit: "g a minute", write: gramsAMinute, to: times(60000), from: 0,
    lines: [band("estimate/emission", "methanol", "fuel")],
    limits: () => [],
  },
  {
    id: "room", title: "Methanol in the room’s air", unit: "ppm, logarithmic", write: millionths, to: times(1e6),
    lines: [band("room/methanol", "by reckoning", "air"), line("vapour/methanol", "measured", "ink")],
    limits: (limits) => [[limits.breathe, "limit for a working day"], [limits.fire, "a quarter of what burns"]],
    log: { least: 1e-5, most: 0.1 },
  },
];
