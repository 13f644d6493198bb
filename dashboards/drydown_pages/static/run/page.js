// Puts a run's page together: takes what it brought and fetches its series, draws them, and keeps charts, rows, moment and table in step.

import { Axis, handle } from "./axis.js";
import { say } from "../say.js";
import { courseIn, fetchSeries, Trouble } from "./data.js";
import { keepFresh } from "./fresh.js";
import { Moment, draggable, tellBelief } from "./moment.js";
import { keepTime, moment } from "./numbers.js";
import { PANELS } from "./panels.js";
import { LEFT, RIGHT, dataOf, mixColours, plot } from "./plots.js";
import { drawRows } from "./rows.js";
import { fillTable, valueInWords } from "./table.js";

const SETTLED = 300; // ms without a move after which finer readings are fetched
const find = (name) => document.querySelector(`[data-${name}]`);
const main = document.querySelector("[data-tank]");
const [timed, rowsPlace, panelsPlace, marker, numbers] = ["timed", "rows", "panels", "marker", "numbers"].map(find);

class Page {
  constructor(course, series) {
    this.measure(); // while nothing has changed yet, or the page is laid out once more for it
    keepTime(course);
    this.course = course;
    this.overview = this.series = series;
    this.axis = new Axis([course.start, Math.max(course.until, course.start + 60)]);
    this.moment = new Moment(document.getElementById("moment"), this.axis.whole, course.beliefs);
    this.hovered = null; // the time below the mouse
    this.plots = [];
  }

  // Where the axis of time is, in px of the window.
  inside() {
    return { left: panelsPlace.getBoundingClientRect().left + LEFT, width: this.width };
  }

  measure() {
    this.across = panelsPlace.clientWidth;
    this.width = Math.max(this.across - LEFT - RIGHT, 1); // a page that is not laid out yet has no width
  }

  timeAt(x) {
    const { left, width } = this.inside();
    const [from, to] = this.axis.span;
    return from + ((x - left) / width) * (to - from);
  }

  placeOf(time) {
    const [from, to] = this.axis.span;
    return ((time - from) / (to - from)) * this.width;
  }

  draw() {
    mixColours();
    for (const { chart } of this.plots) chart.destroy();
    this.plots = [];
    for (const panel of window.uPlot ? PANELS : []) {
      const place = panelOf(panel, this.series);
      const chart = plot(place.querySelector(".plot"), panel, this.series, this.course, this.axis.span, this.across);
      if (chart) this.plots.push({ panel, chart, place });
    }
    panelsPlace.replaceChildren(...this.plots.map(({ place }) => place));
    this.follow();
  }

  // After the axis moved.
  follow() {
    const [min, max] = this.axis.span;
    for (const { chart } of this.plots) chart.setScale("x", { min, max });
    drawRows(rowsPlace, this.course, (time) => this.placeOf(time), this.width);
    if (numbers.open) this.fill();
    this.point();
  }

  // After the moment, or what is below the mouse, has changed.
  point() {
    const { time } = this.moment;
    const at = this.placeOf(time);
    marker.style.left = `${LEFT + at}px`;
    marker.hidden = at < -1 || at > this.width + 1;
    const read = this.hovered ?? time;
    timed.classList.toggle("hovering", this.hovered !== null);
    find("at").textContent = moment(read);
    for (const { panel, place } of this.plots) {
      for (const one of panel.lines) {
        const value = place.querySelector(`[data-line="${one.series}"]`);
        if (value) value.textContent = valueInWords(panel, one, this.series, read);
      }
    }
    tellBelief(find("belief"), this.moment);
    queueMicrotask(() => this.whiskers()); // by then the charts know their places
    this.moment.tell(`${moment(time)}. ${this.moment.belief?.sentence ?? say("Nothing was estimated yet.")}`);
  }

  // When it was believed to end, drawn at the limit: a bar with its middle.
  whiskers() {
    const { width } = this;
    for (const { panel, chart, place } of this.plots) {
      const bar = place.querySelector(".foreseen");
      const end = panel.end && this.moment.belief?.[panel.end];
      const shown = Boolean(end && end.median !== null && end.median !== undefined);
      bar?.toggleAttribute("hidden", !shown);
      if (!shown || !bar) continue;
      const [low, middle, high] = [end.low, end.median, end.high].map((time) => Math.min(Math.max(this.placeOf(time), 0), width));
      const [[limit]] = panel.limits(this.course.limits);
      bar.style.left = `${LEFT + low}px`;
      bar.style.width = `${Math.max(high - low, 3)}px`;
      bar.style.top = `${chart.bbox.top / devicePixelRatio + chart.valToPos(panel.to(limit), "y")}px`;
      bar.firstElementChild.style.left = `${middle - low}px`;
    }
  }

  fill() {
    fillTable(find("table"), PANELS, this.series, this.course.rows, this.axis.span);
  }

  // What came since; whoever looked at the whole run, or at its end, goes on doing so.
  goOn(course, series) {
    const { axis, moment } = this;
    const [all, atEnd] = [axis.span.every((end, i) => end === axis.whole[i]), moment.time >= moment.until];
    keepTime(course);
    this.course = course;
    this.overview = this.series = series;
    axis.whole = [course.start, Math.max(course.until, course.start + 60)];
    if (all) axis.span = [...axis.whole];
    moment.extend(axis.whole[1], course.beliefs);
    find("belief").hidden = !course.beliefs.length;
    this.draw();
    if (atEnd) moment.set(axis.whole[1]);
  }

  // More readings of what is shown, where the first ones are too few for it.
  async refine() {
    const [from, to] = this.axis.span;
    const whole = this.axis.whole[1] - this.axis.whole[0];
    const close = to - from < whole / 2 && Object.values(this.overview).some((one) => one.step > 0);
    const spare = (to - from) / 4;
    const series = close ? await fetchSeries(main.dataset.series, [from - spare, to + spare]) : this.overview;
    if (series === this.series || from !== this.axis.span[0] || to !== this.axis.span[1]) return;
    this.series = { ...this.overview, ...series };
    for (const { panel, chart } of this.plots) chart.setData(dataOf(panel, this.series), false);
    this.follow();
  }
}

function element(kind, className, text = "") {
  return Object.assign(document.createElement(kind), { className, textContent: text });
}

function panelOf(panel, series) {
  const place = element("section", "panel");
  const head = element("h3", "", panel.title);
  head.append(element("span", "unit", ` ${panel.unit}`));
  const legend = element("p", "legend");
  for (const one of panel.lines) {
    if (!series[one.series]?.time.length) continue;
    const item = element("span", "line");
    const value = element("b", "");
    value.dataset.line = one.series;
    item.append(sample(one), ` ${one.name} `, value);
    legend.append(item, " ");
  }
  const chart = element("div", "plot");
  place.append(head, legend, chart);
  if (panel.end) {
    const bar = element("div", "foreseen");
    bar.append(element("span", ""));
    chart.append(bar);
  }
  return place;
}

// A piece of the line as it is drawn, so that its dashes tell which it is.
function sample({ pen }) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  svg.setAttribute("class", `sample ${pen.colour.slice(2)}`);
  svg.setAttribute("viewBox", "0 0 34 8");
  svg.setAttribute("aria-hidden", "true");
  path.setAttribute("d", "M0 4H34");
  path.setAttribute("stroke-width", pen.width);
  path.setAttribute("stroke-dasharray", (pen.dash ?? []).join(" "));
  svg.append(path);
  return svg;
}

const KEYS = {
  ArrowLeft: (page) => page.moment.shift(-1),
  ArrowRight: (page) => page.moment.shift(1),
  "+": (page) => page.axis.zoom(0.5, page.moment.time),
  "-": (page) => page.axis.zoom(2, page.moment.time),
  0: (page) => page.axis.showWhole(),
};

function listen(page) {
  const { axis, moment } = page;
  let settled = 0;
  axis.addEventListener("moved", () => {
    page.follow();
    clearTimeout(settled);
    settled = setTimeout(() => page.refine().catch(complain), SETTLED);
  });
  moment.addEventListener("moved", () => page.point());
  handle(timed, axis, () => page.inside(), (time) => moment.set(time));
  draggable(marker, moment, (x) => page.timeAt(x));
  timed.addEventListener("keydown", (event) => {
    const shifted = event.shiftKey && { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (shifted) axis.pan((shifted * (axis.span[1] - axis.span[0])) / 4);
    else if (KEYS[event.key] && !event.ctrlKey && !event.metaKey) KEYS[event.key](page);
    else return;
    event.preventDefault();
  });
  timed.addEventListener("pointermove", (event) => {
    if (event.pointerType !== "mouse" || event.buttons) return;
    const time = page.timeAt(event.clientX);
    page.hovered = time >= axis.span[0] && time <= axis.span[1] ? time : null;
    find("hair").style.left = `${event.clientX - timed.getBoundingClientRect().left}px`;
    page.point();
  });
  timed.addEventListener("pointerleave", () => {
    page.hovered = null;
    page.point();
  });
  const zooms = { in: () => axis.zoom(0.5, moment.time), out: () => axis.zoom(2, moment.time), whole: () => axis.showWhole() };
  document.addEventListener("click", (event) => zooms[event.target.closest("[data-zoom]")?.dataset.zoom]?.());
  numbers.addEventListener("toggle", () => numbers.open && page.fill());
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => page.draw());
  new ResizeObserver(() => {
    if (panelsPlace.clientWidth === page.across) return;
    page.measure();
    for (const { chart } of page.plots) chart.setSize({ width: page.across, height: chart.height });
    page.follow();
  }).observe(panelsPlace);
}

function complain(error) {
  const place = find("trouble");
  place.textContent = error instanceof Trouble ? error.message : say("The charts could not be drawn. Load this page again.");
  place.hidden = false;
  if (!(error instanceof Trouble)) throw error;
}

const fetchRun = async (page) => [courseIn(page), await fetchSeries(main.dataset.series)];

async function begin() {
  const [course, series] = await fetchRun(document);
  await new Promise(requestAnimationFrame); // what is drawn within a frame is shown with it, and not with a later one
  const page = new Page(course, series);
  page.draw();
  find("drawing").classList.remove("unready");
  find("belief").hidden = !course.beliefs.length;
  numbers.hidden = false;
  listen(page);
  keepFresh(main, async (now) => page.goOn(...(await fetchRun(now))));
  queueMicrotask(() => {
    performance.mark("drydown:run"); // all is drawn, on its way to the screen
    main.dataset.drawn = "";
  });
}

if (main) begin().catch(complain); // without it the page tells what is wrong
