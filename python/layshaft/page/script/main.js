// Puts the page together: unpacks the core, takes up what the phone kept, and joins the sections.

import { Car, GAP } from "./car.js";
import { unpackCore } from "./core.js";
import { DATA } from "./data.js";
import { Doing } from "./doing.js";
import { part } from "./dom.js";
import { HeardList } from "./heard.js";
import { ENDS } from "./learning.js";
import { PartsAtHand } from "./parts.js";
import { Settings } from "./settings.js";
import { Store } from "./store.js";
import { Try } from "./try.js";
import { KMH } from "./units.js";

async function begin() {
  const core = await unpackCore(part("core").textContent);
  const store = new Store(DATA.key, DATA.title);
  const kept = store.read();
  let car = usable(core, new Car(DATA.setup), kept.changes);

  const keep = () => {
    const { absent } = parts;
    store.write({ heard: heard.heard, changes: [...car.changes], goal: doing.chosen, absent });
    part("not-kept").hidden = store.works;
  };
  const parts = new PartsAtHand(DATA, kept.absent, () => {
    trial.begin(trial.now);
    keep();
  });
  const trial = new Try(core, DATA, parts, car, (changes) => {
    become(car.with(changes));
    heard.begin(trial.values[GAP[0]]);
  });
  const others = store.heardOfTitle();
  const heard = new HeardList(kept.heard, others, trial.values[GAP[0]], core, () => car, () => {
    keep();
    doing.begin(car, heard.heard);
  });
  const doing = new Doing(core, DATA, kept.goal ?? usualGoal(trial), {
    learned: (known) => {
      part("learned").hidden = known.learned === null;
      part("disagrees").hidden = known.agrees;
      part("fit-end").textContent = ENDS[known.learned?.end ?? "settled"];
      if (known.car.text !== trial.now.text) trial.learn(known.car);
    },
    chosen: keep,
  });
  doing.begin(car, heard.heard);
  const settings = new Settings(core, car, (changes) => become(car.with(changes)));
  const become = (changed) => {
    car = changed;
    trial.begin(car);
    settings.showCar(car);
    heard.show();
    doing.begin(car, heard.heard);
    keep();
  };
  part("forget").addEventListener("click", () => {
    become(car.unchanged);
    settings.show(car);
    heard.begin(trial.values[GAP[0]]);
  });
  part("not-kept").hidden = store.works;
  document.body.dataset.ready = "yes";
}

/** A shift where it is now, to the next km/h. */
function usualGoal(trial) {
  return { name: "shift", speed: Math.round(trial.present.scalars.shift_speed * KMH || 60) / KMH };
}

/** The car with what was kept, where that still fits it. */
function usable(core, car, changes) {
  const changed = car.with(changes);
  try {
    core.read(changed.text);
    return changed;
  } catch {
    return car;
  }
}

begin().catch((fault) => {
  part("broken").hidden = false;
  part("broken-why").textContent = String(fault?.message ?? fault);
});
