"""A user's script, for type checkers alone: never run."""

import layshaft
import numpy as np
import pint
from layshaft import goals, plots, reports

car = layshaft.read_car("car.toml").replace({"two_speed.gap": "4.3 mm"})
gap: float = car.two_speed.gap
pinion: int = car.first.pinion
twice: float = 2.0 * car["two_speed.shoe_1.gap"]
hold: str = car.two_speed.hold_in
rollout: float = layshaft.facts(car, engine_speeds=["30 krpm"]).gears[0].rollout
known: frozenset[str] = layshaft.measured_in("car.toml")
first: str = layshaft.doubts(car, measured=known).ranked[0].way.instrument
top: float = max(torque for _, torque in car.engine.torque)

run: layshaft.LaunchRun = layshaft.launch(car, distance="30 m", on_failure="return")
speeds: np.ndarray = run.arrays["car_speed"]
lap: layshaft.LapRun = layshaft.lap(car, "club", standing=True, release_time="0.3 s")
table = layshaft.sweep(car, {"first.pinion": [16, 17]}, track="club", standing=True)
table = layshaft.sweep(car, {"two_speed.gap": np.array([0.0044, 0.0046])}, distance="20 m")
rolling = layshaft.launch(car, start_speed=pint.UnitRegistry().Quantity(36.0, "km/hour"))
plots.lap_story(lap)
print(*reports.lap_sentences(lap), sep="\n")

over = {"two_speed.gap": layshaft.Between("4.2 mm", "5 mm"), "first.pinion": [16, 17]}
advice = layshaft.recommend(car, over, goal=goals.quickest(distance=30.0))
texts: list[str] = [move.text for move in advice.moves]
seen: layshaft.Observation = layshaft.observe("shift_speed", "54 km/h")
believed: layshaft.Car = layshaft.learn(car, [seen]).car
fields: list[layshaft.Field] = [field for field in layshaft.fields() if field.unit == "m"]
try:
    layshaft.read_car("other.toml")
except layshaft.SetupError as error:
    faults: list[layshaft.Fault] = error.faults
