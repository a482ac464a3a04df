// What the phone keeps: what was heard and what was changed, for this car alone.

import { GAPS, KMH, SPEEDS } from "./units.js";

const VERSION = 1;
const PREFIX = "layshaft-page-";
const MOST_HEARD = 500;
const ROUNDING = 1e-12;

/**
 * @typedef {import("./car.js").Change} Change
 * @typedef {{gap: number, moment: string, speed: number, changes: Change[]}} Heard one shift [m, m/s],
 *   and how the car was mounted then
 * @typedef {{name: string, speed: number}} Goal speed of the shift [m/s], also where it is none
 * @typedef {{heard: Heard[], changes: Change[], goal: Goal | null, absent: Change[]}} Kept `absent`
 *   are parts that are not at hand
 */

/** The moments of a shift that can be told apart: columns of the library's tables. */
export const MOMENTS = ["contact_speed", "shift_speed", "lock_speed"];

const GOAL_NAMES = ["shift", "quickest"];
/** @type {Kept} */
const NOTHING = { heard: [], changes: [], goal: null, absent: [] };

export class Store {
  /**
   * @param {string} car what tells cars apart
   * @param {string} title what its reader calls it; other cars may have the same
   * @param {() => Storage} open gives the browser's storage, which may be shut
   */
  constructor(car, title, open = () => localStorage) {
    this.name = PREFIX + car;
    this.title = title;
    this.open = open;
    this.works = true;
  }

  /** @returns {Kept} */
  read() {
    try {
      return checked(parsed(this.open().getItem(this.name)));
    } catch {
      this.works = this.#isThere();
      return NOTHING;
    }
  }

  /** What was heard with other files of this title. @returns {Heard[]} */
  heardOfTitle() {
    try {
      const others = Object.entries(this.open()).filter(
        ([name, text]) =>
          name !== this.name &&
          (name === PREFIX + this.title ||
            (name.startsWith(PREFIX) && parsed(text)?.title === this.title)),
      );
      return others.flatMap(([, text]) => checked(parsed(text)).heard);
    } catch {
      return [];
    }
  }

  /** @param {Kept} kept */
  write(kept) {
    try {
      this.open().setItem(this.name, JSON.stringify({ version: VERSION, title: this.title, ...kept }));
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

/** Reads what anybody may have written; of what is damaged, nothing. */
function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/**
 * Takes from what was kept only what can have been: anybody may have written there.
 * @param {any} kept
 * @returns {Kept}
 */
function checked(kept) {
  if (kept?.version !== VERSION || !Array.isArray(kept.heard)) return NOTHING;
  const heard = kept.heard.filter(isHeard).slice(-MOST_HEARD);
  const [changes, absent] = [kept.changes, kept.absent].map((each) =>
    Array.isArray(each) ? each.filter(isChange) : [],
  );
  return { heard, changes, absent, goal: isGoal(kept.goal) ? kept.goal : null };
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
 * A list of what was heard, as the library reads it: a column for all in which the car differed
 * from its file too.
 * @param {Heard[]} heard
 * @param {(path: string) => string} head of the column of a path
 */
export function asTable(heard, head) {
  const paths = [...new Set(heard.flatMap(({ changes }) => changes.map(([path]) => path)))];
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
