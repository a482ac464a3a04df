// What changes from day to day, by the name and in the unit of the pit: sliders and lists say the same.

import { number } from "./units.js";

const KELVIN = 273.15;

/**
 * @typedef {{name: string, path: string, unit: string, digits: number, times: number,
 *   offset: number, low: number, high: number, step: number}} Daily ends and step in its own unit
 */

/**
 * @param {Record<string, number>} values of a car, in SI units
 * @returns {Daily[]}
 */
export function daily(values) {
  const row = (name, path, unit, times, offset, low, high) =>
    ({ name, path, unit, digits: 0, times, offset, low, high, step: 1 });
  // As measured: what is worn is gone.
  const tyre = (name, section) => {
    const wear = 2e3 * values[`${section}.wear`];
    const diameter = 2e3 * values[`${section}.radius`] - wear;
    const ends = [Math.max(diameter - 8, 40), diameter + 4];
    return { ...row(name, `${section}.radius`, "mm", 2e3, -wear, ...ends), digits: 1, step: 0.1 };
  };
  return [
    tyre("Rear tyre diameter", "rear_tyre"),
    tyre("Front tyre diameter", "front_tyre"),
    row("Nitromethane", "fuel.nitromethane", "%", 100, 0, 0, 40),
    row("Air", "air.temperature", "°C", 1, -KELVIN, -5, 45),
    row("Pressure", "air.pressure", "hPa", 1e-2, 0, 850, 1060),
    row("Humidity", "air.relative_humidity", "%", 100, 0, 0, 100),
  ];
}

/**
 * A value in words. @param {Daily} row
 * @param {number} value in the row's unit
 */
export function dailyText({ unit, digits }, value) {
  return `${number(value, digits)} ${unit}`;
}

/** From the SI unit. @param {Daily} row @param {number} value */
export function fromSi({ times, offset }, value) {
  return value * times + offset;
}

/** To the SI unit. @param {Daily} row @param {number} value */
export function toSi({ times, offset }, value) {
  return (value - offset) / times;
}
