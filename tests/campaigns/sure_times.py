"""Launch random cars at the usual tolerance and at 1e-11; judge what the runs say of themselves.

    python tests/campaigns/sure_times.py --count 200

Each car lies within a quarter of the way, in ratios, from the demo car to the ends of the fields'
ranges, choices at random, and comes from its own number alone. Counted are the runs whose times to
10, 30 and 60 m and to the shift are wrong by more than 1 ms without being called doubtful, and
those that are right to 0.1 ms and called doubtful all the same. The exit code is 1 if there is one
of the first, or if the others are more than 5 % of the runs that are right.
"""

import argparse
import importlib.util
import random
import sys
from dataclasses import dataclass
from pathlib import Path

import layshaft
import numpy as np

#: Of the error of a time [s]: wrong above the first, right below the other.
WRONG, RIGHT = 1e-3, 1e-4
#: Share of the runs that are right that may be called doubtful.
MOST_DOUBTED = 0.05
#: As in `random_cars`: share of the way to the ends of a field's range.
WIDTH = 0.25
TRUE_TOLERANCE = 1e-11


def _random_cars():
    path = Path(__file__).with_name("random_cars.py")
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = module
    spec.loader.exec_module(module)
    return module


def car_of(number: int) -> layshaft.Car:
    """Return the car of a number."""
    return _random_cars().random_car(random.Random(f"sure {number}"), WIDTH)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one car showed."""

    number: int
    error: float  #: largest of the headline times [s]; infinite where only one run reached one
    estimate: float  #: what the run said of it [s]
    doubtful: bool
    same_list: bool  #: of mode changes, without their times

    @property
    def wrong(self) -> bool:
        return self.error > WRONG and not self.doubtful

    @property
    def doubted(self) -> bool:
        return self.error <= RIGHT and self.doubtful


def headline(run: layshaft.LaunchRun) -> np.ndarray:
    """Return the times to the distances and to the shift [s]."""
    return np.append(run.arrays["time_to_distance"], run.arrays["contact_time"])


def changes(run: layshaft.LaunchRun) -> list[tuple[object, ...]]:
    """Return the mode changes without their times."""
    return [(change.part, change.was, change.now) for change in run.changes]


def largest_difference(ours: np.ndarray, true: np.ndarray) -> float:
    """Return the largest difference, infinite where just one is not a number."""
    if (np.isnan(ours) != np.isnan(true)).any():
        return float("inf")
    return float(np.nan_to_num(np.abs(ours - true)).max())


def judge(number: int) -> Verdict:
    """Launch the car of a number twice."""
    car = car_of(number)
    options = {"distances": (10.0, 30.0, 60.0), "sample_interval": 0.0, "on_failure": "return"}
    run = layshaft.launch(car, **options)
    true = layshaft.launch(car, tolerance=TRUE_TOLERANCE, most_steps=5_000_000, **options)
    return Verdict(
        number,
        largest_difference(headline(run), headline(true)),
        float(run.arrays["time_error"]),
        run.doubtful,
        changes(run) == changes(true),
    )


def summary(verdicts: list[Verdict]) -> str:
    """Tell the counts and the worst cases."""
    right = [verdict for verdict in verdicts if verdict.error <= RIGHT]
    sure = [verdict for verdict in verdicts if not verdict.doubtful]
    worst = max(sure, key=lambda verdict: verdict.error)
    lines = [
        f"{len(verdicts)} cars: {len(verdicts) - len(sure)} doubtful, "
        f"{sum(not verdict.same_list for verdict in verdicts)} with another list of changes",
        f"worst error of a run not called doubtful: {worst.error:.2g} s (car {worst.number})",
        f"doubtful among the {len(right)} right to {RIGHT:g} s: "
        f"{sum(verdict.doubted for verdict in verdicts)}",
    ]
    return "\n".join(lines)


def failed(verdicts: list[Verdict]) -> bool:
    """Whether the runs say too little or too much."""
    right = sum(verdict.error <= RIGHT for verdict in verdicts)
    doubted = sum(verdict.doubted for verdict in verdicts)
    return any(verdict.wrong for verdict in verdicts) or doubted > MOST_DOUBTED * right


def main() -> int:
    """Run the campaign that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=200, help="how many cars")
    parser.add_argument("--first", type=int, default=0, help="number of the first car")
    asked = parser.parse_args()
    verdicts = []
    for number in range(asked.first, asked.first + asked.count):
        verdict = judge(number)
        verdicts.append(verdict)
        if verdict.error > RIGHT or verdict.doubtful:
            print(verdict, flush=True)
    print(summary(verdicts))
    return int(failed(verdicts))


if __name__ == "__main__":
    sys.exit(main())
