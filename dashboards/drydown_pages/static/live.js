// Keeps the tank's page live: the server sends every text and number ready to show, this puts them in place.

const main = document.querySelector("[data-tank]");
const tank = main.dataset.tank;
const lost = document.querySelector("[data-lost]");
const age = document.querySelector('[data-slot="age"]');
const SILENT_AFTER = 10; // seconds without a word before the numbers are called old
let heardAt = Date.now();

const at = (view, path) => path.split(".").reduce((part, key) => part?.[key], view);

function show(view) {
  for (const node of document.querySelectorAll("[data-slot]")) {
    const text = at(view, node.dataset.slot);
    if (text !== undefined && node.textContent !== text) node.textContent = text;
  }
  for (const node of document.querySelectorAll("[data-attr]")) {
    for (const pair of node.dataset.attr.split(" ")) {
      const [path, attribute] = pair.split(":");
      const value = at(view, path);
      if (value !== undefined) node.setAttribute(attribute, value);
    }
  }
  for (const node of document.querySelectorAll("[data-scale]")) {
    node.dataset.known = at(view, `${node.dataset.scale}.known`) ? "yes" : "no";
  }
  const alarms = document.querySelector("[data-alarms]");
  if (alarms.dataset.shown !== view.alarms_html) {
    alarms.dataset.shown = view.alarms_html;
    alarms.innerHTML = view.alarms_html;
  }
}

function tellAge() {
  const silent = Math.round((Date.now() - heardAt) / 1000);
  lost.hidden = silent < SILENT_AFTER;
  if (!lost.hidden) {
    lost.textContent = `No word from the board for ${silent} s. The numbers below are old. Look at the tank itself; check the board's power and the network.`;
  }
}

const events = new EventSource(`/api/v1/tanks/${tank}/events`);
events.addEventListener("view", (event) => {
  heardAt = Date.now();
  show(JSON.parse(event.data));
  tellAge();
});
setInterval(tellAge, 1000);

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-acknowledge]");
  if (!button) return;
  button.disabled = true;
  button.textContent = "Telling the board…";
  const answer = await fetch(`/api/v1/tanks/${tank}/alarms/${button.dataset.acknowledge}/acknowledge`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ who: "page" }),
  }).catch(() => null);
  if (!answer?.ok) {
    const problem = await answer?.json().catch(() => null);
    button.disabled = false;
    button.textContent = "I have seen it";
    lost.hidden = false;
    lost.textContent = problem?.detail ?? "The board did not answer. The alarm still stands. Try again.";
  }
});
