// What was heard, taken into the car: the fit runs in the core; draws of what it leaves in doubt here.

import { KMH } from "./units.js";

/**
 * @typedef {{path: string, value: number, ends: [number, number], low: number,
 *   high: number, followers: Record<string, number>}} Unknown
 * @typedef {{unknowns: Unknown[], covariance: number[], shown: (number | null)[],
 *   end: string}} Learned
 * @typedef {import("./store.js").Heard} Heard
 */

/** Standard error of a speed that was heard [m/s]. */
const HEARD_ERROR = 2 / KMH;

/**
 * The question to the core, a line each; what was heard with another car is asked of that.
 * @param {Record<string, number>} doubts standard deviation of each number to learn
 * @param {Heard[]} heard
 * @param {import("./car.js").Car} car as it is now
 */
export function question(doubts, heard, car) {
  const unknowns = Object.entries(doubts).map(([path, doubt]) => `unknown ${path} ${doubt}`);
  const seen = heard.map(({ moment, speed, gap, changes }) => {
    const settings = [["two_speed.gap", gap], ...car.othersIn(changes)];
    return ["seen", moment, speed, HEARD_ERROR, ...settings.flat()].join(" ");
  });
  return [...unknowns, ...seen].join("\n");
}

/**
 * Changes of the car: numbers, and what follows them in proportion.
 * @param {Learned} learned
 * @param {number[]} values
 * @returns {[string, number][]}
 */
export function changesOf(learned, values) {
  return learned.unknowns.flatMap((unknown, i) => {
    const value = Math.min(Math.max(values[i], unknown.low), unknown.high);
    const followers = Object.entries(unknown.followers);
    return [[unknown.path, value], ...followers.map(([path, ratio]) => [path, ratio * value])];
  });
}

/** What is to be said of a fit that did not settle; nothing of one that did. */
export const ENDS = {
  settled: "",
  rough: "The fit came within a thousandth of its best: jumps of what the car shows hide the rest.",
  most_looks:
    "The fit did not get to its best: take the values for better ones, not the best, and learn from fewer numbers at a time.",
};

/** What chance exceeds once in a hundred, in standard deviations. */
const TAIL = 2.326348;

/**
 * Whether the learned car shows what was heard, as far as its error goes: the sum of squares
 * against its distribution by chance, by Wilson and Hilferty (1931), within 1 % of the exact one.
 * @param {Learned} learned
 * @param {Heard[]} heard
 */
export function agrees(learned, heard) {
  if (learned.shown.some((each) => each === null)) return false;
  const off = heard.map(({ speed }, i) => (Number(learned.shown[i]) - speed) / HEARD_ERROR);
  const freedom = Math.max(heard.length - learned.unknowns.length, 1);
  const spread = 2 / (9 * freedom);
  const most = freedom * (1 - spread + TAIL * Math.sqrt(spread)) ** 3;
  return off.reduce((sum, each) => sum + each ** 2, 0) < most;
}

/** Standard deviations to either side that hold 95 % of a normal distribution. */
const WIDTH_95 = 1.959964;

/**
 * Cars drawn from what is known: the values, moved by rows of normal numbers, each as far to either
 * side as its interval reaches there.
 * @param {Learned} learned
 * @param {number[][]} normals
 * @returns {[string, number][][]}
 */
export function drawn(learned, normals) {
  const root = choleskyOf(correlationOf(learned.covariance, learned.unknowns.length));
  return normals.map((row) => {
    const values = learned.unknowns.map(({ value, ends }, i) => {
      const normal = root[i].reduce((sum, each, j) => sum + each * row[j], 0);
      return value + (normal * Math.abs(ends[normal < 0 ? 0 : 1] - value)) / WIDTH_95;
    });
    return changesOf(learned, values);
  });
}

/** Rows of the correlation of a covariance, given row after row. */
function correlationOf(covariance, count) {
  const spreads = Array.from({ length: count }, (_, i) => Math.sqrt(covariance[i * count + i]));
  return spreads.map((one, i) =>
    spreads.map((other, j) => covariance[i * count + j] / (one * other)),
  );
}

/** The lower triangle whose product with its mirror is a symmetric matrix. */
function choleskyOf(matrix) {
  const count = matrix.length;
  const root = Array.from({ length: count }, () => new Array(count).fill(0));
  for (let i = 0; i < count; ++i) {
    for (let j = 0; j <= i; ++j) {
      let rest = matrix[i][j];
      for (let k = 0; k < j; ++k) rest -= root[i][k] * root[j][k];
      if (i === j) root[i][i] = Math.sqrt(Math.max(rest, 0));
      else root[i][j] = root[j][j] > 0 ? rest / root[j][j] : 0;
    }
  }
  return root;
}
