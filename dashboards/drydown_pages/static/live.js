// Keeps a page live: the server sends each part of it ready to show, this puts them in place. What came last
// is kept on the phone, for when the board is out of reach (worker.js).

import { say } from "./say.js";
import { listenToForms, tell } from "./tell.js";

const main = document.querySelector("[data-events]");
const lost = document.querySelector("[data-lost]");
const lostAge = document.querySelector("[data-lost-age]");
const refused = document.querySelector("[data-refused]");
const SILENT_AFTER = 8; // s without a word before the numbers are called old; the server speaks every 3 s
const BROKEN_AFTER = 2; // s for which a broken connection may be mended before anybody is told
const AGAIN_AFTER = 3; // s until a connection that the browser gave up is tried anew
const KEEP_EVERY = 10_000; // ms between two views that are kept
const KEPT = "drydown-kept"; // worker.js opens the same
const LAST_VIEW = `/kept${location.pathname}`;

if (location.search) history.replaceState(null, "", location.pathname); // what was taken is said once

const openedOld = Number(document.body.dataset.kept ?? 0); // when a page came that the worker had kept
let shownAt = openedOld || Date.now(); // when what the page shows came
let heardAt = Date.now(); // when the server last said anything
let brokenAt = openedOld || null;
let keptAt = 0;
let away = "";

const shown = {};
const secondsSince = (moment) => Math.round((Date.now() - moment) / 1000);

// New markup would take the keyboard's place away from whoever had just reached a button in the old.
function replace(place, html) {
  const held = place.contains(document.activeElement) ? purpose(document.activeElement) : null;
  place.innerHTML = html;
  const same = [...place.querySelectorAll("a, button")].find((node) => purpose(node) === held);
  same?.focus({ preventScroll: true });
}

function purpose(node) {
  return node.getAttribute("href") ?? node.form?.getAttribute("action");
}

function show(view) {
  for (const [name, html] of Object.entries(view.parts)) {
    if (shown[name] === html) continue;
    shown[name] = html;
    const place = document.querySelector(`[data-part="${name}"]`);
    if (place) replace(place, html);
  }
  if (view.title) document.title = `${view.title} · drydown`;
  document.dispatchEvent(new CustomEvent("drydown:view", { detail: view }));
}

function write(node, text) {
  node.hidden = !text;
  if (node.textContent !== text) node.textContent = text; // a live region is read out at every change
}

function age(seconds) {
  if (seconds < 90) return `${seconds} s`;
  return seconds < 5400 ? `${Math.round(seconds / 60)} min` : `${Math.round(seconds / 3600)} h`;
}

function tellHowOld() {
  const silent = secondsSince(heardAt);
  const broken = brokenAt !== null && secondsSince(brokenAt) >= BROKEN_AFTER;
  let trouble = away && say("Nobody watches the tank. {trouble}", { trouble: away });
  if (broken || silent >= SILENT_AFTER) {
    trouble = say("No word from the board. Look at the tank itself; check the board’s power and the network.");
  }
  write(lost, trouble);
  write(lostAge, trouble && say("What stands below is old: it came {age} ago.", { age: age(secondsSince(shownAt)) }));
  document.body.classList.toggle("old", Boolean(trouble));
}

// Caches are there where the page came safely: over https, or from this very device.
async function keep(view) {
  if (!("caches" in window) || Date.now() - keptAt < KEEP_EVERY) return;
  keptAt = Date.now();
  const kept = await caches.open(KEPT);
  await kept.put(LAST_VIEW, new Response(JSON.stringify({ came: shownAt, view })));
}

async function showKept() {
  const kept = await caches.match(LAST_VIEW, { cacheName: KEPT });
  const { came, view } = (await kept?.json()) ?? { came: 0 };
  if (brokenAt !== openedOld || came <= openedOld) return;
  shownAt = came;
  show(view);
  tellHowOld();
}

function listen() {
  const events = new EventSource(main.dataset.events);
  events.addEventListener("view", (event) => {
    shownAt = heardAt = Date.now();
    brokenAt = null;
    away = "";
    const view = JSON.parse(event.data);
    show(view);
    tellHowOld();
    keep(view).catch((error) => console.info(`Nothing is kept on this device: ${error.message}`));
  });
  events.addEventListener("away", (event) => {
    heardAt = Date.now();
    brokenAt = null;
    away = JSON.parse(event.data);
    tellHowOld();
  });
  events.addEventListener("error", () => {
    brokenAt ??= Date.now();
    if (events.readyState === EventSource.CLOSED) setTimeout(listen, AGAIN_AFTER * 1000);
  });
}

async function send(form) {
  const button = form.querySelector("button");
  const said = button.textContent;
  button.disabled = true;
  button.textContent = say("Telling the board…");
  const trouble = await tell(form, who);
  write(refused, trouble);
  if (trouble) {
    button.disabled = false;
    button.textContent = said;
  }
}

const who = main.dataset.who || say("somebody at the page");
listenToForms(who);
if (openedOld) showKept();
tellHowOld();
listen();
setInterval(tellHowOld, 1000);
document.addEventListener("submit", (event) => {
  if (!("deed" in event.target.dataset)) return;
  event.preventDefault();
  send(event.target);
});

window.addEventListener("load", () =>
  navigator.serviceWorker?.register("/worker.js").catch((error) => console.info(`No worker: ${error.message}`)),
);
