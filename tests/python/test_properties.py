"""What holds for every car, not only for the demo car: accounts, trends and sameness of bits.

Cars are random but physical (`tests/campaigns/random_cars.py` makes them), some around the demo car
and some anywhere in the ranges of the field table. The ten thousand of the campaign stand there.
"""

import functools
import importlib.util
import random
from pathlib import Path
from types import ModuleType

import layshaft
import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from layshaft import _core
from layshaft.quantities import units
from layshaft.runs.batch import run_chunk
from layshaft.runs.run_options import read_options
from layshaft.setup import field_table


def _load(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


cars = _load(Path(__file__).parents[1] / "campaigns" / "random_cars.py")

WIDTHS = st.sampled_from([cars.NEAR, cars.WIDE])
SOURCES = st.integers(0, 2**32 - 1).map(random.Random)
#: Short runs: the properties hold at any time.
SHORT = {"longest_time": 4.0, "sample_interval": 0.05}

HOLDING = [_core.mode_names.index(name) for name in ("stuck", "stuck_back")]

#: Scale of an energy account to the solver [J] (`Drivetrain::state_scale`).
ACCOUNT_SCALE = 100.0
#: Steps whose errors all have one sign; with more, signs mix. The worst of the campaign needs a
#: third of it.
ONE_SIGN = 100.0


def repeat(count: int):
    """Run a property on `count` random cars, the same ones each time."""
    slow = [HealthCheck.too_slow, HealthCheck.filter_too_much]
    return settings(
        max_examples=count,
        derandomize=True,
        deadline=None,
        database=None,
        phases=[Phase.explicit, Phase.generate],  # the number of a car has no simpler one
        suppress_health_check=slow,
    )


def launch(car: layshaft.Car, **options: object) -> layshaft.LaunchRun:
    # What a run that stops early has must hold as well.
    return layshaft.launch(car, on_failure="return", **(SHORT | options))


def turns_back(run: layshaft.LaunchRun) -> bool:
    return any(change.part == "brake" and change.now == "slip_negative" for change in run.changes)


def step_error(run: layshaft.LaunchRun) -> float:
    """Return what one step may be off in an account [J]."""
    return run.options.tolerance * (ACCOUNT_SCALE + cars.turnover(run))


@repeat(40)
@given(SOURCES, WIDTHS)
def test_energy_in_is_energy_stored_and_lost(source: random.Random, width: float) -> None:
    car = cars.random_car(source, width)
    run = launch(car, **cars.random_options(source, car))
    energy = dict(run.energy)
    residual = energy.pop("energy_residual")
    work = energy.pop("engine_work")
    assert abs(residual) <= ONE_SIGN * step_error(run)
    # The residual is the sum itself, not a number of its own; left over is the sum's rounding.
    round_off = 64 * np.finfo(float).eps * cars.turnover(run)
    assert abs(work - sum(energy.values()) - residual) <= round_off


@repeat(10)
@given(SOURCES, WIDTHS)
def test_the_residual_falls_with_the_tolerance(source: random.Random, width: float) -> None:
    car = cars.random_car(source, width)
    options = cars.random_options(source, car)
    runs = [launch(car, **options, tolerance=tolerance) for tolerance in (1e-4, 1e-8)]
    loose, tight = (abs(run.energy["energy_residual"]) for run in runs)
    assert tight <= max(0.01 * loose, ONE_SIGN * step_error(runs[1]))


@repeat(30)
@given(SOURCES, WIDTHS)
def test_no_account_gives_back_what_was_lost(source: random.Random, width: float) -> None:
    car = cars.random_car(source, width)
    run = launch(car, **cars.random_options(source, car))
    assume(not turns_back(run))
    check_losses(run)


def test_no_account_gives_back_what_was_lost_rolling_back() -> None:
    run = launch(layshaft.demo_car(), grade=0.15, pedals=[(0.0, 0.0, 0.0)])
    assert turns_back(run)
    check_losses(run)


def check_losses(run: layshaft.LaunchRun) -> None:
    for name, lost in cars.losses(run).items():
        assert np.diff(lost, prepend=0.0).min() >= -step_error(run), name


@repeat(25)
@given(SOURCES)
def test_a_heavier_slug_shifts_earlier(source: random.Random) -> None:
    car = cars.random_car(source, cars.NEAR)
    speeds = [
        shift_speed(car.replace({"two_speed.slug_mass": mass})) for mass in (0.5e-3, 1e-3, 1.5e-3)
    ]
    assert speeds == sorted(speeds, reverse=True)
    assert len(set(speeds)) == len(speeds)


@repeat(25)
@given(SOURCES)
def test_screw_in_shifts_later(source: random.Random) -> None:
    car = cars.random_car(source, cars.NEAR)
    inward = -1.0 if car.two_speed.reading_direction == "falls_as_screw_goes_in" else 1.0
    slack = car.two_speed.zero_preload_reading
    speeds = [
        shift_speed(car.replace({"two_speed.gap": slack + inward * preload}))
        for preload in (0.9e-3, 1.1e-3, 1.3e-3)
    ]
    assert speeds == sorted(speeds)
    assert len(set(speeds)) == len(speeds)


def shift_speed(car: layshaft.Car) -> float:
    """Speed of the two-speed shaft as the first shoe touches, on a road without end."""
    run = launch(car, distance=1e4, longest_time=8.0)
    speed = run.scalars.contact_shaft_speed.item()
    assume(np.isfinite(speed))
    return speed


@repeat(25)
@given(SOURCES)
def test_taller_gearing_means_a_slower_engine_at_one_speed(source: random.Random) -> None:
    car = cars.random_car(source, cars.NEAR)
    mark = 12.0
    pinion = car.first.pinion
    engine = [
        engine_speed_in_first(car.replace({"first.pinion": pinion + more}), mark)
        for more in (-1, 0)
    ]
    assert engine[1] < engine[0]


def engine_speed_in_first(car: layshaft.Car, mark: float) -> float:
    """Engine speed at a speed of the car [rad/s], with clutch and first gear holding."""
    run = launch(car, speeds=[mark], sample_interval=0.002)
    reached = run.speed_times.item()
    assume(np.isfinite(reached))
    around = run.samples.sel(time=slice(reached - 0.004, reached + 0.004))
    for part in ("clutch", "first"):
        assume(np.isin(around[f"{part}_mode"], HOLDING).all())
    return float(run.samples.crank_speed.interp(time=reached))


@repeat(15)
@given(SOURCES, WIDTHS)
def test_the_two_shoes_are_alike(source: random.Random, width: float) -> None:
    car = cars.random_car(source, width)
    options = cars.random_options(source, car)
    swapped = car.replace(
        {
            f"two_speed.{mine}.{name}": car[f"two_speed.{other}.{name}"]
            for mine, other in (("shoe_1", "shoe_2"), ("shoe_2", "shoe_1"))
            for name in ("gap", "slug_mass")
        }
    )
    run, mirrored = launch(car, **options), launch(swapped, **options)
    assert run.scalars.drop_attrs().identical(mirrored.scalars.drop_attrs())
    assert run.times.identical(mirrored.times)
    for name, values in run.samples.items():
        same = mirrored.samples[OTHER_SHOE.get(name, name)]
        assert values.values.tobytes() == same.values.tobytes(), name
    happened = sorted((c.time, c.part, str(c.now)) for c in run.changes)
    assert happened == sorted(
        (c.time, OTHER_SHOE.get(c.part, c.part), str(c.now)) for c in mirrored.changes
    )


OTHER_SHOE = {
    f"shoe_{mine}{end}": f"shoe_{other}{end}"
    for mine, other in ((1, 2), (2, 1))
    for end in ("", "_out")
}


@repeat(15)
@given(SOURCES, WIDTHS)
def test_other_units_are_the_same_bits(source: random.Random, width: float) -> None:
    car = cars.random_car(source, width)
    numbers = [field for field in field_table.fields() if field.kind == "number"]
    texts = {
        field.path: in_another_unit(car[field.path], field.unit, source)
        for field in source.sample(numbers, 40)
    }
    others = {path: value for path, value in car.to_dict().items() if path not in texts}
    same = layshaft.Car(others | texts)
    assert same == car
    assert launch(same, distance=5.0).samples.identical(launch(car, distance=5.0).samples)


def in_another_unit(value: float, unit: str, source: random.Random) -> str:
    quantity = units.QUANTITIES[unit]
    return units.si_text(value, unit, source.choice([quantity.unit, *quantity.others]))


@functools.cache
def sweep_points(seed: int) -> tuple[layshaft.Car, list[str], np.ndarray]:
    source = random.Random(seed)
    car = cars.random_car(source, cars.WIDE)
    paths = ["two_speed.gap", "two_speed.shoe_1.slug_mass", "first.pinion", "clutch.design"]
    rows = [
        [
            source.uniform(4e-3, 6e-3),
            source.uniform(0.0, 2e-3),
            float(source.randint(8, 40)),
            float(source.randint(0, 1)),
        ]
        for _ in range(12)
    ]
    return car, paths, np.array(rows)


@repeat(12)
@given(st.integers(0, 3), st.sets(st.integers(1, 11)), st.sampled_from([1, 2, 3]))
def test_threads_and_batches_do_not_change_a_bit(seed: int, cuts: set[int], threads: int) -> None:
    car, paths, points = sweep_points(seed)
    options = read_options(longest_time=2.0, speeds=[5.0])
    whole = run_chunk(car, paths, points, options, threads=1)
    parts = [
        run_chunk(car, paths, rows, options, threads=threads)
        for rows in np.split(points, sorted(cuts))
    ]
    for name in ("scalars", "distance_times", "distance_speeds", "speed_times"):
        joined = np.concatenate([getattr(part, name) for part in parts])
        assert joined.tobytes() == getattr(whole, name).tobytes(), name
    assert [status for part in parts for status in part.status] == whole.status
    assert [message for part in parts for message in part.messages] == whole.messages


@pytest.mark.parametrize("width", [cars.NEAR, cars.WIDE])
def test_random_cars_differ_and_reach_the_ends_of_their_ranges(width: float) -> None:
    drawn = [cars.random_car(random.Random(seed), width) for seed in range(20)]
    assert len(set(drawn)) == len(drawn)
    moved = [field for field in field_table.fields() if len({car[field.path] for car in drawn}) > 1]
    assert len(moved) > 0.9 * len(field_table.fields())
