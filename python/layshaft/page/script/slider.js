// A setting to be moved: a native slider between two buttons for one fine step.

import { element } from "./dom.js";

/** What takes longer than a move may waits until the hand rests [ms]. */
export const REST = 250;

/**
 * @typedef {{name: string, low: number, high: number, step: number, value: number,
 *   stops?: number[],
 *   shown: (value: number) => string, moved: (value: number) => void}} Setting `stops`, from the
 *   least on, are the only values where they are given
 */

export class Slider {
  /** @param {Setting} setting numbers in the unit shown */
  constructor(setting) {
    this.setting = setting;
    const { name, low, high } = setting;
    const id = `slider-${name.toLowerCase().replaceAll(/[^a-z]+/g, "-")}`;
    this.output = element("output", { for: id });
    // Evenly from its lower end: the step may not divide the value it begins with.
    this.input = element("input", { id, type: "range", min: low, max: high, step: "any" });
    const label = element("label", { for: id }, name);
    const less = element("button", { type: "button", "aria-label": `${name}: less` }, "−");
    const more = element("button", { type: "button", "aria-label": `${name}: more` }, "+");
    less.addEventListener("click", () => this.#step(-1));
    more.addEventListener("click", () => this.#step(1));
    this.input.addEventListener("input", () => this.#move(Number(this.input.value)));
    this.input.addEventListener("keydown", (event) => this.#key(event));
    this.row = element("div", { class: "slider" });
    this.row.append(
      element("div", { class: "name" }, label, this.output),
      element("div", { class: "track" }, less, this.input, more),
    );
    this.show(setting.value);
  }

  /** Shows a value without telling anybody. @param {number} value */
  show(value) {
    this.value = value;
    this.input.value = String(value);
    this.output.textContent = this.setting.shown(value);
    this.input.setAttribute("aria-valuetext", this.output.textContent);
  }

  #move(value) {
    const { low, high, step, stops } = this.setting;
    const rounded = stops?.at(nearest(stops, value)) ?? Number((Math.round(value / step) * step).toFixed(6));
    this.show(Math.min(Math.max(rounded, low), high));
    this.setting.moved(this.value);
  }

  /** Moves by fine steps. @param {number} count */
  #step(count) {
    const { step, stops } = this.setting;
    if (stops === undefined) return this.#move(this.value + count * step);
    const place = Math.min(Math.max(nearest(stops, this.value) + count, 0), stops.length - 1);
    this.#move(stops[place]);
  }

  #key(event) {
    const ways = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 };
    const way = ways[event.key] ?? { PageDown: -10, PageUp: 10 }[event.key];
    if (way === undefined) return;
    event.preventDefault();
    this.#step(way);
  }
}

/** The place of the stop nearest to a value. */
function nearest(stops, value) {
  const off = stops.map((each) => Math.abs(each - value));
  return off.indexOf(Math.min(...off));
}
