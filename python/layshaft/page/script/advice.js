// Advice on the gap: the best one, its plateau, and how sure it is; in the library's words.

import { GAP, SLUG } from "./car.js";
import { bestGaps, drawnCars, judgedOn, sureSentence } from "./confidence.js";
import { agrees, changesOf, question } from "./learning.js";
import { KMH, number, turnsText } from "./units.js";

/** How far launches run, and where they are not looked at [m]. */
const DISTANCE = 60;
const MARK = 30;
/** What a caliper may be out [m]. */
const CALIPER = 0.05e-3;
const LINE = 21;
/** Less is no turn of a screw. */
const LEAST_TURN = 0.005;

/**
 * @typedef {import("./car.js").Car} Car
 * @typedef {import("./core.js").Core} Core
 * @typedef {{target: number, within: number}} Goal a speed of the shift [m/s], or 0: least time
 * @typedef {{what: string, reached: string, lines: string[],
 *   warnings: import("./core.js").Warning[]}} Advice
 */

/** The two goals: a shift at a speed [m/s], within 1 km/h; least time, within 0.01 s. */
export const GOALS = {
  shift: (speed) => ({ target: speed, within: 1 / KMH }),
  quickest: () => ({ target: 0, within: 0.01 }),
};

/**
 * The car with what was heard, and what is known of it; the car itself where nothing was.
 * @param {Core} core
 * @param {Car} car
 * @param {Record<string, number>} doubts
 * @param {import("./store.js").Heard[]} heard
 */
export function learnedFrom(core, car, doubts, heard) {
  if (heard.length === 0) return { car, learned: null, agrees: true };
  const learned = core.learn(car.text, question(doubts, heard, car));
  const values = learned.unknowns.map((each) => each.value);
  return { car: car.with(changesOf(learned, values)), learned, agrees: agrees(learned, heard) };
}

/**
 * Finds the best gap and says what to do; on a learned car once more when it is known how sure the
 * gap is, which takes most of the work. Waits for `pause` now and then, which may give up.
 * @param {Core} core
 * @param {{car: Car, learned: import("./learning.js").Learned | null}} known
 * @param {Goal} goal
 * @param {{gaps: [number, number], normals: number[][], slugStep: number}} data
 * @param {() => Promise<void>} pause
 * @param {(advice: Advice) => void} say
 */
export async function advise(core, known, goal, data, pause, say) {
  const { car } = known;
  const [low, high] = data.gaps;
  const at = (gap, changes = []) => judged(core, goal, atGap(car.with(changes), gap));
  const found = core.bestGap(car.text, goal, data.gaps);
  if (!found.found) {
    const lines = [tried(low, high, found.step)];
    say({ what: "No gap that was tried gets there.", reached: "", lines, warnings: [] });
    return;
  }
  const best = Math.round(found.gap * 1e5) / 1e5;
  const moves = movesTo(core, car, best);
  const now = judged(core, goal, car);
  const then = at(best);
  const line = [];
  for (const gap of lineOf(low, high, best)) {
    line.push({ gap, cost: at(gap).cost });
    await pause();
  }
  const cars = known.learned === null ? [] : drawnCars(known.car, known.learned, data.normals);
  const sure = await judgedOn(cars, (drawn) => judged(core, goal, drawn), (drawn) => atGap(drawn, best), pause);
  const gain = now.cost - then.cost;
  const { isWorthIt, ...told } = whatToDo(goal, { moves, gain, then, doubt: sure.gainError });
  const warnings = isWorthIt ? newWarnings(core, [car, atGap(car, best)], [now, then]) : [];
  const tell = (bests) =>
    say({
      ...told,
      warnings,
      lines: [
        ...(goal.target > 0 && then.cost > goal.within ? [outOfReach(goal, best, then)] : []),
        ...(cars.length === 0 ? [] : [sureSentence(sure, bests)]),
        plateau(line, then.cost, goal),
        ...effects(at, best, then, core.read(car.text).values, data.slugStep, goal),
        tried(low, high, found.step),
      ],
    });
  tell("");
  if (cars.length === 0) return;
  const bests = await bestGaps(cars, data.gaps, (drawn, gap) => judged(core, goal, atGap(drawn, gap)).value, goal, pause);
  tell(bestGapText(bests, (end) => core.turns(car.text, best, end), data.gaps));
}

/** What a car is warned of at the best gap and is not as it is, of set-up and run. */
function newWarnings(core, cars, runs) {
  const [before, after] = cars.map(({ text }, i) => [...core.warnings(text), ...runs[i].warnings]);
  const isIn = (warnings, { part, code }) => warnings.some((each) => each.part === part && each.code === code);
  return after.filter((each, i) => !isIn(before, each) && !isIn(after.slice(0, i), each));
}

/** The 95 % interval of the best gap, and what the screws have to be turned for it. */
function bestGapText(ends, turns, range) {
  if (ends === null) return "";
  const [from, to] = ends.map((end) => `${mm(end)} mm`);
  const [least, most] = ends.map((end) => turnsText(turns(end)));
  const isEnd = ends.map((end, i) => end === range[i]);
  const beyond = isEnd.includes(true)
    ? ` and maybe beyond, for what was tried ends at ${isEnd[0] ? from : to}`
    : "";
  return `best gap ${from} to ${to}, the screws ${least} to ${most} from there${beyond}; `;
}

/** Runs a car; its cost is in the unit of the goal, infinite where there is none. */
function judged(core, goal, car) {
  const run = core.launch(car.text, MARK, DISTANCE, 0);
  const shift = run.scalars.shift_speed;
  const value = goal.target > 0 ? shift : run.time;
  const cost = value === null ? Infinity : goal.target > 0 ? Math.abs(value - goal.target) : value;
  return { value, cost, shift, time: run.time, warnings: run.warnings };
}

function atGap(car, gap) {
  return car.with(GAP.map((path) => [path, gap]));
}

function lineOf(low, high, best) {
  const even = Array.from({ length: LINE }, (_, i) => low + ((high - low) * i) / (LINE - 1));
  return [...new Set([...even, best])].sort((a, b) => a - b);
}

/** What to do with the screws; those that stay are left out. */
function movesTo(core, car, best) {
  const { values } = core.read(car.text);
  const gaps = GAP.map((path) => values[path]);
  const areAlike = gaps.every((gap) => gap === gaps[0]);
  const screws = areAlike ? [["both screws", gaps[0]]] : gaps.map((gap, i) => [`screw ${i + 1}`, gap]);
  return screws
    .map(([name, own]) => ({ name, own, turns: core.turns(car.text, own, best) }))
    .filter(({ turns }) => Math.abs(turns) >= LEAST_TURN)
    .map(({ name, own, turns }) => `turn ${name} ${turnsText(turns)}, from ${mm(own)} to ${mm(best)} mm`)
    .join("; ");
}

function whatToDo(goal, { moves: move, gain, then, doubt }) {
  const reached = reachedText(goal, then);
  if (move === "") return { what: "Leave everything as it is", reached: `${reached}.` };
  const better = loss(goal, gain);
  if (!Number.isFinite(gain)) {
    return { what: capital(move), reached: `${reached}; the car as it is does not get there.`, isWorthIt: true };
  }
  if (gain < 0) {
    const worse = `the best that was tried (${move}) is ${loss(goal, -gain)} worse.`;
    return { what: "Leave everything as it is", reached: worse };
  }
  if (gain > Math.max(goal.within, doubt)) {
    return { what: capital(move), reached: `${reached}, ${better} better than now.`, isWorthIt: true };
  }
  if (gain <= goal.within) {
    return { what: "Leave it", reached: `the best (${move}) gains ${better}, too little to notice.` };
  }
  const apart = `give or take ${loss(goal, doubt)}: no more than the doubt about it.`;
  return { what: "Leave it", reached: `the best (${move}) gains ${better}, ${apart}` };
}

function reachedText(goal, then) {
  if (goal.target > 0) return `shift at ${number(then.shift * KMH, 1)} km/h`;
  const shift = then.shift === null ? "" : `, shift at ${number(then.shift * KMH, 0)} km/h`;
  return `time over 60 m ${number(then.time, 3)} s${shift}`;
}

function outOfReach(goal, best, then) {
  const aim = `shift at ${Number((goal.target * KMH).toPrecision(4))} km/h`;
  return `Out of reach of what was tried: ${aim}. The nearest is ${number(then.shift * KMH, 1)} km/h, with gap ${mm(best)} mm.`;
}

/** The ends of the plateau, on straight lines between the points. */
function plateau(line, bestCost, goal) {
  const most = bestCost + goal.within;
  const best = line.reduce((least, each, i) => (each.cost < line[least].cost ? i : least), 0);
  const [low, high] = [-1, 1].map((step) => {
    let at = best;
    while (line[at + step] !== undefined && line[at + step].cost <= most) at += step;
    const beyond = line[at + step];
    if (beyond === undefined || !Number.isFinite(beyond.cost) || line[at].cost >= most) return line[at].gap;
    const share = (most - line[at].cost) / (beyond.cost - line[at].cost);
    return line[at].gap + share * (beyond.gap - line[at].gap);
  });
  const within = loss(goal, goal.within);
  if (mm(low) === mm(high)) return `Gap: any other than ${mm(low)} mm loses more than ${within}.`;
  const ends = [low, high].filter((gap, i) => gap === line.at(i - (i === 1 ? 2 : 0))?.gap);
  const further = ends.length > 0 ? `; it may go on beyond ${ends.map((gap) => `${mm(gap)} mm`).join(" and ")}` : "";
  return `Gap: ${mm(low)} mm to ${mm(high)} mm is within ${within} of the best${further}.`;
}

/** What a caliper a little out and a slug a little heavier or lighter do. */
function effects(at, best, then, values, slugStep, goal) {
  const around = (change, changes) => {
    const runs = [-1, 1].map((sign) => changes(sign * change)).filter((each) => each !== null);
    if (runs.length === 0 || [then, ...runs].some(({ shift }) => shift === null)) return null;
    const moved = Math.max(...runs.map(({ shift }) => Math.abs(shift - then.shift)));
    const lost = Math.max(...runs.map(({ cost }) => cost - then.cost));
    return `moves the shift by up to ${number(moved * KMH, 1)} km/h${costs(goal, lost)}.`;
  };
  const caliper = around(CALIPER, (change) => at(best + change));
  const slug = around(slugStep, (change) => {
    const masses = SLUG.map((path) => [path, values[path] + change]);
    return masses.every(([, mass]) => mass >= 0) ? at(best, masses) : null;
  });
  return [
    ...(caliper === null ? [] : [`A caliper 0.05 mm out ${caliper}`]),
    ...(slug === null ? [] : [`Slugs ${Number((slugStep * 1e3).toPrecision(2))} g heavier or lighter: it ${slug}`]),
  ];
}

function costs(goal, lost) {
  if (goal.target > 0) return "";
  return Number.isFinite(lost) && lost >= 1e-3 ? ` and costs up to ${loss(goal, lost)}` : " and costs nothing to speak of";
}

function tried(low, high, step) {
  const fine = step === undefined ? "" : ` every ${mm(step)} mm`;
  return `Tried: gap${fine} from ${mm(low)} to ${mm(high)} mm; what is narrower may have been stepped over.`;
}

function loss(goal, value) {
  if (goal.target > 0) {
    return value < 0.1 / KMH ? "under 0.1 km/h" : `${number(value * KMH, 1)} km/h`;
  }
  return value < 1e-3 ? "under 0.001 s" : `${number(value, 3)} s`;
}

function mm(length) {
  return number(length * 1e3, 2);
}

function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
