// Sends what a person tells the tank, and says in words whether the board took it.

import { say } from "./say.js";

// A form's address without scripts is that of the API, less what every address there begins with.
export async function tell(form, who) {
  const answer = await fetch(`/api/v1${new URL(form.action).pathname}`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ ...Object.fromEntries(new FormData(form)), who }),
    signal: AbortSignal.timeout(8000),
  }).catch(() => null);
  if (answer?.ok) return "";
  const problem = await answer?.json().catch(() => null);
  return problem?.detail ?? say("The board did not answer, so nothing has changed. Try again.");
}

function answered(form, text, refused) {
  const place = form.querySelector(".answered");
  place.textContent = text;
  place.classList.toggle("refused", refused);
}

export function listenToForms(who) {
  document.querySelector("[data-telling]")?.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!("tell" in form.dataset)) return; // an ordinary form: the browser sends it
    const button = form.querySelector("button");
    event.preventDefault();
    if (button.getAttribute("aria-disabled") === "true") return;
    button.setAttribute("aria-disabled", "true"); // not `disabled`: that would lose the keyboard's place
    answered(form, say("Telling the board…"), false);
    const trouble = await tell(form, who);
    const said = trouble ? say("Not taken. {trouble}", { trouble }) : say("The tank has taken it.");
    answered(form, said, Boolean(trouble));
    if (!trouble) form.reset();
    button.removeAttribute("aria-disabled");
  });
}
