// Keeps a page live: the server sends each part of it ready to show, this puts them in place.

const main = document.querySelector("[data-events]");
const lost = document.querySelector("[data-lost]");
const lostAge = document.querySelector("[data-lost-age]");
const refused = document.querySelector("[data-refused]");
const SILENT_AFTER = 8; // s without a word before the numbers are called old; the server speaks every 3 s
const BROKEN_AFTER = 2; // s for which a broken connection may be mended before anybody is told
const AGAIN_AFTER = 3; // s until a connection that the browser gave up is tried anew

let shownAt = Date.now(); // when what the page shows came
let heardAt = Date.now(); // when the server last said anything
let brokenAt = null;
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
  return node.getAttribute("href") ?? `${node.dataset.deed} ${node.dataset.alarm}`;
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

function say(node, text) {
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
  let trouble = away && `Nobody watches the tank. ${away}`;
  if (broken || silent >= SILENT_AFTER) {
    trouble = "No word from the board. Look at the tank itself; check the board’s power and the network.";
  }
  say(lost, trouble);
  say(lostAge, trouble && `What stands below is old: it came ${age(secondsSince(shownAt))} ago.`);
  document.body.classList.toggle("old", Boolean(trouble));
}

function listen() {
  const events = new EventSource(main.dataset.events);
  events.addEventListener("view", (event) => {
    shownAt = heardAt = Date.now();
    brokenAt = null;
    away = "";
    show(JSON.parse(event.data));
    tellHowOld();
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

async function send(button) {
  const { deed, alarm } = button.dataset;
  const said = button.textContent;
  button.disabled = true;
  button.textContent = "Telling the board…";
  const what = alarm ? `alarms/${alarm}` : "supply";
  const address = `/api/v1/tanks/${main.dataset.tank}/${what}/${deed}`;
  const answer = await fetch(address, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ who: main.dataset.who || "somebody at the page" }),
    signal: AbortSignal.timeout(8000),
  }).catch(() => null);
  const problem = answer?.ok ? null : await answer?.json().catch(() => null);
  say(refused, answer?.ok ? "" : (problem?.detail ?? "The board did not answer: the alarm still stands. Try again."));
  if (!answer?.ok) {
    button.disabled = false;
    button.textContent = said;
  }
}

listen();
setInterval(tellHowOld, 1000);
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-deed]");
  if (button) send(button);
});
