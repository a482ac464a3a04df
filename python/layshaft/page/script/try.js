// Try: what a setting would do, at every move of a slider.

import { GAP, NUT, SAME, SLUG } from "./car.js";
import { described, draw } from "./chart.js";
import { Refused } from "./core.js";
import { element, part } from "./dom.js";
import { REST, Slider } from "./slider.js";
import { GAPS, KMH, number, revs, scaled, turnsText } from "./units.js";

/** How far launches run [m], the distance of the first time, and between samples [s]. */
const DISTANCE = 60;
const FIRST_DISTANCE = 30;
const INTERVAL = 0.02;

/**
 * @typedef {import("./car.js").Car} Car
 * @typedef {{name: string, pieces: number[][]}} Track
 * @typedef {import("./parts.js").GearSet} GearSet
 */

export class Try {
  /**
   * @param {import("./core.js").Core} core
   * @param {{tracks: Track[], hasNut: boolean}} data
   * @param {import("./parts.js").PartsAtHand} parts
   * @param {Car} car
   * @param {(changes: [string, number][]) => void} mounted told that the car is now as tried
   */
  constructor(core, { tracks, hasNut }, parts, car, mounted) {
    this.core = core;
    this.tracks = tracks;
    this.hasNut = hasNut;
    this.parts = parts;
    this.resting = 0;
    this.track = part("track");
    this.track.append(...tracks.map((each, i) => element("option", { value: i }, each.name)));
    this.track.addEventListener("change", () => this.#lap());
    this.gears = part("gears");
    this.gears.addEventListener("change", () => this.#set(this.#gearSet()));
    part("as-it-is").addEventListener("click", () => this.begin(this.now));
    part("as-tried").addEventListener("click", () => mounted([...this.changes]));
    this.begin(car);
  }

  /** Begins anew at a car. @param {Car} car */
  begin(car) {
    this.now = car;
    this.tried = car;
    this.changes = new Map();
    this.values = this.core.read(car.text).values;
    part("as-tried").disabled = true;
    part("sliders").replaceChildren(...this.#sliders().map((slider) => slider.row));
    this.#offerGears();
    this.present = this.#run(car);
    this.show();
  }

  /** Takes over what was learned of the car; what is tried stays. @param {Car} car */
  learn(car) {
    this.now = car;
    this.tried = car.with(this.changes);
    this.present = this.#run(car);
    this.show();
  }

  #sliders() {
    const { values } = this;
    part("unequal").hidden = this.#areAlike();
    const middle = (GAP.reduce((sum, path) => sum + values[path], 0) / GAP.length) * 1e3;
    const gapSlider = new Slider({
      name: "Gap",
      low: Math.max(middle - 0.8, GAPS[0]),
      high: Math.min(middle + 0.8, GAPS[1]),
      ...{ step: 0.01, value: middle },
      shown: (gap) => `${number(gap, 2)} mm${this.#screws(gap * 1e-3)}`,
      moved: (gap) => this.#set(GAP.map((path) => [path, gap * 1e-3])),
    });
    const sliders = [
      gapSlider,
      this.#slugSlider(),
    ];
    if (!this.hasNut) return sliders;
    const nut = values[NUT];
    const nutSlider = new Slider({
      name: "Clutch nut",
      ...{ low: Math.max(nut - 1, 0), high: nut + 1, step: 0.05, value: nut },
      shown: (turns) => `${number(turns, 2)} turns`,
      moved: (turns) => this.#set([[NUT, turns]]),
    });
    return [...sliders, nutSlider];
  }

  /** Over the slugs at hand, or freely where the page knows of none. */
  #slugSlider() {
    const own = this.values[SLUG[0]];
    const present = own * 1e3;
    const atHand = this.parts.slugs.filter((mass) => Math.abs(mass - own) > SAME * own);
    const stops = [...atHand.map((mass) => mass * 1e3), present].toSorted((a, b) => a - b);
    const ends =
      atHand.length > 0
        ? { low: stops[0], high: stops[stops.length - 1], stops }
        : { low: Math.max(present - 0.6, 0), high: present + 0.6 };
    return new Slider({
      ...{ name: "Slugs", step: 0.05, value: present, ...ends },
      shown: (mass) => `${number(mass, 2)} g`,
      moved: (mass) => this.#set(SLUG.map((path) => [path, mass * 1e-3])),
    });
  }

  #areAlike() {
    return GAP.every((path) => this.values[path] === this.values[GAP[0]]);
  }

  #screws(gap) {
    if (!this.#areAlike()) return "";
    const turns = this.core.turns(this.now.text, this.values[GAP[0]], gap);
    return Math.round(turns * 100) === 0 ? "" : `, screws ${turnsText(turns)}`;
  }

  #offerGears() {
    const isNow = (set) => Object.entries(set).every(([path, teeth]) => this.values[path] === teeth);
    this.sets = this.parts.gears;
    const options = this.sets.map((set, i) =>
      element("option", { value: i }, gearText(set) + (isNow(set) ? ", now" : "")),
    );
    const present = this.sets.findIndex(isNow);
    this.gears.replaceChildren(...options);
    this.gears.value = String(present);
    part("gears-row").hidden = options.length < 2;
  }

  #gearSet() {
    return Object.entries(this.sets[Number(this.gears.value)] ?? {});
  }

  #set(changes) {
    this.tried = this.tried.with(changes);
    for (const [path, value] of changes) this.changes.set(path, value);
    part("as-tried").disabled = false;
    this.show();
  }

  #run(car) {
    return this.core.launch(car.text, FIRST_DISTANCE, DISTANCE, INTERVAL);
  }

  /** Runs the car as tried and shows what it does. */
  show() {
    try {
      const run = this.#run(this.tried);
      part("try-fault").textContent = run.stopped;
      this.#fill(run);
      draw(part("chart"), this.present, run, DISTANCE);
      part("chart-title").textContent = described(run);
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      part("try-fault").textContent = refused.message;
    }
    this.#lap();
  }

  #fill(run) {
    const rows = [this.present, run];
    const put = (name, text) =>
      rows.forEach((each, i) => (part(`${name}-${i}`).textContent = text(each)));
    put("shift", (each) => number(scaled(each.scalars.shift_speed, KMH), 1));
    put("drop", (each) => revs(each.scalars.engine_speed_drop));
    put("peak", (each) => revs(each.scalars.peak_engine_speed));
    put("first", (each) => number(each.mark_time, 3));
    put("second", (each) => number(each.time, 3));
  }

  #lap() {
    clearTimeout(this.resting);
    const track = this.tracks[Number(this.track.value)];
    part("lap-row").hidden = this.track.value === "";
    if (this.track.value === "") return;
    [0, 1].forEach((i) => (part(`lap-${i}`).textContent = "…"));
    this.resting = setTimeout(() => {
      [this.now, this.tried].forEach((car, i) => {
        part(`lap-${i}`).textContent = this.#lapTime(car, track);
      });
    }, REST);
  }

  #lapTime(car, track) {
    try {
      const lap = this.core.lap(car.text, track.pieces);
      return lap.complete ? number(lap.scalars.lap_time, 3) : "no lap";
    } catch (refused) {
      if (!(refused instanceof Refused)) throw refused;
      return "no lap";
    }
  }
}

/** @param {GearSet} set */
function gearText(set) {
  const pair = (gear) => `${set[`${gear}.pinion`]}/${set[`${gear}.spur`]}`;
  return `${pair("first")} and ${pair("second")}`;
}
