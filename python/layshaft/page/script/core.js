// The compiled core: a set-up as text in, plain objects out. All numbers are in SI units.

/**
 * @typedef {{path: string, unit: string, whole: boolean, meaning: string, low: number,
 *   high: number, choices: string[]}} Field
 * @typedef {{version: string, fields: Field[], pairs: Record<string, string[]>}} FieldTable
 * @typedef {{part: string, code: string, text: string}} Warning
 * @typedef {{values: Record<string, number>, warnings: Warning[]}} Setup
 * @typedef {Record<string, number | null>} Scalars
 * @typedef {{scalars: Scalars, time: number | null, mark_time: number | null, doubtful: boolean, changes: number,
 *   stopped: string, warnings: Warning[], times: number[], distances: number[], speeds: number[],
 *   crank_speeds: number[]}} Launch
 * @typedef {{scalars: Scalars, stopped: string, complete: boolean, doubtful: boolean}} Lap
 */

/** What the core refuses, in its own words. */
export class Refused extends Error {}

/** What a C library may ask of its system: nothing here has files, arguments or an environment. */
function system(memory) {
  const nothing = () => 0;
  const noEnvironment = (count, size) => {
    const view = new DataView(memory().buffer);
    view.setUint32(count, 0, true);
    view.setUint32(size, 0, true);
    return 0;
  };
  const stop = () => {
    throw new Refused("the core stopped");
  };
  return {
    environ_get: nothing,
    environ_sizes_get: noEnvironment,
    fd_close: nothing,
    fd_seek: nothing,
    fd_write: nothing,
    proc_exit: stop,
  };
}

export class Core {
  /** @param {WebAssembly.Module} module */
  constructor(module) {
    const own = system(() => this.memory);
    const instance = new WebAssembly.Instance(module, { wasi_snapshot_preview1: own });
    this.exports = /** @type {any} */ (instance.exports);
    this.memory = /** @type {WebAssembly.Memory} */ (this.exports.memory);
    this.exports._initialize();
    /** @type {Map<string, {asked: string, answer: any}>} */
    this.last = new Map();
  }

  /** @returns {FieldTable} */
  fields() {
    this.table ??= this.#answer(this.exports.page_fields());
    return this.table;
  }

  /**
   * A field that there is.
   * @param {string} path
   */
  field(path) {
    return /** @type {Field} */ (this.fields().fields.find((each) => each.path === path));
  }

  /**
   * @param {string} setup
   * @returns {Setup}
   */
  read(setup) {
    return this.#once("page_read", setup);
  }

  /**
   * What a car should be warned of: what a long launch shows, and what the set-up says itself.
   * @param {string} setup
   * @returns {Warning[]}
   */
  warnings(setup) {
    return [this.#ask("page_launch_warnings", setup), this.read(setup)].flatMap((each) => each.warnings);
  }

  /**
   * A launch from rest to a distance [m] by way of a mark, with a sample every `interval` [s]; 0
   * keeps none.
   * @param {string} setup
   * @param {number} mark
   * @param {number} distance
   * @param {number} interval
   * @returns {Launch}
   */
  launch(setup, mark, distance, interval) {
    return this.#once("page_launch", setup, mark, distance, interval);
  }

  /**
   * A flying lap of a track: rows of length, four coefficients of curvature, grip and grade.
   * @param {string} setup
   * @param {number[][]} pieces
   * @returns {Lap}
   */
  lap(setup, pieces) {
    const numbers = new Float64Array(pieces.flat());
    const place = this.#put(new Uint8Array(numbers.buffer));
    try {
      return this.#ask("page_lap", setup, place, pieces.length);
    } finally {
      this.exports.free(place);
    }
  }

  /**
   * Fits the car to what was seen; the question has a line for each number and each observation.
   * @param {string} setup
   * @param {string} question
   * @returns {import("./learning.js").Learned}
   */
  learn(setup, question) {
    const place = this.#put(new TextEncoder().encode(`${question}\0`));
    try {
      return this.#ask("page_learn", setup, place);
    } finally {
      this.exports.free(place);
    }
  }

  /**
   * The best gap [m] for a shift at a speed [m/s], or with 0 for the least time over 60 m.
   * @param {string} setup
   * @param {{target: number, within: number}} goal
   * @param {[number, number]} range [m]
   * @returns {{found: boolean, gap: number, cost: number, step: number}}
   */
  bestGap(setup, goal, range) {
    return this.#ask("page_best_gap", setup, goal.target, goal.within, ...range);
  }

  /**
   * Turns of a set screw from one caliper reading [m] to another; positive is in.
   * @param {string} setup
   * @param {number} was
   * @param {number} becomes
   * @returns {number}
   */
  turns(setup, was, becomes) {
    return this.#ask("page_turns", setup, was, becomes).turns;
  }

  /** The same, but what was asked last is answered from memory: several ask of one car in turn. */
  #once(name, ...question) {
    const asked = question.join();
    if (this.last.get(name)?.asked !== asked) {
      this.last.set(name, { asked, answer: this.#ask(name, ...question) });
    }
    return this.last.get(name).answer;
  }

  #ask(name, text, ...numbers) {
    const place = this.#put(new TextEncoder().encode(`${text}\0`));
    try {
      return this.#answer(this.exports[name](place, ...numbers));
    } finally {
      this.exports.free(place);
    }
  }

  #put(bytes) {
    const place = this.exports.malloc(bytes.length);
    new Uint8Array(this.memory.buffer).set(bytes, place);
    return place;
  }

  #answer(place) {
    const bytes = new Uint8Array(this.memory.buffer, place);
    const text = new TextDecoder().decode(bytes.subarray(0, bytes.indexOf(0)));
    const answer = JSON.parse(text);
    if (answer.error !== undefined) throw new Refused(answer.error);
    return answer;
  }
}

/** Digits of base85 as Python has them, with a dot for what begins a mark. */
const DIGITS =
  "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%&()*+-;.=>?@^_`{|}~";

/**
 * Four bytes of each five digits; what is short of five is filled up with the last digit.
 * @param {string} text
 */
function bytesOf(text) {
  const values = new Uint8Array(128);
  for (let i = 0; i < DIGITS.length; ++i) values[DIGITS.charCodeAt(i)] = i;
  const lacking = (5 - (text.length % 5)) % 5;
  const whole = text + DIGITS.at(-1).repeat(lacking);
  const bytes = new DataView(new ArrayBuffer((whole.length / 5) * 4));
  for (let group = 0; group < whole.length / 5; ++group) {
    let number = 0;
    for (let i = 0; i < 5; ++i) number = number * 85 + values[whole.charCodeAt(5 * group + i)];
    bytes.setUint32(4 * group, number);
  }
  return new Uint8Array(bytes.buffer, 0, bytes.byteLength - lacking);
}

/**
 * Unpacks the core as the page holds it: gzip in base85.
 * @param {string} packed
 * @returns {Promise<Core>}
 */
export async function unpackCore(packed) {
  const stream = new Blob([bytesOf(packed)]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Core(await WebAssembly.compile(await new Response(stream).arrayBuffer()));
}
