// Do this: the advice in the biggest type, worked out anew when something was heard or changed.

import { GOALS, advise, learnedFrom } from "./advice.js";
import { Refused } from "./core.js";
import { element, listWarnings, part } from "./dom.js";
import { KMH, SPEEDS, stepped, tied, typed } from "./units.js";

/** A hand may be moving on; then a slice of work, so that the page keeps answering [ms]. */
const REST = 200;
const SLICE = 12;

class GivenUp extends Error {}

export class Doing {
  /**
   * @param {import("./core.js").Core} core
   * @param {{doubts: Record<string, number>, gaps: [number, number], normals: number[][], slugStep: number}} data
   * @param {import("./store.js").Goal} goal
   * @param {{learned: (known: {car: import("./car.js").Car, learned: any, agrees: boolean}) => void,
   *   chosen: () => void}} told of what was learned, and of another goal
   */
  constructor(core, data, goal, told) {
    this.core = core;
    this.data = data;
    this.told = told;
    this.turn = 0;
    this.goal = part("goal");
    this.speed = part("goal-speed");
    this.chosen = goal;
    this.goal.value = goal.name;
    this.speed.value = String(Number((goal.speed * KMH).toFixed(3)));
    const move = (step) => {
      this.speed.value = stepped(this.speed.value, step, SPEEDS);
      this.#choose();
    };
    part("goal-less").addEventListener("click", () => move(-1));
    part("goal-more").addEventListener("click", () => move(1));
    this.speed.addEventListener("change", () => this.#choose());
    this.goal.addEventListener("change", () => this.#choose());
  }

  /** Takes the goal as it stands; a speed that is none stays the one before. */
  #choose() {
    const speed = typed(this.speed.value);
    const [least, most] = SPEEDS;
    const isSpeed = speed >= least && speed <= most;
    this.chosen = { name: this.goal.value, speed: isSpeed ? speed / KMH : this.chosen.speed };
    this.told.chosen();
    this.#again();
  }

  /**
   * Works out the advice for a car and what was heard of it.
   * @param {import("./car.js").Car} car
   * @param {import("./store.js").Heard[]} heard
   */
  begin(car, heard) {
    this.question = { car, heard };
    this.known = null;
    // What stands there answers another question.
    this.#say({ what: "Working it out", reached: "", lines: [], warnings: [] });
    this.#again();
  }

  async #again() {
    const turn = ++this.turn;
    part("goal-speed-row").hidden = this.goal.value !== "shift";
    part("doing").setAttribute("aria-busy", "true");
    try {
      await this.#wait(REST, turn);
      await this.#answer(turn);
    } catch (fault) {
      if (fault instanceof GivenUp) return;
      if (!(fault instanceof Refused)) throw fault;
      this.#say({ what: "No advice", reached: fault.message, lines: [], warnings: [] });
      part("doing").setAttribute("aria-busy", "false");
    }
  }

  async #answer(turn) {
    const { car, heard } = this.question;
    if (this.known === null) {
      this.known = learnedFrom(this.core, car, this.data.doubts, heard);
      this.told.learned(this.known);
      await this.#wait(0, turn);
    }
    const speed = typed(this.speed.value);
    const [least, most] = SPEEDS;
    const isShift = this.goal.value === "shift";
    if (isShift && !(speed >= least && speed <= most)) {
      throw new Refused(`Speed ${this.speed.value} must be from ${least} to ${most} km/h.`);
    }
    const goal = isShift ? GOALS.shift(speed / KMH) : GOALS.quickest();
    let begun = performance.now();
    const pause = async () => {
      if (performance.now() - begun < SLICE) return;
      await this.#wait(0, turn);
      begun = performance.now();
    };
    await advise(this.core, this.known, goal, this.data, pause, (advice) => this.#say(advice));
    part("doing").setAttribute("aria-busy", "false");
  }

  async #wait(time, turn) {
    await new Promise((go) => setTimeout(go, time));
    if (turn !== this.turn) throw new GivenUp();
  }

  #say({ what, reached, lines, warnings }) {
    part("what").textContent = tied(what);
    part("reached").textContent = tied(reached);
    part("how-sure").replaceChildren(...lines.map((text) => element("li", {}, tied(text))));
    listWarnings(part("advised-warnings"), warnings, "Warning, with that setting: ");
  }
}
