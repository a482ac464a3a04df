// What the phone keeps: what was heard and what was changed, for this car alone.

import { GAPS, KMH, SPEEDS } from "./units.js";

const VERSION = 1;
const MOST_HEARD = 500;
const ROUNDING = 1e-12;

/**
 * @typedef {[string, number]} Change a path and its value in SI units
 * @typedef {{gap: number, moment: string, speed: number, changes: Change[]}} Heard one shift [m, m/s],
 *   and how the car was changed then
 * @typedef {{name: string, speed: number}} Goal speed of the shift [m/s], also where it is none
 * @typedef {{heard: Heard[], changes: Change[], goal: Goal | null}} Kept
 */

/** The moments of a shift that can be told apart: columns of the library's tables. */
export const MOMENTS = ["contact_speed", "shift_speed", "lock_speed"];

const GOAL_NAMES = ["shift", "quickest"];
/** @type {Kept} */
const NOTHING = { heard: [], changes: [], goal: null };

export class Store {
  /**
   * @param {string} car what tells cars apart
   * @param {() => Storage} open gives the browser's storage, which may be shut
   */
  constructor(car, open = () => localStorage) {
    this.name = `layshaft-page-${car}`;
    this.open = open;
    this.works = true;
  }

  /** @returns {Kept} */
  read() {
    try {
      return checked(JSON.parse(this.open().getItem(this.name) ?? "null"));
    } catch {
      this.works = this.#isThere();
      return NOTHING;
    }
  }

  /** @param {Kept} kept */
  write(kept) {
    try {
      this.open().setItem(this.name, JSON.stringify({ version: VERSION, ...kept }));
      this.works = true;
    } catch {
      this.works = false;
    }
  }

  #isThere() {
    try {
      return Boolean(this.open());
    } catch {
      return false;
    }
  }
}

/**
 * Takes from what was kept only what can have been: anybody may have written there.
 * @param {any} kept
 * @returns {Kept}
 */
function checked(kept) {
  if (kept?.version !== VERSION) return NOTHING;
  const heard = kept.heard.filter(isHeard).slice(-MOST_HEARD);
  const changes = kept.changes.filter(isChange);
  return { heard, changes, goal: isGoal(kept.goal) ? kept.goal : null };
}

function isHeard(each) {
  return (
    MOMENTS.includes(each?.moment) &&
    isWithin(each.gap * 1e3, GAPS) &&
    isWithin(each.speed * KMH, SPEEDS) &&
    Array.isArray(each.changes) &&
    each.changes.every(isChange)
  );
}

/** Whether a number could have been typed: kept in other units, it may be a rounding out. */
function isWithin(value, [low, high]) {
  return value >= low * (1 - ROUNDING) && value <= high * (1 + ROUNDING);
}

function isGoal(goal) {
  return GOAL_NAMES.includes(goal?.name) && isWithin(goal.speed * KMH, SPEEDS);
}

function isChange(each) {
  return (
    Array.isArray(each) &&
    /^[a-z0-9_]+(\.[a-z0-9_]+)*$/.test(String(each[0])) &&
    Number.isFinite(each[1])
  );
}

/**
 * A list of what was heard, as the library reads it: a column for each change of the car too.
 * @param {Heard[]} heard
 * @param {(path: string) => string | null} head of the column of a path; of what is none, null
 */
export function asTable(heard, head) {
  const changed = heard.flatMap(({ changes }) => changes.map(([path]) => path));
  const paths = [...new Set(changed)].filter((path) => head(path) !== null);
  const heads = ["gap_mm", ...MOMENTS.map((moment) => `${moment}_km_per_h`), ...paths.map(head)];
  const rows = heard.map((each) => [
    Number((each.gap * 1e3).toFixed(6)),
    ...MOMENTS.map((moment) =>
      moment === each.moment ? Number((each.speed * KMH).toFixed(6)) : "",
    ),
    ...paths.map((path) => new Map(each.changes).get(path) ?? ""),
  ]);
  return [heads, ...rows].map((row) => `${row.join(",")}\n`).join("");
}
