"""Launch the demo car with random pedals and compare its mode changes with those of a tight run.

    python tests/campaigns/pedal_timings.py --count 10000

The foot comes off the throttle one to three times, at times on the brake, and goes down again. With
`--graze` it comes off just as a shoe reaches its contact speed, 20 ns later from one run to the
next. A part that holds without a torque may be called sliding as well: such lists differ, in
nothing that is seen. In earnest they differ where clutch or shoes switch otherwise, or the car is
elsewhere at the end; that may happen only where a guard turns so near to zero that the errors of
the steps decide, and such a run is doubtful. The exit code is 1 if one of them is not.
"""

import argparse
import random
import sys
from collections.abc import Callable

import layshaft

Rows = list[tuple[float, float, float]]

TRUE_TOLERANCE = 1e-11
#: Switches of the car, whose order at one instant is that of their numbers.
SWITCHES = ("clutch", "shoe_1", "shoe_2")
#: Between the ends of two runs [m], ten times the usual error.
FARTHEST = 1e-4
#: Beyond the graze [s]: between one run and the next.
GRAZE_STEP = 2e-8


def lift(time: float) -> Rows:
    """Give pedals that open, shut at `time` [s] for a fifth of a second and open again."""
    down = [(0.0, 0.0, 0.0), (0.05, 1.0, 0.0), (time, 1.0, 0.0), (time + 0.01, 0.0, 0.0)]
    return [*down, (time + 0.21, 0.0, 0.0), (time + 0.22, 1.0, 0.0)]


def random_pedals(number: int) -> Rows:
    """Draw the pedals of a number."""
    source = random.Random(f"pedals {number}")
    rows = [(0.0, 0.0, 0.0), (0.05, 1.0, 0.0)]
    time = 0.05
    for _ in range(source.randint(1, 3)):
        brake = source.random() if source.random() < 0.3 else 0.0
        for longest, pedals in (
            (0.9, (1.0, 0.0)),
            (0.05, (0.0, brake)),
            (0.5, (0.0, brake)),
            (0.05, (1.0, 0.0)),
        ):
            time += 0.01 + longest * source.random()
            rows.append((time, *pedals))
    return rows


def launch(pedals: Rows, **options: object) -> layshaft.LaunchRun:
    """Run the demo car for four seconds."""
    limits = {"distance": 1000.0, "longest_time": 4.0, "sample_interval": 0.0}
    return layshaft.launch(layshaft.demo_car(), pedals=pedals, **limits | options)


def changes(run: layshaft.LaunchRun, *parts: str) -> list[tuple[object, ...]]:
    """Return the changes of the parts named, or of all, without their times."""
    return [
        (change.part, change.was, change.now)
        for change in run.changes
        if not parts or change.part in parts
    ]


def in_earnest(run: layshaft.LaunchRun, true: layshaft.LaunchRun) -> bool:
    """Whether two runs differ in what is seen of a car."""
    apart = abs(float(run.arrays["end_distance"]) - float(true.arrays["end_distance"]))
    return apart > FARTHEST or changes(run, *SWITCHES) != changes(true, *SWITCHES)


def first_difference(run: layshaft.LaunchRun, true: layshaft.LaunchRun) -> str:
    """Say where two lists part."""
    pairs = zip(run.changes, true.changes, strict=False)
    parted = (f"{ours} | {theirs}" for ours, theirs in pairs if ours.text != theirs.text)
    return next(parted, "one is longer")


def shifts_at_once(time: float) -> bool:
    """Whether a shoe touches before a foot lifted at `time` [s] goes down again."""
    run = launch(lift(time), longest_time=time + 0.2, tolerance=TRUE_TOLERANCE, most_steps=10**6)
    return any(change.part.startswith("shoe") for change in run.changes)


def graze() -> float:
    """Return the earliest lift with which a shoe touches [s]."""
    before, after = 0.3, 3.0
    while after - before > 1e-10:
        middle = 0.5 * (before + after)
        before, after = (before, middle) if shifts_at_once(middle) else (middle, after)
    return after


def main() -> int:
    """Run the campaign that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=10_000, help="how many runs")
    parser.add_argument("--first", type=int, default=0, help="number of the first")
    parser.add_argument("--graze", action="store_true", help="lifts at the graze of a shoe")
    asked = parser.parse_args()
    pedals: Callable[[int], Rows] = random_pedals
    if asked.graze:
        begin = graze()
        print(f"graze at a lift at {begin:.10f} s")

        def pedals(number: int) -> Rows:
            return lift(begin + GRAZE_STEP * number)

    other = earnest = unnoticed = doubtful = 0
    for number in range(asked.first, asked.first + asked.count):
        run = launch(pedals(number))
        true = launch(pedals(number), tolerance=TRUE_TOLERANCE, most_steps=10**6)
        doubtful += run.doubtful
        other += changes(run) != changes(true)
        if not in_earnest(run, true):
            continue
        earnest += 1
        unnoticed += not run.doubtful
        said = "doubtful" if run.doubtful else "NOT NOTICED"
        print(f"{number}: {first_difference(run, true)}: {said}", flush=True)
    print(f"{asked.count} runs: {other} with another list, {earnest} of them in earnest,")
    print(f"{unnoticed} of these not noticed; {doubtful} doubtful in all")
    return int(unnoticed > 0)


if __name__ == "__main__":
    sys.exit(main())
