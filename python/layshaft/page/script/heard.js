// Heard: shifts as they were heard, kept on the phone.

import { daily, dailyText, fromSi } from "./daily.js";
import { element, part } from "./dom.js";
import { MOMENTS, asTable } from "./store.js";
import { GAPS, KMH, SPEEDS, fieldText, stepped, tied, typed, words } from "./units.js";

const WORDS = {
  contact_speed: "shoes touch",
  shift_speed: "shift",
  lock_speed: "shoes lock",
};

/** @typedef {import("./store.js").Heard} Heard */

export class HeardList {
  /**
   * @param {Heard[]} heard
   * @param {Heard[]} others with other files of the car's title
   * @param {number} gap the car's own [m]
   * @param {import("./core.js").Core} core
   * @param {() => import("./car.js").Car} now the car as it is now
   * @param {() => void} changed
   */
  constructor(heard, others, gap, core, now, changed) {
    this.heard = heard;
    this.core = core;
    this.now = now;
    this.changed = changed;
    /** @type {Heard[][]} */
    this.before = [];
    this.gap = part("heard-gap");
    this.speed = part("heard-speed");
    this.moment = part("heard-moment");
    this.moment.append(
      ...MOMENTS.map((moment) => element("option", { value: moment }, WORDS[moment])),
    );
    this.moment.value = "shift_speed";
    this.begin(gap);
    this.speed.value = "60";
    this.#step("gap-less", this.gap, -0.05, GAPS);
    this.#step("gap-more", this.gap, 0.05, GAPS);
    this.#step("speed-less", this.speed, -1, SPEEDS);
    this.#step("speed-more", this.speed, 1, SPEEDS);
    part("heard-form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.#add();
    });
    part("undo").addEventListener("click", () => this.#undo());
    part("export").addEventListener("click", () => this.#export());
    part("others").hidden = heard.length > 0 || others.length === 0;
    part("others-count").textContent = String(others.length);
    part("take-over").addEventListener("click", () => {
      part("others").hidden = true;
      this.#become([...others, ...this.heard]);
    });
    this.show();
  }

  /** Takes up the gap that the screws are at [m]. @param {number} gap */
  begin(gap) {
    this.gap.value = (gap * 1e3).toFixed(2);
  }

  #step(button, input, step, ends) {
    part(button).addEventListener("click", () => {
      input.value = stepped(input.value, step, ends);
    });
  }

  #add() {
    const gap = typed(this.gap.value);
    const speed = typed(this.speed.value);
    const fault = refusal("Gap", this.gap, GAPS, "mm") || refusal("Speed", this.speed, SPEEDS, "km/h");
    part("heard-fault").textContent = fault;
    part("heard-said").textContent = "";
    if (fault !== "") return;
    const changes = this.now().mounted;
    const heard = { gap: gap * 1e-3, moment: this.moment.value, speed: speed / KMH, changes };
    this.#become([...this.heard, heard]);
    part("heard-said").textContent = `Noted: ${sentence(heard)}.`;
  }

  #become(heard) {
    this.before.push(this.heard);
    this.heard = heard;
    this.show();
    this.changed();
  }

  #undo() {
    const before = this.before.pop();
    if (before === undefined) return;
    this.heard = before;
    this.show();
    this.changed();
    part("heard-said").textContent = "Taken back.";
  }

  /** Shows the list, and with what the car was heard where that is another than now. */
  show() {
    part("heard-list").replaceChildren(...this.heard.map((each, i) => this.#row(each, i)));
    part("heard-none").hidden = this.heard.length > 0;
    part("export").disabled = this.heard.length === 0;
    part("undo").disabled = this.before.length === 0;
  }

  #row(each, place) {
    const others = this.now().othersIn(each.changes).map(([path, value]) => this.#setting(path, value));
    const said = [sentence(each), ...others].join(", ");
    const remove = element("button", { type: "button", "aria-label": `Remove: ${said}` }, "Remove");
    remove.addEventListener("click", () =>
      this.#become(this.heard.filter((_, i) => i !== place)),
    );
    return element("li", {}, element("span", {}, tied(said)), remove);
  }

  #setting(path, value) {
    const row = daily(this.core.read(this.now().text).values).find((each) => each.path === path);
    if (row !== undefined) return `${row.name.toLowerCase()} ${dailyText(row, fromSi(row, value))}`;
    return `${words(path)} ${fieldText(this.core.field(path), value)}`;
  }

  #head(path) {
    const field = this.core.field(path);
    return field.unit === "1" ? path : `${path}_${field.unit.replace("/", "_per_").replaceAll("*", "_")}`;
  }

  #export() {
    const ofFile = this.now().unchanged;
    const heard = this.heard.map((each) => ({ ...each, changes: ofFile.othersIn(each.changes) }));
    const file = new Blob([asTable(heard, (path) => this.#head(path))], { type: "text/csv" });
    const address = URL.createObjectURL(file);
    element("a", { href: address, download: "heard.csv" }).click();
    setTimeout(() => URL.revokeObjectURL(address), 1000);
  }
}

/** Says what is wrong with a number typed; nothing if nothing is. */
function refusal(name, input, [low, high], unit) {
  const value = typed(input.value);
  if (value >= low && value <= high) return "";
  return `${name} ${input.value} must be from ${low} to ${high} ${unit}.`;
}

/** In all digits typed: what is shown is what is learned from. @param {Heard} heard */
function sentence(heard) {
  const gap = (heard.gap * 1e3).toFixed(3).replace(/0$/, "");
  const speed = Number((heard.speed * KMH).toFixed(3));
  return `gap ${gap} mm, ${WORDS[heard.moment]} at ${speed} km/h`;
}
