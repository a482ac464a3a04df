"""Laps against an independent solver: a point mass, forwards and backwards, in NumPy."""

import importlib
import sys
import tomllib
from pathlib import Path

import layshaft
import numpy as np
import pytest

CASES = Path(__file__).resolve().parents[2] / "reference-cases"

#: A car in first gear whose pedals and tyres are quick; 18 to 45 and 18 to 42 teeth roll alike.
QUICK = {
    "two_speed.gap": 0.003,
    "driver.response_time": 0.002,
    "driver.anticipation": 0.0,
    "driver.slip_target": 0.18,
    "rear_tyre.stiffness_factor": 200.0,
    "front_tyre.stiffness_factor": 200.0,
    "rear_tyre.cornering_stiffness": 200.0,
    "front_tyre.cornering_stiffness": 200.0,
    # A point is not turned, and its axles' loads do not move.
    "body.yaw_inertia": 0.001,
    "body.centre_height": 0.005,
    "rear_tyre.load_sensitivity": 0.0,
    "front_tyre.load_sensitivity": 0.0,
    "rear_tyre.friction_peak": 1.5,
    "front_tyre.friction_peak": 1.5,
    "rear_tyre.growth": 0.0,
    "front_tyre.growth": 0.0,
    "rear_tyre.radius": 0.036,
    "front_tyre.radius": 0.0336,
    "body.downforce_area": 0.0,
    "body.load_transfer_time": 0.005,
    "shafts.drag": 0.0,
    "first.loss": "given",
    "first.efficiency": 1.0,
    "belts.rear.efficiency": 1.0,
    "belts.middle.efficiency": 1.0,
    "belts.front.efficiency": 1.0,
    # Bites far below the slowest corner.
    "clutch.axial.nut_turns": 0.5,
    "engine.power_scale": 0.3,
}
SHARES = {"corner_share": 0.85, "brake_share": 0.8}
#: What is quick in the car is not infinitely quick, and the spline of its aim is above the point
#: mass's at each kink by some hundredths of a metre per second.
DIFFERENCE = 0.005


def plain(car: layshaft.Car) -> dict[str, object]:
    """Return the car as nested dictionaries of plain numbers."""
    nested: dict[str, object] = {}
    for path, value in car.to_dict().items():
        *sections, name = path.split(".")
        table = nested
        for section in sections:
            table = table.setdefault(section, {})
        table[name] = value
    return nested


@pytest.fixture(scope="module")
def solver() -> object:
    sys.path.insert(0, str(CASES))
    try:
        return importlib.import_module("point_mass_lap")
    finally:
        sys.path.remove(str(CASES))


@pytest.mark.parametrize("name", ["club", "fast"])
def test_a_lap_of_the_quick_car_is_that_of_a_point_mass(solver: object, name: str) -> None:
    car, track = layshaft.demo_car().replace(QUICK), layshaft.demo_track(name)
    run = layshaft.lap(car, track, release_time=0.0, correction_time="20 ms", **SHARES)
    time, places, speed = solver.lap(plain(car), track.curvature, track.length, **SHARES)
    assert run.time == pytest.approx(time, rel=DIFFERENCE)
    own = np.interp(places, run.samples.distance.values, run.samples.car_speed.values)
    assert float(np.max(np.abs(own - speed))) < 0.3
    assert float(np.mean(np.abs(own - speed))) < 0.1


def test_power_gains_what_it_gains_a_point_mass(solver: object) -> None:
    track = layshaft.demo_track("club")

    def both(scale: float) -> tuple[float, float]:
        car = layshaft.demo_car().replace(QUICK | {"engine.power_scale": scale})
        run = layshaft.lap(car, track, release_time=0.0, correction_time="20 ms", **SHARES)
        time, _, _ = solver.lap(plain(car), track.curvature, track.length, **SHARES)
        return run.time, time

    (ours, other), (more, other_more) = both(0.25), both(0.3)
    assert ours - more == pytest.approx(other - other_more, rel=0.1)


def test_files_of_the_tracks_are_plain_toml() -> None:
    for name in ("club", "fast"):
        file = Path(layshaft.__file__).parent / "data" / f"track-{name}.toml"
        assert len(tomllib.loads(file.read_text(encoding="utf-8"))["segment"]) > 8
