// Shows what is being worked out as soon as it is there.

const place = document.querySelector("[data-awaited]");
const BETWEEN = 1500; // ms between two looks

async function look() {
  const answer = await fetch(place.dataset.awaited);
  if (!answer.ok) return true;
  const { state, said } = await answer.json();
  if (state === "working") return false;
  place.replaceChildren(
    ...said.map((sentence) => {
      const line = document.createElement("p");
      line.className = "planned";
      line.textContent = sentence;
      return line;
    }),
  );
  return true;
}

async function wait() {
  const done = await look().catch(() => false);
  if (!done) setTimeout(wait, BETWEEN);
}

wait();
