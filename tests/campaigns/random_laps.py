"""Drive random but physical cars round random tracks and count how the laps end.

    python tests/campaigns/random_laps.py --count 2000 --jobs 2

Half of the cars lie around the demo car, half anywhere inside the ranges of the field table. The
tracks have straights and corners of any length, radius and blend that a piece of track may have,
most of them level and dry, some with other grip and grades up to the limits of a track. Each lap
comes from the seed and its own number alone: `--first 123 --count 1` drives one again, `--show`
prints what it is made of.

A lap ends well, or for a reason that is true of car and track (`REASONS`), or it is an abort. The
exit code is 1 if there is a crash, a hang, an abort, or a result that breaks the library's own
bounds: grip used beyond all of it, a value that is not finite, a loss below zero, a load below
zero, or energy that is nowhere.
"""

import argparse
import collections
import functools
import math
import random
import re
import sys
import time
import warnings
from pathlib import Path

import layshaft
import numpy as np
from layshaft.tracks.track import Piece, Track

sys.path.insert(0, str(Path(__file__).resolve().parent))

import random_cars
from random_cars import Verdict, losses

#: Why a lap may end early, by what the message says.
REASONS = {
    "rolls back": "the car rolls backwards",
    "stands still": "the car stands",
    "too slow": "the line was not reached within the longest time",
    "too fast": "the car cannot be slowed down enough",
    "never repeats": "the lap does not repeat",
    "goes over": "the car goes over",
    "leaves the ground": "lift takes the car off the road",
    "left what is possible": "a value left what is possible",
}
#: More than all grip, by what the library allows itself [-].
MOST_GRIP = 1.002
#: Scalars that are not numbers where the thing did not happen.
MAY_BE_MISSING = {
    "contact_engine_speed",
    "contact_shaft_speed",
    "contact_speed",
    "contact_time",
    "engine_speed_after",
    "engine_speed_before",
    "engine_speed_drop",
    "hand_over",
    "let_go_engine_speed",
    "let_go_speed",
    "let_go_time",
    "lock_engine_speed",
    "lock_speed",
    "lock_time",
    "low_speed",
    "low_time",
    "shift_distance",
    "shift_heat",
    "shift_speed",
    "shift_time",
}


def corner(
    source: random.Random, radius: float, angle: float, blend: float
) -> list[tuple[float, tuple[float, float, float, float]]]:
    """Return lengths and curvatures of a corner: rising, constant and falling."""
    curvature = source.choice([1.0, -1.0]) / radius
    blend = min(blend, 0.9 * angle * radius)
    arc = angle * radius - blend
    return [
        (blend, (0.0, curvature / blend, 0.0, 0.0)),
        (arc, (curvature, 0.0, 0.0, 0.0)),
        (blend, (curvature, -curvature / blend, 0.0, 0.0)),
    ]


def random_track(source: random.Random) -> Track:
    """Draw a track: from a ring or an oval to twelve corners, seldom one that closes."""
    shapes: list[tuple[float, tuple[float, float, float, float]]] = []
    longest = source.choice([5.0, 30.0, 80.0])
    for _ in range(source.randint(1, 12)):
        if source.random() < 0.85:
            shapes.append((source.uniform(0.5, longest), (0.0, 0.0, 0.0, 0.0)))
        radius = math.exp(source.uniform(math.log(0.51), math.log(60.0)))
        blend = math.exp(source.uniform(math.log(0.05), math.log(5.0)))
        shapes += corner(source, radius, source.uniform(0.2, math.pi), blend)
    hilly, slippery = source.random() < 0.3, source.random() < 0.3
    steepest = source.choice([0.02, 0.1, 0.5])
    pieces, grip, grade = [], 1.0, 0.0
    for length, curvature in shapes:
        if hilly and source.random() < 0.4:
            grade = source.uniform(-steepest, steepest)
        if slippery and source.random() < 0.3:
            grip = source.uniform(0.1, 2.0)
        pieces.append(Piece(length, curvature, grip, grade))
    return Track("random", tuple(pieces), ())


def random_options(source: random.Random) -> dict[str, object]:
    """Draw how the lap is driven."""
    options: dict[str, object] = {"sample_spacing": 0.5, "standing": source.random() < 0.2}
    if source.random() < 0.3:
        options["settled"] = False
    if source.random() < 0.3:
        options["corner_share"] = source.uniform(0.3, 1.0)
        options["brake_share"] = source.uniform(0.1, 1.0)
        options["release_time"] = source.uniform(0.0, 1.0)
        options["correction_time"] = math.exp(source.uniform(math.log(0.01), 0.0))
    return options


def case(seed: int, number: int) -> tuple[layshaft.Car, Track, dict[str, object]]:
    """Return car, track and options of a number."""
    source = random.Random(f"{seed}/{number}")
    width = random_cars.WIDE if number % 2 else random_cars.NEAR
    return random_cars.random_car(source, width), random_track(source), random_options(source)


def turnover(run: layshaft.LapRun) -> float:
    """Return all energy that a lap moved [J]."""
    most = float(run.scalars.peak_speed)
    moved = sum(abs(e) for name, e in run.energy.items() if name != "energy_residual")
    return moved + 0.5 * run.car["body.mass"] * most**2


def faults_of(run: layshaft.LapRun) -> list[str]:
    """Name what no lap may show, however odd car and track."""
    # A doubtful lap may say that its times are known to no bound.
    missing = MAY_BE_MISSING | ({"lap_time", "time_error"} if run.message else set())
    missing |= {"time_error"} if run.doubtful else set()
    faults = [
        f"{name} is not finite"
        for name, value in run.scalars.items()
        if not np.isfinite(value) and name not in missing
    ]
    faults += [
        f"sampled {name} is not finite"
        for name, values in run.samples.items()
        if not np.isfinite(values).all()
    ]
    grip = max(float(run.scalars.most_grip), float(run.samples.grip_taken.values.max(initial=0.0)))
    if not run.message and grip > MOST_GRIP:
        faults.append(f"grip used {grip:.4g} of all")
    loads = [
        float(run.samples[f"{axle}_axle_load"].values.min(initial=0.0))
        for axle in ("rear", "front")
    ]
    if min(loads) < 0.0:
        faults.append(f"load of {min(loads):.3g} N")
    # Each sample may be off by what a step may be off, all of them by that of each step.
    allowed = run.options.tolerance * (100.0 + turnover(run))
    faults += [
        f"{name} falls by {-np.diff(values).min():.2g} J"
        for name, values in losses(run).items()
        if (np.diff(values) < -allowed).any()
    ]
    residual = abs(run.energy["energy_residual"])
    if residual > allowed * math.sqrt(max(float(run.scalars.steps), 1.0)):
        faults.append(f"energy residual {residual:.3g} J of {turnover(run):.3g} J")
    return faults


def ending(message: str) -> str:
    """Return the name of the reason that a message gives, or `abort`."""
    if not message:
        return "finished"
    return next((name for name, text in REASONS.items() if message.startswith(text)), "abort")


def judge(seed: int, number: int) -> Verdict:
    """Drive the lap of a number."""
    begin = time.monotonic()
    car, track, options = case(seed, number)
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="track random does not close")
        run = layshaft.lap(car, track, on_failure="return", **options)
    status = ending(run.message)
    return Verdict(
        number=number,
        status=status,
        message=run.message,
        faults=tuple(faults_of(run)) + (("abort",) if status == "abort" else ()),
        residual=abs(run.energy["energy_residual"]) / max(turnover(run), 1.0),
        steps=int(run.scalars.steps),
        changes=len(run.changes),
        seconds=time.monotonic() - begin,
    )


def table(verdicts: list[Verdict]) -> str:
    """Count endings and faults of near and of wide cars, side by side."""
    columns = [[v for v in verdicts if v.number % 2 == odd] for odd in (0, 1)]
    counts = [collections.Counter(v.status for v in column) for column in columns]
    for count, column in zip(counts, columns, strict=True):
        # Faults by kind: their words without the numbers.
        for verdict in column:
            for text in verdict.faults:
                count["fault: " + re.sub(r"[-\d.e+]*\d[-\d.e+]*", "#", text)] += 1
            if verdict.status == "abort":
                count["abort: " + re.sub(r"\d[-\d.e+]*", "#", verdict.message)] += 1
    names = sorted(set().union(*counts), key=lambda name: (":" in name, name))
    lines = [f"{'':60}{'near':>8}{'wide':>8}"]
    lines += [f"{name[:58]:60}{counts[0][name]:8}{counts[1][name]:8}" for name in names]
    lines.append(f"{'laps':60}{len(columns[0]):8}{len(columns[1]):8}")
    slowest = max(verdicts, key=lambda v: v.seconds)
    lines.append(f"slowest: number {slowest.number}, {slowest.seconds:.3g} s")
    return "\n".join(lines)


def main() -> int:
    """Run the campaign that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=2000, help="how many laps")
    parser.add_argument("--first", type=int, default=0, help="number of the first lap")
    parser.add_argument("--seed", type=int, default=0, help="of all random numbers")
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    parser.add_argument("--patience", type=float, default=120.0, help="longest lap [s]")
    parser.add_argument("--show", action="store_true", help="print the cases and drive none")
    asked = parser.parse_args()
    if asked.show:
        for number in range(asked.first, asked.first + asked.count):
            print(*case(asked.seed, number), sep="\n")
        return 0
    judged = functools.partial(judge, asked.seed)
    verdicts = random_cars.campaign(asked.first, asked.count, asked.jobs, asked.patience, judged)
    print(table(verdicts))
    return int(any(verdict.faults for verdict in verdicts))


if __name__ == "__main__":
    sys.exit(main())
