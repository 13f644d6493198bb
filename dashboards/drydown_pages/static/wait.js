// On a page that could not be shown: shows it again as soon as what was missing is there.

import { say } from "./say.js";

const main = document.querySelector("[data-wait-for]");
const AGAIN_AFTER = 2; // s

document.querySelector("[data-waiting]").textContent = say("This page shows itself as soon as it can.");
setInterval(async () => {
  const answer = await fetch(main.dataset.waitFor).catch(() => null);
  if (answer?.ok) location.reload();
}, AGAIN_AFTER * 1000);
