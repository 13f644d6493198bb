// Writes numbers as whoever reads them likes it: the settings page keeps the choice, the server hands it on.

const liking = document.documentElement.dataset;
const SPACE = "\u00a0"; // one that no line ends at
const GALLON = 3.785411784; // L, a US liquid one
const two = (number) => String(number).padStart(2, "0");

// A number's text with its own minus, and the decimal mark that is liked.
export const marked = (text) => {
  const minus = text.replace("-", "−");
  return liking.decimal === "comma" ? minus.replace(".", ",") : minus;
};

// A temperature in Celsius, with so many decimals.
export function degrees(celsius, places = 0) {
  const inFahrenheit = liking.temperature === "fahrenheit";
  const value = inFahrenheit ? celsius * 1.8 + 32 : celsius;
  return `${marked(value.toFixed(places))}${SPACE}${inFahrenheit ? "°F" : "°C"}`;
}

// A volume in m³.
export function volume(cubicMetres) {
  const [value, unit] = liking.volume === "gallons" ? [(cubicMetres * 1000) / GALLON, "gal"] : [cubicMetres * 1000, "L"];
  return `${value.toFixed(0)}${SPACE}${unit}`;
}

// A time of day.
export function timeOfDay(hours, minutes) {
  if (liking.clock !== "12") return `${two(hours)}:${two(minutes)}`;
  return `${hours % 12 || 12}:${two(minutes)}${SPACE}${hours < 12 ? "am" : "pm"}`;
}
