// How sure an advice is: judged on cars drawn from what is known of this one, in the library's words.

import { drawn } from "./learning.js";
import { KMH, number } from "./units.js";

const SHARES = [0.025, 0.975];
/** Gaps that are looked at, and points between them on a smooth curve. */
const LINE = 9;
const FINE = 401;

/**
 * @typedef {import("./car.js").Car} Car
 * @typedef {{value: number | null, cost: number, shift: number | null}} Judged
 * @typedef {{shifts: number[], better: number, gainError: number}} Sure
 */

/**
 * @param {Car} car
 * @param {import("./learning.js").Learned} learned
 * @param {number[][]} normals
 */
export function drawnCars(car, learned, normals) {
  return drawn(learned, normals).map((changes) => car.with(changes));
}

/**
 * Judges now and then on each car; without any there is no doubt.
 * @param {Car[]} cars
 * @param {(car: Car) => Judged} judge
 * @param {(car: Car) => Car} moved as it is advised
 * @param {() => Promise<void>} pause
 * @returns {Promise<Sure>}
 */
export async function judgedOn(cars, judge, moved, pause) {
  const gains = [];
  const shifts = [];
  let better = 0;
  for (const car of cars) {
    const now = judge(car);
    const then = judge(moved(car));
    if (then.cost <= now.cost) better += 1 / cars.length;
    if (Number.isFinite(now.cost - then.cost)) gains.push(now.cost - then.cost);
    if (then.shift !== null) shifts.push(then.shift);
    await pause();
  }
  return { shifts, better, gainError: deviation(gains) };
}

/**
 * @param {Sure} sure
 * @param {string} bests of the best gap
 */
export function sureSentence({ shifts, better }, bests) {
  const [low, high] = intervalOf(shifts).map((speed) => number(speed * KMH, 0));
  const shift = shifts.length === 0 ? "" : `shift then ${low} to ${high} km/h; `;
  return `95 % sure: ${bests}${shift}at least as good as now for ${Math.round(100 * better)}% of plausible cars.`;
}

/**
 * The 95 % interval of the best gap; nothing where no car has one.
 * @param {Car[]} cars
 * @param {[number, number]} range [m]
 * @param {(car: Car, gap: number) => number | null} valueAt what the goal is about
 * @param {{target: number}} goal
 * @param {() => Promise<void>} pause
 */
export async function bestGaps(cars, range, valueAt, goal, pause) {
  const gaps = evenly(range, LINE);
  const bests = [];
  for (const car of cars) {
    const known = [];
    for (const gap of gaps) {
      const value = valueAt(car, gap);
      if (value !== null) known.push([gap, value]);
      await pause();
    }
    if (known.length > 1) bests.push(bestOn(known, goal));
  }
  return bests.length === 0 ? null : intervalOf(bests);
}

function evenly([low, high], count) {
  return Array.from({ length: count }, (_, i) =>
    i === count - 1 ? high : low + ((high - low) * i) / (count - 1),
  );
}

/**
 * The best gap on a smooth curve through points: one that kept between neighbouring points would be
 * best at a point itself.
 */
function bestOn(points, { target }) {
  const slopes = slopesAt(points);
  const costAt = (gap) => {
    const value = valueOn(points, slopes, gap);
    return target > 0 ? Math.abs(value - target) : value;
  };
  const fine = evenly([points[0][0], points[points.length - 1][0]], FINE);
  const costs = fine.map(costAt);
  return fine[costs.indexOf(Math.min(...costs))];
}

/**
 * Slopes of Akima's curve (Journal of the ACM 17 (1970), from memory) at each point: the mean of
 * those beside it, each weighted by how straight the curve is on the other side.
 */
function slopesAt(points) {
  const steps = points.slice(1).map(([x, y], i) => (y - points[i][1]) / (x - points[i][0]));
  if (steps.length === 1) return [steps[0], steps[0]];
  const before = 2 * steps[0] - steps[1];
  const after = 2 * steps[steps.length - 1] - steps[steps.length - 2];
  const all = [2 * before - steps[0], before, ...steps, after, 2 * after - steps[steps.length - 1]];
  const bends = all.slice(1).map((slope, i) => Math.abs(slope - all[i]));
  const weights = points.map((_, i) => bends[i] + bends[i + 2]);
  const least = 1e-9 * Math.max(...weights);
  return weights.map((weight, i) =>
    weight > least
      ? all[i + 1] + (bends[i] / weight) * (all[i + 2] - all[i + 1])
      : (all[i] + all[i + 3]) / 2,
  );
}

function valueOn(points, slopes, x) {
  const next = points.findIndex(([end], i) => i > 0 && x <= end);
  const i = (next < 0 ? points.length - 1 : next) - 1;
  const [[x0, y0], [x1, y1]] = [points[i], points[i + 1]];
  const width = x1 - x0;
  const step = (y1 - y0) / width;
  const far = x - x0;
  const square = (3 * step - 2 * slopes[i] - slopes[i + 1]) / width;
  const cube = (slopes[i] + slopes[i + 1] - 2 * step) / width ** 2;
  return y0 + far * (slopes[i] + far * (square + far * cube));
}

function intervalOf(values) {
  const sorted = values.toSorted((a, b) => a - b);
  return SHARES.map((share) => {
    const place = share * (sorted.length - 1);
    const below = Math.floor(place);
    const above = Math.min(below + 1, sorted.length - 1);
    return sorted[below] + (place - below) * (sorted[above] - sorted[below]);
  });
}

function deviation(values) {
  if (values.length === 0) return 0;
  const mean = values.reduce((sum, each) => sum + each, 0) / values.length;
  return Math.sqrt(values.reduce((sum, each) => sum + (each - mean) ** 2, 0) / values.length);
}
