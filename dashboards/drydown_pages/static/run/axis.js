// The one axis of time: pan, pinch, wheel and keys move it; whoever draws on it is told.

const CLOSEST = 120; // s
const DRAGGED = 6; // px after which a finger drags and does not tap

export class Axis extends EventTarget {
  constructor(whole) {
    super();
    this.whole = whole;
    this.span = [...whole];
  }

  // Keep what is shown within the run.
  show(from, to) {
    const [first, last] = this.whole;
    const length = Math.min(Math.max(to - from, CLOSEST), last - first);
    const start = Math.min(Math.max(from + (to - from - length) / 2, first), last - length);
    this.span = [start, start + length];
    this.dispatchEvent(new Event("moved"));
  }

  // `factor` below 1 looks closer; `at` stays where it is.
  zoom(factor, at = (this.span[0] + this.span[1]) / 2) {
    const [from, to] = this.span;
    this.show(at - (at - from) * factor, at + (to - at) * factor);
  }

  pan(seconds) {
    const [from, to] = this.span;
    const room = Math.max(Math.min(seconds, this.whole[1] - to), this.whole[0] - from);
    this.show(from + room, to + room);
  }

  showWhole() {
    this.show(...this.whole);
  }
}

// Fingers, mouse and wheel on `place`. `inside` gives left and width of the axis in px; `tapped` gets a time.
export function handle(place, axis, inside, tapped) {
  const held = new Map(); // pointers by their number
  let moved = 0;

  const timeAt = (x) => {
    const { left, width } = inside();
    return axis.span[0] + ((x - left) / width) * (axis.span[1] - axis.span[0]);
  };
  const perPixel = () => (axis.span[1] - axis.span[0]) / inside().width;
  const apart = ([a, b]) => Math.max(Math.abs(a - b), 20);

  place.addEventListener("pointerdown", (event) => {
    if (event.target.closest("[data-marker]") || event.button) return;
    held.set(event.pointerId, event.clientX);
    if (held.size === 1) moved = 0;
  });
  place.addEventListener("pointermove", (event) => {
    if (!held.has(event.pointerId)) return;
    const before = [...held.values()];
    const step = event.clientX - held.get(event.pointerId);
    held.set(event.pointerId, event.clientX);
    moved += Math.abs(step);
    if (moved > DRAGGED) place.setPointerCapture(event.pointerId);
    const now = [...held.values()];
    if (now.length === 2) {
      moved = Infinity;
      axis.zoom(apart(before) / apart(now), timeAt((now[0] + now[1]) / 2));
    } else if (now.length === 1 && moved > DRAGGED) axis.pan(-step * perPixel());
  });
  const release = (event) => {
    const tap = held.delete(event.pointerId) && event.type === "pointerup" && moved <= DRAGGED;
    if (tap) tapped(timeAt(event.clientX));
  };
  place.addEventListener("pointerup", release);
  place.addEventListener("pointercancel", release);
  place.addEventListener(
    "wheel",
    (event) => {
      if (event.ctrlKey) axis.zoom(Math.exp(event.deltaY * 0.01), timeAt(event.clientX));
      else if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) axis.pan(event.deltaX * perPixel());
      else return;
      event.preventDefault();
    },
    { passive: false },
  );
}
