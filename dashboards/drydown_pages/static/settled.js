// Keeps what has settled fresh on a tank's page that stays open: drops fall slowly, so now and then is enough.

const place = document.querySelector("[data-settled]");
const lines = place.querySelector("[data-settled-lines]");
const { tank } = document.querySelector("[data-tank]").dataset;
const EVERY = 60; // s of the tank's time between two looks
const REST = 2000; // ms of real time between them at least
let askedFor = 0; // the tank's time, Unix s
let askedAt = 0;

async function renew() {
  const answer = await fetch(`/api/v1/tanks/${tank}/settling`);
  if (!answer.ok) return;
  const { settles, said } = await answer.json();
  place.hidden = !settles;
  lines.replaceChildren(
    ...said.map((sentence) => {
      const line = document.createElement("p");
      line.className = "planned";
      line.textContent = sentence;
      return line;
    }),
  );
}

document.addEventListener("drydown:view", ({ detail: { at } }) => {
  if (Math.abs(at - askedFor) < EVERY || Date.now() - askedAt < REST) return;
  [askedFor, askedAt] = [at, Date.now()];
  renew().catch((error) => console.info(`What has settled stays as it was: ${error.message}`));
});
