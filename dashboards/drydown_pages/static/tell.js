// Sends what a person tells the tank, and says in words whether the board took it.

export async function tell(tank, path, body) {
  const answer = await fetch(`/api/v1/tanks/${tank}/${path}`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
    signal: AbortSignal.timeout(8000),
  }).catch(() => null);
  if (answer?.ok) return "";
  const problem = await answer?.json().catch(() => null);
  return problem?.detail ?? "The board did not answer, so nothing has changed. Try again.";
}

// What a person typed as a number, with a point or a comma; throws what is wrong with it, in words.
function numberOf({ value, dataset }) {
  const typed = value.trim().replace("\u2212", "-");
  const number = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(typed) ? Number(typed.replace(",", ".")) : NaN;
  const least = "aboveNothing" in dataset ? number > 0 : number >= 0;
  if (least && number <= Number(dataset.most)) return number / Number(dataset.perOne);
  const above = "aboveNothing" in dataset ? "above 0" : "from 0";
  throw new Error(`${dataset.label} has to be a number ${above}, up to ${dataset.most}.`);
}

function bodyOf(form) {
  const body = form.dataset.quantity ? { quantity: form.dataset.quantity } : {};
  for (const field of form.elements) {
    if (!field.name) continue;
    field.removeAttribute("aria-invalid");
    try {
      body[field.name] = field.dataset.perOne ? numberOf(field) : field.value;
    } catch (error) {
      field.setAttribute("aria-invalid", "true");
      field.focus();
      throw error;
    }
  }
  return body;
}

function answered(form, text, refused) {
  const place = form.querySelector(".answered");
  place.textContent = text;
  place.classList.toggle("refused", refused);
}

export function listenToForms(tank, who) {
  document.querySelector("[data-telling]")?.addEventListener("submit", async (event) => {
    const form = event.target;
    const button = form.querySelector("button");
    event.preventDefault();
    if (button.getAttribute("aria-disabled") === "true") return;
    try {
      const body = { ...bodyOf(form), who };
      button.setAttribute("aria-disabled", "true"); // not `disabled`: that would lose the keyboard's place
      answered(form, "Telling the board…", false);
      const trouble = await tell(tank, form.dataset.tell, body);
      answered(form, trouble || "The tank has taken it.", Boolean(trouble));
      if (!trouble) form.reset();
    } catch (error) {
      answered(form, error.message, true);
    } finally {
      button.removeAttribute("aria-disabled");
    }
  });
}
