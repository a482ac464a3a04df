// Puts the page together: unpacks the core, takes up what the phone kept, and joins the sections.

import { Car } from "./car.js";
import { unpackCore } from "./core.js";
import { Doing } from "./doing.js";
import { part } from "./dom.js";
import { HeardList } from "./heard.js";
import { Settings } from "./settings.js";
import { Store } from "./store.js";
import { Try } from "./try.js";
import { KMH } from "./units.js";

const GAP = "two_speed.shoe_1.gap";

async function begin() {
  const data = JSON.parse(part("data").textContent);
  const core = await unpackCore(part("core").textContent);
  const store = new Store(data.key);
  const kept = store.read();
  let car = usable(core, new Car(data.setup), kept.changes);

  const keep = () => {
    store.write({ heard: heard.heard, changes: [...car.changes], goal: doing.chosen });
    part("not-kept").hidden = store.works;
  };
  const trial = new Try(core, data, car);
  const heard = new HeardList(kept.heard, trial.values[GAP], core, () => car, () => {
    keep();
    doing.begin(car, heard.heard);
  });
  const doing = new Doing(core, data, kept.goal ?? usualGoal(trial), {
    learned: (known) => {
      part("learned").hidden = known.learned === null;
      part("disagrees").hidden = known.agrees;
      if (known.car.text !== trial.now.text) trial.begin(known.car);
    },
    chosen: keep,
  });
  doing.begin(car, heard.heard);
  const settings = new Settings(core, car, (changes) => {
    car = car.with(changes);
    trial.begin(car);
    settings.showCar(car);
    heard.show();
    doing.begin(car, heard.heard);
    keep();
  });
  part("forget").addEventListener("click", () => {
    car = new Car(data.setup);
    trial.begin(car);
    settings.show(car);
    heard.show();
    doing.begin(car, heard.heard);
    keep();
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
