// Numbers in the units of the pit. What is not there is a dash.

export const KMH = 3.6;
export const RPM = 30 / Math.PI;
const NONE = "–";
/** What a speed typed can be [km/h], and a gap [mm]: the core takes no other gap. */
export const SPEEDS = /** @type {[number, number]} */ ([5, 200]);
export const GAPS = /** @type {[number, number]} */ ([1, 10]);

/** @typedef {number | null | undefined} Maybe */

/**
 * A number as it is typed, with a point or a comma; not a number where it is none.
 * @param {string} text
 */
export function typed(text) {
  return /^\d+(?:[.,]\d*)?$/.test(text.trim()) ? Number(text.replace(",", ".")) : NaN;
}

/**
 * What a button makes of a typed number: one step on, within two ends, as many digits kept as
 * were typed; from one end where no number was.
 * @param {string} text
 * @param {number} step
 * @param {[number, number]} ends
 */
export function stepped(text, step, [low, high]) {
  const value = typed(text);
  const moved = Number.isNaN(value) ? low : value + step;
  return String(Number(Math.min(Math.max(moved, low), high).toFixed(3)));
}

/**
 * @param {Maybe} value
 * @param {number} digits
 */
export function number(value, digits) {
  if (value === null || value === undefined || !Number.isFinite(value)) return NONE;
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace("-", "") : text.replace("-", "−");
}

/**
 * @param {Maybe} value
 * @param {number} times
 */
export function scaled(value, times) {
  return value === null || value === undefined ? null : value * times;
}

/**
 * Engine speed [rad/s] to the next hundred revolutions a minute.
 * @param {Maybe} speed
 */
export function revs(speed) {
  const rpm = scaled(speed, RPM);
  if (rpm === null || !Number.isFinite(rpm)) return NONE;
  return String(Math.round(rpm / 100) * 100).replace(/\B(?=(\d{3})+$)/, ",");
}

/**
 * Turns of a screw with their direction.
 * @param {number} turns
 */
export function turnsText(turns) {
  const hundredths = Math.round(turns * 100);
  if (hundredths === 0) return "0";
  return `${(Math.abs(hundredths) / 100).toFixed(2)} ${hundredths > 0 ? "in" : "out"}`;
}

/**
 * A sentence whose numbers do not part from their units at the end of a line.
 * @param {string} text
 */
export function tied(text) {
  return text.replaceAll(/(\d) (?=(?:km\/h|mm|s|g|m|in|out)\b)/g, "$1\u00a0");
}

/** How fields are shown: SI unit to the unit of the pit, what it is multiplied with, and digits. */
const SHOWN = new Map([
  ["m", ["mm", 1e3]],
  ["m^2", ["cm²", 1e4]],
  ["m^3", ["cm³", 1e6]],
  ["kg", ["g", 1e3]],
  ["m/s", ["km/h", KMH]],
  ["rad/s", ["rpm", RPM]],
  ["rad", ["°", 180 / Math.PI]],
  ["N/m", ["N/mm", 1e-3]],
  ["Pa", ["hPa", 1e-2]],
  ["kg*m^2", ["g cm²", 1e7]],
  ["1", ["", 1]],
]);

/** A path in words. @param {string} path */
export function words(path) {
  return path.replace("two_speed.", "").replaceAll(/[_.]/g, " ");
}

/**
 * @param {{unit: string, choices: string[]}} field
 * @param {number} value
 */
export function fieldText(field, value) {
  if (field.choices.length > 0) return field.choices[value].replaceAll("_", " ");
  if (field.unit === "K") return `${Number((value - 273.15).toPrecision(6))} °C`;
  const [unit, times] = SHOWN.get(field.unit) ?? [field.unit, 1];
  return `${Number((value * Number(times)).toPrecision(6))} ${unit}`.trim();
}
