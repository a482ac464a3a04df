// A car: the set-up of the page, and what was changed of it.

const SAME = 1e-9;

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
   * Whether it is changed just so; what was changed and set back may differ in the last bit.
   * @param {[string, number][]} changes
   */
  isWith(changes) {
    const others = new Map(changes);
    const paths = new Set([...this.changes.keys(), ...others.keys()]);
    return [...paths].every((path) => {
      const one = this.changes.get(path) ?? this.#own(path);
      const other = others.get(path) ?? this.#own(path);
      return Math.abs(one - other) <= SAME * Math.abs(one);
    });
  }

  /** What the set-up says of a path, without what was changed. */
  #own(path) {
    const line = this.setup.split("\n").findLast((each) => each.startsWith(`${path} = `));
    return Number(line?.slice(path.length + 3));
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
