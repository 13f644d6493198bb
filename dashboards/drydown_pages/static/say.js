// Says texts in the language of the page, which brings translations where that is not English.

const found = document.querySelector("[data-texts]");
const texts = found ? JSON.parse(found.textContent) : {};

// A text with values in the place of its {names}.
export const say = (english, values = {}) => (texts[english] ?? english).replace(/\{(\w+)\}/g, (_, name) => values[name]);

// Marks a text of a table for the catalogue; `say` says it when it is needed.
export const later = (english) => english;
