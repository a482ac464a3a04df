// A car: the set-up of the page, and what was changed of it.

export class Car {
  /**
   * @param {string} setup one setting a line
   * @param {ReadonlyMap<string, number>} [changes] in SI units
   */
  constructor(setup, changes = new Map()) {
    this.setup = setup;
    this.changes = changes;
  }

  /** The set-up as text: of a path given twice the later line counts. */
  get text() {
    const lines = [...this.changes].map(([path, value]) => `${path} = ${value}\n`);
    return this.setup + lines.join("");
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
    return new Car(this.setup, all);
  }
}
