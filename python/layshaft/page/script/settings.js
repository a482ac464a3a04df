// Car: what changes from day to day, and the whole set-up to look things up in.

import { element, listWarnings, part } from "./dom.js";
import { REST, Slider } from "./slider.js";
import { fieldText, number } from "./units.js";

const TYRES = [
  ["Rear tyres", "rear_tyre"],
  ["Front tyres", "front_tyre"],
];
const KELVIN = 273.15;

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
    const slider = (name, unit, digits, path, times, offset, low, high, step) =>
      new Slider({
        ...{ name, low, high, step, value: values[path] * times + offset },
        shown: (value) => `${number(value, digits)} ${unit}`,
        moved: (value) => this.changed([[path, (value - offset) / times]]),
      });
    const tyres = TYRES.map(([name, section]) => {
      const wear = values[`${section}.wear`];
      const diameter = 2e3 * (values[`${section}.radius`] - wear);
      return slider(name, "mm", 1, `${section}.radius`, 2e3, -2e3 * wear,
        Math.max(diameter - 8, 40), diameter + 4, 0.1);
    });
    return [
      ...tyres,
      slider("Nitromethane", "%", 0, "fuel.nitromethane", 100, 0, 0, 40, 1),
      slider("Air", "°C", 0, "air.temperature", 1, -KELVIN, -5, 45, 1),
      slider("Pressure", "hPa", 0, "air.pressure", 1e-2, 0, 850, 1060, 1),
      slider("Humidity", "%", 0, "air.relative_humidity", 100, 0, 0, 100, 1),
    ];
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
