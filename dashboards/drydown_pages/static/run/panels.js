// What the charts are: each a few series on a scale of its own, with limits. The page names the same series in
// the address from which they come.

import { degrees, gramsAMinute, humid, litres, milligrams, millionths, percent } from "./numbers.js";

// Lines differ in their dashes, not in their colour alone.
const PENS = {
  fuel: { colour: "--fuel", width: 2.5 },
  air: { colour: "--air", width: 2.5 },
  airDashed: { colour: "--air", width: 2, dash: [8, 4] },
  airDotted: { colour: "--air", width: 2, dash: [2, 4] },
  ink: { colour: "--ink", width: 1.75, dash: [10, 3, 2, 3] },
};

const line = (series, name, pen) => ({ series, name, pen: PENS[pen] });
const band = (series, name, pen) => ({ ...line(series, name, pen), band: true });

export const PANELS = [
  {
    id: "methanol", title: "Methanol in the fuel", unit: "% by mass, logarithmic", write: percent, scale: 100, tall: true,
    lines: [band("estimate/methanol", "methanol", "fuel")],
    limits: (limits) => [[limits.methanol, "limit"]],
    log: { least: 0.0001, most: 0.2 }, end: "gone",
  },
  {
    id: "water", title: "Water in the fuel", unit: "mg/kg", write: milligrams, scale: 1e6, tall: true,
    lines: [band("estimate/water", "water", "air"), line("estimate/water_floor", "what this air leaves in it", "airDotted")],
    limits: (limits) => [[limits.water, "limit"]],
    from: 0, crop: true, end: "dry",
  },
  {
    id: "temperatures", title: "Temperatures", unit: "°C", write: degrees, scale: 1, least: 4,
    lines: [
      line("fuel/temperature", "fuel", "fuel"),
      line("air/temperature", "room air", "airDashed"),
      line("blower/discharge_temperature", "air from the blower", "airDotted"),
      line("blower/motor_temperature", "blower’s motor", "ink"),
    ],
    limits: (limits) => [[limits.fuel, "fuel’s limit"]],
  },
  {
    id: "air", title: "Dampness of the room’s air", unit: "% of what it could hold", write: humid, scale: 1, least: 10,
    lines: [line("air/humidity", "humidity", "air")],
    limits: () => [],
  },
  {
    id: "level", title: "Fuel in the tank", unit: "L at 15 °C", write: litres, scale: 1000, least: 10,
    lines: [line("fuel/volume", "fuel", "fuel")],
    limits: () => [],
  },
  {
    id: "emission", title: "Methanol leaving the fuel", unit: "g a minute", write: gramsAMinute, scale: 60000, from: 0,
    lines: [band("estimate/emission", "methanol", "fuel")],
    limits: () => [],
  },
  {
    id: "room", title: "Methanol in the room’s air", unit: "ppm, logarithmic", write: millionths, scale: 1e6,
    lines: [band("room/methanol", "by reckoning", "air"), line("vapour/methanol", "measured", "ink")],
    limits: (limits) => [[limits.breathe, "limit for a working day"], [limits.fire, "a quarter of what burns"]],
    log: { least: 1e-5, most: 0.1 },
  },
];
