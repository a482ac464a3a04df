"""Learn a known car from noisy observations again and again; count how often intervals are right.

    python tests/campaigns/interval_coverage.py --repeats 200

Two studies: spring and friction of the shoes from three shifts, and power, drag and grip from
times, top speed and a log of the car speed. A guess counts as one more observation, so it is drawn
anew like all others: around the truth, as far off as its doubt says. Then intervals that are right
hold 95 % of the truths, give or take `sqrt(0.95 * 0.05 / repeats)` as one standard deviation; with
guesses that stayed near the truth they would hold more. The exit code is 1 if one number is further
than three of them away.
"""

import argparse
import dataclasses
import math
import sys
import time
from collections.abc import Sequence

import layshaft
import numpy as np
from layshaft.fitting.logs import Log
from layshaft.fitting.observations import Observation, predict
from layshaft.setup.settings import as_written, merged

SEED = 20
#: Of a truth: a guess is no less, so that it is one of a car. Three doubts are less than that off.
_LEAST = 0.1


@dataclasses.dataclass(frozen=True, slots=True)
class Study:
    """What is true, how far off the guesses are, what is seen."""

    name: str
    truth: dict[str, float]
    doubts: dict[str, str]
    seen: list[Observation]
    log: Log | None = None


def spring_study() -> Study:
    """Learn spring and friction of the shoes from three shifts, heard to 1 km/h and 300 rpm.

    Of each the car speed at the engine's peak, and how far the engine drops from there.
    """
    gaps = ("4.4 mm", "4.8 mm", "5.2 mm")
    heard = {"shift_speed": "1 km/h", "engine_speed_drop": "300 rpm"}
    seen = [
        layshaft.observe(measure, 1.0, changes={"two_speed.gap": gap}, error=error, distance=30.0)
        for gap in gaps
        for measure, error in heard.items()
    ]
    car = layshaft.demo_car()
    truth = {
        "two_speed.spring_rate": 1.08 * car["two_speed.spring_rate"],
        "two_speed.zero_preload_reading": car["two_speed.zero_preload_reading"] - 1e-4,
        "two_speed.friction": 1.04 * car["two_speed.friction"],
    }
    doubts = {
        "two_speed.spring_rate": "15 %",
        "two_speed.zero_preload_reading": "0.3 mm",
        "two_speed.friction": "0.05",
    }
    return Study("spring and friction of the shoes from three shifts", truth, doubts, seen)


def car_study() -> Study:
    """Learn power, drag and grip from two times, the top speed and a log of the car speed."""
    seen = [
        layshaft.observe("time", 1.0, distance=10.0, error="0.01 s"),
        layshaft.observe("time", 4.0, distance=60.0, error="0.01 s"),
        layshaft.observe("top_speed", 1.0, error="1 km/h"),
    ]
    times = np.arange(0.2, 3.0, 0.05)
    log = layshaft.run_log("car_speed", times, np.zeros(len(times)), error="1 km/h")
    car = layshaft.demo_car()
    factors = {"engine.power_scale": 0.95, "body.drag_area": 1.15, "rear_tyre.friction_peak": 0.96}
    truth = {path: factor * car[path] for path, factor in factors.items()}
    doubts = dict(zip(truth, ("10 %", "30 %", "15 %"), strict=True))
    return Study("power, drag, grip from times, top speed, a log", truth, doubts, seen, log)


def hits(study: Study, repeats: int, seed: int) -> tuple[list[str], np.ndarray]:
    """Return the unknowns, and repeats x unknowns: whether each interval holds the truth."""
    car = layshaft.demo_car()
    true_point = {}
    for path, value in study.truth.items():
        true_point |= layshaft.unknown(car, path).changes(value)
    true_car = car.replace(as_written(true_point))
    true_numbers = predict(true_car, study.seen, [{}])[0]
    true_log = None if study.log is None else study.log.predicted(true_car, [{}])[0]
    generator = np.random.default_rng(seed)
    table = np.zeros((repeats, len(study.truth)), dtype=bool)
    for repeat in range(repeats):
        unknowns = guessed(study, true_car, generator)
        believed = true_car.replace(
            as_written(merged(*(each.changes(each.guess) for each in unknowns)))
        )
        seen = noisy(study, true_numbers, true_log, generator)
        learned = layshaft.learn(believed, seen, unknowns)
        table[repeat] = [i.low <= study.truth[i.path] <= i.high for i in learned.intervals]
    return list(study.truth), table


def guessed(
    study: Study, true_car: layshaft.Car, generator: np.random.Generator
) -> list[layshaft.Unknown]:
    """Return the unknowns, each with a guess as far from the truth as its doubt says."""
    around = [layshaft.unknown(true_car, path, doubt=doubt) for path, doubt in study.doubts.items()]
    drawn = [each.guess + each.doubt * generator.standard_normal() for each in around]
    return [
        dataclasses.replace(each, guess=min(max(guess, _LEAST * each.guess), each.high))
        for each, guess in zip(around, drawn, strict=True)
    ]


def noisy(
    study: Study,
    numbers: Sequence[float],
    log: np.ndarray | None,
    generator: np.random.Generator,
) -> list[Observation | Log]:
    """Return what is seen of the true car with the errors that are stated."""
    seen: list[Observation | Log] = [
        dataclasses.replace(each, value=number + each.error * generator.standard_normal())
        for each, number in zip(study.seen, numbers, strict=True)
    ]
    if study.log is not None and log is not None:
        values = log + study.log.error * generator.standard_normal(len(log))
        seen.append(dataclasses.replace(study.log, values=tuple(values.tolist())))
    return seen


def main() -> int:
    """Run both studies and print the shares."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeats", type=int, default=200)
    parser.add_argument("--seed", type=int, default=SEED)
    arguments = parser.parse_args()
    repeats = arguments.repeats
    spread = math.sqrt(0.95 * 0.05 / repeats)
    is_right = True
    for study in (spring_study(), car_study()):
        begin = time.perf_counter()
        names, table = hits(study, repeats, arguments.seed)
        print(f"{study.name}: {repeats} repeats in {time.perf_counter() - begin:.0f} s")
        for name, share in zip(names, table.mean(axis=0), strict=True):
            print(f"  {name}: {share:.3f} of the intervals hold the truth")
            is_right &= abs(share - 0.95) <= 3.0 * spread
    print(f"expected 0.950 +/- {3.0 * spread:.3f} (three standard deviations)")
    return 0 if is_right else 1


if __name__ == "__main__":
    sys.exit(main())
