// While a run goes on, what is told of it is fetched anew: each minute, and when somebody looks at the page again.

const EVERY = 60_000; // ms

// Puts the parts of the page as it is now in place of older ones, and calls `draw` with it; whether the run still goes on.
async function renew(main, draw) {
  const answer = await fetch(location.href);
  if (!answer.ok) return true;
  const now = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = now.querySelector("main[data-tank]");
  if (!fresh) return true;
  const goesOn = Boolean(now.querySelector(".going-on")); // before it moves over
  main.dataset.series = fresh.dataset.series;
  for (const part of document.querySelectorAll("[data-fresh]")) {
    const other = now.querySelector(`[data-fresh="${part.dataset.fresh}"]`);
    if (other && other.innerHTML !== part.innerHTML) part.replaceChildren(...other.childNodes);
  }
  await draw(now);
  return goesOn;
}

// `draw` is called with the page as it is now, after the address in `main` is that of what there is now.
export function keepFresh(main, draw) {
  let [goesOn, busy] = [Boolean(document.querySelector(".going-on")), false];
  const look = async () => {
    if (!goesOn || busy || document.hidden) return;
    busy = true;
    try {
      goesOn = await renew(main, draw);
    } catch {
      // the board is away; what is shown tells until when it is true
    } finally {
      busy = false;
    }
  };
  setInterval(look, EVERY);
  document.addEventListener("visibilitychange", look);
}
