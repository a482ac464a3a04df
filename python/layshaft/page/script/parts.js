// Parts at hand: which of those that the page knows are in the box today. What can be tried follows.

import { SLUG } from "./car.js";
import { element, part } from "./dom.js";
import { number } from "./units.js";

const GEARS = [
  ["First pinions", "first.pinion"],
  ["First spurs", "first.spur"],
  ["Second pinions", "second.pinion"],
  ["Second spurs", "second.spur"],
];

/** @typedef {Record<string, number>} GearSet */

export class PartsAtHand {
  /**
   * @param {{gears: GearSet[], slugs: number[]}} data sets that mesh; masses of slugs [kg]
   * @param {import("./car.js").Change[]} absent parts that are not in the box
   * @param {() => void} changed
   */
  constructor(data, absent, changed) {
    this.data = data;
    this.absent = absent;
    this.changed = changed;
    const rows = GEARS.map(([name, path]) =>
      this.#row(name, path, [...new Set(data.gears.map((set) => set[path]))], String));
    const slugs = this.#row("Slugs, g", SLUG[0], data.slugs, (mass) => number(mass * 1e3, 2));
    const shown = [...rows, slugs].filter((row) => row !== null);
    part("parts").replaceChildren(...shown);
    part("parts-at-hand").hidden = shown.length === 0;
  }

  /** Sets of gears whose wheels are all at hand. @returns {GearSet[]} */
  get gears() {
    return this.data.gears.filter((set) => Object.entries(set).every((each) => this.#has(each)));
  }

  /** Masses of the slugs at hand [kg]. @returns {number[]} */
  get slugs() {
    return this.data.slugs.filter((mass) => this.#has([SLUG[0], mass]));
  }

  #has([path, value]) {
    return !this.absent.some(([other, least]) => other === path && least === value);
  }

  /** A button for each part of a kind; nothing where there is no choice. */
  #row(name, path, values, text) {
    if (values.length < 2) return null;
    const buttons = values.toSorted((a, b) => a - b).map((value) => this.#button([path, value], text(value)));
    const box = element("div", { class: "buttons" }, ...buttons);
    return element("fieldset", {}, element("legend", {}, name), box);
  }

  #button(own, text) {
    const button = element("button", { type: "button" }, text);
    const show = () => button.setAttribute("aria-pressed", String(this.#has(own)));
    button.addEventListener("click", () => {
      const others = this.absent.filter(([path, value]) => path !== own[0] || value !== own[1]);
      this.absent = this.#has(own) ? [...others, own] : others;
      show();
      this.changed();
    });
    show();
    return button;
  }
}
