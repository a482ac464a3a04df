// Car: what changes from day to day, and the whole set-up to look things up in.

import { daily, dailyText, fromSi, toSi } from "./daily.js";
import { element, listWarnings, part } from "./dom.js";
import { REST, Slider } from "./slider.js";
import { fieldText } from "./units.js";

/** @typedef {import("./car.js").Car} Car */

export class Settings {
  /**
   * @param {import("./core.js").Core} core
   * @param {Car} car
   * @param {(changes: [string, number][]) => void} changed
   */
  constructor(core, car, changed) {
    this.core = core;
    this.changed = changed;
    this.resting = 0;
    part("whole").addEventListener("toggle", () => this.#showTable());
    this.show(car);
  }

  /** @param {Car} car */
  show(car) {
    const { values } = this.core.read(car.text);
    part("car-sliders").replaceChildren(...this.#sliders(values).map((slider) => slider.row));
    this.showCar(car);
  }

  /** Shows a car's set-up, and what it should be warned of once the hand rests. @param {Car} car */
  showCar(car) {
    this.car = car;
    this.#showTable();
    clearTimeout(this.resting);
    this.resting = setTimeout(() => listWarnings(part("warnings"), this.core.warnings(car.text)), REST);
  }

  #sliders(values) {
    return daily(values).map((row) => {
      const { name, path, low, high, step } = row;
      return new Slider({
        ...{ name, low, high, step, value: fromSi(row, values[path]) },
        shown: (value) => dailyText(row, value),
        moved: (value) => this.changed([[path, toSi(row, value)]]),
      });
    });
  }

  /** Fills the table where it is open: it is most of what the page has to build. */
  #showTable() {
    if (!part("whole").open) return;
    const { values } = this.core.read(this.car.text);
    const rows = this.core.fields().fields.map((field) =>
      element("tr", {},
        element("th", { scope: "row" }, field.path.replaceAll("_", " ").replaceAll(".", " · ")),
        element("td", {}, fieldText(field, values[field.path])),
        element("td", {}, field.meaning)),
    );
    part("fields").replaceChildren(...rows);
  }
}
