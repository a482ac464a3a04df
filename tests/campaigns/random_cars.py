"""Launch random but physical cars and count how the runs end.

    python tests/campaigns/random_cars.py --count 10000 --jobs 2

Half of the cars lie around the demo car, half anywhere inside the ranges of the field table, or all
of one kind with `--range`; half of the engines were measured over a part of their speeds only;
speeds at the start, grades and pedals vary too. Each car comes from its own number alone: `--first
1234 --count 1` runs one again, `--show` prints it, `--reduce` prints it with as much of the demo
car as leaves it going wrong. A car that brings its process down or takes longer than `--patience`
is counted as `crash` or `hang` and the others go on. The exit code is 1 if there
is a crash, a hang, a value that is not finite, a dissipation or an axle load below zero, a run that
is called finished though a speed or a temperature left its bounds, or a chattering switch.
"""

import argparse
import collections
import contextlib
import functools
import itertools
import multiprocessing
import multiprocessing.connection
import random
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import layshaft
import numpy as np
from layshaft import _core
from layshaft.setup import field_table

#: Share of the way, in ratios, from the demo car's value to the ends of a field's range.
NEAR, WIDE = 0.1, 1.0
#: Beyond it no torque curve reaches, and no run starts [rad/s].
MOST_TURNS = _core.torque_curve_field().x_maximum

#: Scalars that are not numbers where the thing did not happen.
MAY_BE_MISSING = {
    "clutch_lock_time",
    "contact_engine_speed",
    "contact_speed",
    "engine_speed_drop",
    "let_go_engine_speed",
    "let_go_speed",
    "lock_engine_speed",
    "lock_speed",
    "contact_time",
    "lock_time",
    "low_speed",
    "low_time",
    "engine_speed_after",
    "engine_speed_before",
    "let_go_time",
    "hand_over",
    "shift_distance",
    "shift_heat",
    "contact_shaft_speed",
    "shift_speed",
    "shift_time",
}
#: More changes of one part within `WINDOW` [s] than any part of a car can make: its quickest
#: natural motion, the spin of a stiff axle, takes longer for one swing.
MOST_IN_WINDOW, WINDOW = 20, 1e-3
#: Bounds of a finished run: crank over idle backwards, and over the last point of the torque curve
#: or what the wheels turn it at [-]; temperature [K]; axle load over weight, of round-off [-].
MOST_BACK, MOST_OVER, HOTTEST, LEAST_LOAD = 0.06, 1.4, 6400.0, -1e-9


def between(source: random.Random, low: float, value: float, high: float, width: float) -> float:
    """Draw a number around `value`, at most `width` of the way to `low` and `high`."""
    share = width * source.uniform(-1.0, 1.0)
    end = high if share > 0.0 else low
    if value > 0.0 and end > 0.0:
        drawn = value * (end / value) ** abs(share)
    else:
        drawn = value + (end - value) * abs(share)
    return min(max(drawn, low), high)


def measured_torque(source: random.Random) -> list[tuple[float, float]]:
    """Draw a curve as a dyno gives it: its first point at up to 24 krpm, its last from 30 on."""
    rpm = np.linspace(source.uniform(4e3, 24e3), source.uniform(30e3, 45e3), source.randint(2, 16))
    peak, width = source.uniform(20e3, 32e3), source.uniform(16e3, 34e3)
    torques = source.uniform(0.2, 0.7) * (1.0 - ((rpm - peak) / width) ** 2)
    return [
        (float(speed * np.pi / 30.0), float(torque) * source.uniform(0.92, 1.08))
        for speed, torque in zip(rpm, torques, strict=True)
    ]


def random_torque(source: random.Random, width: float) -> list[tuple[float, float]]:
    """Draw a torque curve: measured over a part, or that of the demo car, its points moved."""
    if source.random() < 0.5:
        return measured_torque(source)
    by = 0.5 * width
    speed_scale = source.uniform(1.0 - by, 1.0 + 0.4 * by)  # the last point stays in its range
    return [
        (speed * speed_scale, torque * source.uniform(1.0 - by, 1.0 + by))
        for speed, torque in layshaft.demo_car()["engine.torque"]
    ]


def random_car(source: random.Random, width: float) -> layshaft.Car:
    """Draw a car: its fields are changed one by one, and a change that does not fit is left out."""
    car = layshaft.demo_car()
    with contextlib.suppress(ValueError):  # a point without torque on the way up
        car = car.replace({"engine.torque": random_torque(source, width)})
    order = list(field_table.fields())
    source.shuffle(order)
    for row in order:
        if row.kind == "choice":
            value: float | str = source.choice(row.choices)
        else:
            value = between(source, row.minimum, row.fallback, row.maximum, width)
            value = round(value) if row.kind == "count" else value
        try:
            car = car.replace({row.path: value})
        except ValueError:
            continue
    return car


def random_options(source: random.Random, car: layshaft.Car) -> dict[str, object]:
    """Draw where and how a car is run; it starts no faster than its engine can turn."""
    options: dict[str, object] = {"sample_interval": 0.05}
    if source.random() < 0.5:
        speed = source.uniform(0.0, 30.0)
        # Slower it may roll in first gear, and turn faster again.
        while (turns := _core.rolling_engine_speed(car._core, speed)) > MOST_TURNS:
            speed *= 0.9 * MOST_TURNS / turns
        options["start_speed"] = speed
    if source.random() < 0.3:
        options["grade"] = source.uniform(-0.2, 0.2)
    if source.random() < 0.3:
        times = sorted(source.uniform(0.0, 6.0) for _ in range(source.randint(1, 8)))
        options["pedals"] = [
            (at, source.choice([0.0, source.random(), 1.0]), source.choice([0.0, source.random()]))
            for at in times
        ]
    return options


#: Width of the cars with an even and with an odd number.
RANGES = {"both": (NEAR, WIDE), "near": (NEAR, NEAR), "whole": (WIDE, WIDE)}


def case(number: int, span: str = "both") -> tuple[layshaft.Car, dict[str, object]]:
    """Return the car and the options of a number."""
    source = random.Random(number)
    car = random_car(source, RANGES[span][number % 2])
    return car, random_options(source, car)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one launch showed."""

    number: int
    status: str  #: of the run, or `crash` or `hang`
    message: str = ""
    faults: tuple[str, ...] = ()
    residual: float = 0.0  #: of energy, over all energy that was moved [-]
    steps: int = 0
    changes: int = 0
    seconds: float = 0.0


def turnover(run: layshaft.LaunchRun) -> float:
    """Return all energy that a run moved, and that it began with [J]."""
    start = 0.5 * run.car["body.mass"] * run.options.start_speed**2
    return start + sum(abs(e) for name, e in run.energy.items() if name != "energy_residual")


def most_in_window(run: layshaft.LaunchRun) -> int:
    """Return the largest number of changes of one part within `WINDOW`."""
    times = collections.defaultdict(list)
    for change in run.changes:
        times[change.part].append(change.time)
    counts = [
        (np.searchsorted(at, np.array(at) + WINDOW, "right") - np.arange(len(at))).max()
        for at in times.values()
    ]
    return int(max(counts, default=0))


def losses(run: layshaft.LaunchRun) -> dict[str, np.ndarray]:
    """Return each account of dissipation over the samples and at the end [J]."""
    return {
        name: np.append(run.samples[name].values, run.scalars[name].item())
        for name in run.scalars
        if name.endswith("_loss")
    }


def out_of_bounds(run: layshaft.LaunchRun) -> list[str]:
    """Name the bounds that a run has left."""
    car, samples = run.car, run.samples
    crank, shaft = samples["crank_speed"].values, samples["shaft_speed"].values
    # The one-way bearing lets the wheels turn the crank in second gear alone.
    driven = float(shaft.max()) * car["second.spur"] / car["second.pinion"]
    most = MOST_OVER * max(car["engine.torque"][-1][0], float(crank[0]), driven)
    # Engine and hill, and what wheels that turn with the belts in another measure had and gave up.
    by_itself = 1.1 * max(100.0, float(samples["car_speed"].values[0]))
    by_itself += 10.0 * float(run.scalars.end_time)
    given_up = max(0.0, -run.energy["rotating_energy"])
    fastest = np.sqrt(by_itself**2 + 2.0 * given_up / car["body.mass"])
    hottest = max(float(samples[name].max()) for name in samples if "temperature" in name)
    weight = 9.80665 * car["body.mass"]
    loads = [samples[name] / weight for name in ("rear_axle_load", "front_axle_load")]
    found = {
        "crank turns back": crank.min() < -MOST_BACK * car["engine.idle_speed"],
        "crank runs away": crank.max() > most,
        "car runs away": np.abs(samples["car_speed"].values).max() > fastest,
        "temperature out of bounds": hottest > HOTTEST,
        "axle load below zero": min(float(load.min()) for load in loads) < LEAST_LOAD,
    }
    return [name for name, is_found in found.items() if is_found]


def faults_of(run: layshaft.LaunchRun) -> list[str]:
    """Name what no run may show, however odd the car."""
    # A doubtful run may say that its times are known to no bound.
    missing = MAY_BE_MISSING | ({"time_error"} if run.doubtful else set())
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
    # Every sample may be off by what a step may be off.
    allowed = run.options.tolerance * (100.0 + turnover(run))
    faults += [
        f"{name} falls by {-np.diff(values).min():.2g} J"
        for name, values in losses(run).items()
        if (np.diff(values) < -allowed).any()
    ]
    if (most := most_in_window(run)) > MOST_IN_WINDOW:
        faults.append(f"{most} changes of one part within {WINDOW:g} s")
    return faults + (out_of_bounds(run) if run.status == "finished" else [])


def judge(number: int, car: layshaft.Car, options: dict[str, object]) -> Verdict:
    """Launch the car of a number."""
    begin = time.monotonic()
    run = layshaft.launch(car, on_failure="return", **options)
    return Verdict(
        number=number,
        status=run.status,
        message=run.message,
        faults=tuple(faults_of(run)),
        residual=abs(run.energy["energy_residual"]) / max(turnover(run), 1.0),
        steps=int(run.scalars.steps),
        changes=len(run.changes),
        seconds=time.monotonic() - begin,
    )


def kind_of(verdict: Verdict) -> tuple[str, ...]:
    """Return what two runs that go wrong in the same way have in common."""
    faults = (" ".join(word for word in text.split() if word.isalpha()) for text in verdict.faults)
    return verdict.status, *sorted(faults)


def simpler_options(options: dict[str, object]) -> Iterator[dict[str, object]]:
    """Give ways to run with fewer options, the simplest first; few steps, as many are slow."""
    names = [name for name in options if name != "sample_interval"]
    for count in range(len(names) + 1):
        for kept in itertools.combinations(names, count):
            yield {"most_steps": 20_000} | {name: options[name] for name in kept}


def reduced(number: int, span: str) -> tuple[layshaft.Car, dict[str, object]]:
    """Give the car of a number as many of the demo car's values as leave it going wrong."""
    car, options = case(number, span)
    kind = kind_of(judge(number, car, options))
    for simpler in simpler_options(options):
        if kind_of(judge(number, car, simpler)) == kind:
            options = simpler
            break
    for path, value in layshaft.demo_car().to_dict().items():
        try:
            plainer = car.replace({path: value})
        except ValueError:
            continue
        if kind_of(judge(number, plainer, options)) == kind:
            car = plainer
    return car, options


def judge_number(number: int, span: str = "both") -> Verdict:
    """Launch the car of a number as it is drawn."""
    return judge(number, *case(number, span))


def work(
    numbers: range, judged: Callable[[int], Verdict], pipe: multiprocessing.connection.Connection
) -> None:
    """Judge numbers in a process of its own; tell each before and after."""
    for number in numbers:
        pipe.send(number)
        pipe.send(judged(number))
    pipe.close()


class Worker:
    """A process at work on numbers; begun anew behind one that brought it down."""

    def __init__(self, numbers: range, judged: Callable[[int], Verdict]) -> None:
        self.numbers, self.judged = numbers, judged
        self.start()

    def start(self) -> None:
        self.pipe, far = multiprocessing.Pipe(duplex=False)
        task = (self.numbers, self.judged, far)
        self.process = multiprocessing.Process(target=work, args=task, daemon=True)
        self.process.start()
        far.close()
        self.begun = time.monotonic()

    def read(self) -> Verdict | None:
        """Take one message; a verdict if it was one."""
        message = self.pipe.recv()
        if isinstance(message, Verdict):
            self.numbers = range(message.number + 1, self.numbers.stop)
            return message
        self.begun = time.monotonic()
        return None

    def give_up(self, status: str) -> Verdict:
        """Leave the present number out and go on with the next."""
        self.process.kill()
        self.process.join()
        number = self.numbers.start
        self.numbers = range(number + 1, self.numbers.stop)
        if self.numbers:
            self.start()
        return Verdict(number, status, faults=(status,))


def campaign(
    first: int,
    count: int,
    jobs: int,
    patience: float,
    judged: Callable[[int], Verdict] = judge_number,
) -> list[Verdict]:
    """Judge `count` numbers from `first` on in `jobs` processes."""
    edges = np.linspace(first, first + count, jobs + 1).astype(int).tolist()
    workers = [Worker(range(a, b), judged) for a, b in itertools.pairwise(edges) if b > a]
    verdicts: list[Verdict] = []
    while workers := [worker for worker in workers if worker.numbers]:
        ready = multiprocessing.connection.wait([w.pipe for w in workers], timeout=1.0)
        for worker in workers:
            try:
                verdict = worker.read() if worker.pipe in ready else None
            except EOFError:
                verdict = worker.give_up("crash")
            if worker.numbers and time.monotonic() - worker.begun > patience:
                verdict = worker.give_up("hang")
            if verdict:
                verdicts.append(verdict)
                tell(verdict, len(verdicts), count)
    return sorted(verdicts, key=lambda verdict: verdict.number)


def tell(verdict: Verdict, done: int, count: int) -> None:
    """Print what is worth a look as it comes."""
    if verdict.faults or verdict.status != "finished":
        said = "; ".join([verdict.message, *verdict.faults]).strip("; ")
        print(f"number {verdict.number}: {verdict.status}: {said}", flush=True)
    if done % 1000 == 0:
        print(f"{done} of {count} done", file=sys.stderr, flush=True)


@dataclass
class Summary:
    """Counts and worst cases of a campaign."""

    verdicts: list[Verdict]
    lines: list[str] = field(default_factory=list)

    def text(self) -> str:
        for width, odd in (("even", 0), ("odd", 1)):
            part = [verdict for verdict in self.verdicts if verdict.number % 2 == odd]
            if part:
                self._part(width, part)
        return "\n".join(self.lines)

    def _part(self, width: str, part: list[Verdict]) -> None:
        counts = collections.Counter(verdict.status for verdict in part)
        told = ", ".join(f"{status} {n}" for status, n in counts.most_common())
        faulty = sum(bool(verdict.faults) for verdict in part)
        self.lines.append(f"{width} cars: {len(part)}: {told}; with faults {faulty}")
        kinds = collections.Counter(fault for verdict in part for fault in kind_of(verdict)[1:])
        self.lines += [f"  {kind}: {n}" for kind, n in kinds.most_common()]
        for name, unit in (("residual", ""), ("steps", ""), ("changes", ""), ("seconds", " s")):
            values = sorted((getattr(verdict, name), verdict.number) for verdict in part)
            middle, (most, number) = values[len(values) // 2][0], values[-1]
            self.lines.append(
                f"  {name}: median {middle:.3g}{unit}, worst {most:.3g}{unit} (car {number})"
            )


def main() -> int:
    """Run the campaign that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--count", type=int, default=10_000, help="how many cars")
    parser.add_argument("--first", type=int, default=0, help="number of the first car")
    parser.add_argument("--range", choices=RANGES, default="both", help="how far from the demo car")
    parser.add_argument("--jobs", type=int, default=2, help="processes")
    parser.add_argument("--patience", type=float, default=120.0, help="longest run [s]")
    parser.add_argument("--show", action="store_true", help="print the cars and run none")
    parser.add_argument("--reduce", action="store_true", help="the same, reduced to what matters")
    asked = parser.parse_args()
    if asked.show or asked.reduce:
        for number in range(asked.first, asked.first + asked.count):
            print(*(reduced if asked.reduce else case)(number, asked.range), sep="\n")
        return 0
    judged = functools.partial(judge_number, span=asked.range)
    verdicts = campaign(asked.first, asked.count, asked.jobs, asked.patience, judged)
    print(Summary(verdicts).text())
    return int(any(verdict.faults for verdict in verdicts))


if __name__ == "__main__":
    sys.exit(main())
