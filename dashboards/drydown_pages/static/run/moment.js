// The moment that is looked at: a marker on the charts and a slider that go together, and what was believed then.

import { say } from "../say.js";
import { moment as at } from "./numbers.js";

export class Moment extends EventTarget {
  constructor(slider, [start, until], beliefs) {
    super();
    this.slider = slider;
    this.start = start;
    this.time = until;
    this.extend(until, beliefs);
    slider.value = slider.max;
    slider.addEventListener("input", () => this.set(start + slider.value * this.step));
  }

  // The run has come so far, and so much was believed.
  extend(until, beliefs) {
    this.until = until;
    this.beliefs = beliefs;
    this.step = Math.max(60, (until - this.start) / 1000);
    this.slider.max = Math.max(1, Math.ceil((until - this.start) / this.step));
    this.slider.value = Math.round((this.time - this.start) / this.step);
  }

  set(time) {
    this.time = Math.min(Math.max(time, this.start), this.until);
    this.slider.value = Math.round((this.time - this.start) / this.step);
    this.dispatchEvent(new Event("moved"));
  }

  shift(steps) {
    this.set(this.start + (Number(this.slider.value) + steps) * this.step);
  }

  // What was believed then; null before anything was.
  get belief() {
    return this.beliefs.findLast((one) => one.time <= this.time + 0.001) ?? null;
  }

  tell(inWords) {
    this.slider.setAttribute("aria-valuetext", inWords);
  }
}

// Lets the marker be dragged; `timeAt` gives the time at a place in px.
export function draggable(marker, moment, timeAt) {
  marker.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    marker.setPointerCapture(event.pointerId);
    const follow = (moving) => moment.set(timeAt(moving.clientX));
    marker.addEventListener("pointermove", follow);
    marker.addEventListener("lostpointercapture", () => marker.removeEventListener("pointermove", follow), { once: true });
  });
}

export function tellBelief(section, moment) {
  const { belief, time } = moment;
  const put = (name, text) => {
    const place = section.querySelector(`[data-${name}]`);
    if (place.textContent !== text) place.textContent = text;
  };
  put("at-belief", say("at {time}", { time: at(time) }));
  put("sentence", belief?.sentence ?? say("Nothing was estimated yet."));
  put("step", belief?.step ?? "");
  for (const name of ["methanol", "water", "verdict"]) put(`then="${name}"`, belief?.[name] ?? "—");
  for (const name of ["gone", "dry"]) {
    put(`then="${name}"`, belief?.[name].said ?? "—");
    put(`came="${name}"`, belief?.[name].came ? `– ${belief[name].came}` : "");
  }
}
