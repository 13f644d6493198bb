// Finds runs while somebody still writes, and minds how many are ticked to be compared. The page does without.

import { say } from "./say.js";

const search = document.querySelector("[data-search]");
const compare = document.querySelector("#compare");
const said = document.querySelector("[data-compare-said]");
const button = document.querySelector("[data-compare]");
const PAUSE = 300; // ms without a key
const LEAST = 2;
const MOST = 6;

const ticked = new Map(); // start of a run: the hidden field that keeps it while other runs are looked for
let asked = 0;
let waiting = 0;

function tellTicks() {
  const count = ticked.size;
  button.disabled = count < LEAST || count > MOST;
  if (count > MOST) said.textContent = say("{count} runs are ticked: at most six can be seen over each other.", { count });
  else if (count >= LEAST) said.textContent = say("{count} runs are ticked.", { count });
  else said.textContent = say("Tick two to six runs below to lay them over each other.");
}

// A ticked run that is not on the page any more is still ticked: a hidden field stands for it.
function keepTicks() {
  for (const [start, hidden] of ticked) {
    const box = document.getElementById(`run-${start}`);
    if (box) {
      box.checked = true;
      hidden.remove();
    } else compare.append(hidden);
  }
  tellTicks();
}

function noteTick({ checked, value }) {
  const hidden = Object.assign(document.createElement("input"), { type: "hidden", name: "run", value });
  if (checked) ticked.set(value, hidden);
  else ticked.delete(value);
  tellTicks();
}

async function find() {
  const mine = ++asked;
  const filled = [...new FormData(search)].filter(([, value]) => value);
  const address = `${search.action}?${new URLSearchParams(filled)}`;
  const answer = await fetch(address).catch(() => null);
  if (mine !== asked || !answer?.ok) return; // the button still asks, and shows what is wrong
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (mine !== asked) return;
  document.querySelector("[data-found]").replaceWith(page.querySelector("[data-found]"));
  history.replaceState(null, "", address);
  keepTicks();
}

search.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(find, PAUSE);
});
document.addEventListener("change", ({ target }) => target.name === "run" && noteTick(target));
for (const box of document.querySelectorAll("input[name=run]:checked")) noteTick(box);
tellTicks();
