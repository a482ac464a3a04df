// A car: the set-up of the page, and what was changed of it.

import { DATA } from "./data.js";

/** Of a number: two that differ by less are one. */
export const SAME = 1e-9;
/** Of each shoe. @type {string[]} */
export const GAP = DATA.shoes.gap;
/** @type {string[]} */
export const SLUG = DATA.shoes.slugMass;
export const NUT = "clutch.axial.nut_turns";
/** What can be changed here beside the gap: kept with all that is heard. */
const MOUNTED = [
  ...["first.pinion", "first.spur", "second.pinion", "second.spur", ...SLUG, NUT],
  ...["rear_tyre.radius", "front_tyre.radius", "fuel.nitromethane"],
  ...["air.temperature", "air.pressure", "air.relative_humidity"],
];

/** @typedef {[string, number]} Change a path and its value in SI units */

export class Car {
  /**
   * @param {string} setup one setting a line
   * @param {ReadonlyMap<string, number>} [changes] in SI units
   * @param {ReadonlyMap<string, number>} [own] what the set-up says of what can be mounted
   */
  constructor(setup, changes = new Map(), own = mountedIn(setup)) {
    this.setup = setup;
    this.changes = changes;
    this.own = own;
  }

  /** The set-up as text: of a path given twice the later line counts. */
  get text() {
    const lines = [...this.changes].map(([path, value]) => `${path} = ${value}\n`);
    return this.setup + lines.join("");
  }

  /** As it is in the file. */
  get unchanged() {
    return new Car(this.setup, new Map(), this.own);
  }

  /** What it is mounted with, whatever the file will say later. @returns {Change[]} */
  get mounted() {
    return MOUNTED.map((path) => [path, this.#value(path)]);
  }

  /**
   * In what a car mounted so differs from this one. What it does not name is as in the file, and
   * what was changed and set back may differ in the last bit.
   * @param {Change[]} mounted
   * @returns {Change[]}
   */
  othersIn(mounted) {
    const named = new Map(mounted);
    return MOUNTED.map((path) => /** @type {Change} */ ([path, named.get(path) ?? this.own.get(path)])).filter(
      ([path, value]) => Math.abs(value - this.#value(path)) > SAME * Math.abs(value),
    );
  }

  #value(path) {
    return this.changes.get(path) ?? this.own.get(path);
  }

  /**
   * @param {Iterable<readonly [string, number]>} changes
   * @returns {Car}
   */
  with(changes) {
    const all = new Map(this.changes);
    for (const [path, value] of changes) {
      all.delete(path); // so that it stands behind what was set before
      all.set(path, value);
    }
    return new Car(this.setup, all, this.own);
  }
}

/** What a set-up says of what can be mounted. @param {string} setup */
function mountedIn(setup) {
  const pairs = setup.split("\n").map((line) => line.split(" = "));
  return new Map(
    pairs.filter(([path]) => MOUNTED.includes(path)).map(([path, value]) => [path, Number(value)]),
  );
}
