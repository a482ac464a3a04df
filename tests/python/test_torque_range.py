"""An engine that was measured over a part of its speeds: no launch runs away on what was not."""

import random

import layshaft
import numpy as np
import pytest

KRPM = 1000 * 2 * np.pi / 60


def plausible_curve(source):
    """Draw a torque curve as a dyno gives it that begins at 11 to 24 krpm."""
    first, last = source.uniform(11, 24), source.uniform(30, 44)
    peak, width = source.uniform(22, 31), source.uniform(20, 32)
    speeds = np.linspace(first, last, source.randint(2, 12))
    shape = 0.48 * (1 - ((speeds - peak) / width) ** 2)
    return [
        (speed * KRPM, torque * source.uniform(0.95, 1.05))
        for speed, torque in zip(speeds, shape, strict=True)
    ]


def test_no_launch_of_three_hundred_plausible_curves_runs_away():
    source = random.Random(4)
    started = 0
    for number in range(300):
        curve = plausible_curve(source)
        idle = source.uniform(7, 10) * KRPM
        car = layshaft.demo_car().replace({"engine.torque": curve, "engine.idle_speed": idle})
        run = layshaft.launch(car, sample_interval=0.05, distance=40)
        assert run.status == "finished", number
        crank = run.samples["crank_speed"]
        # Clutch and gears may hold a slow engine down, but never under what they hold at rest.
        assert crank.min() > 0.5 * idle, number
        assert crank.max() < 1.325 * curve[-1][0], number
        started += bool(run.scalars.end_distance >= 40)
    assert started > 250


def test_the_range_that_is_made_up_is_told():
    curve = [(20 * KRPM, 0.42), (28 * KRPM, 0.48), (34 * KRPM, 0.45)]
    told = {code: text for _, code, text in layshaft.Car({"engine.torque": curve}).warnings()}
    assert told["torque_made_up_below"].startswith("Below 20000 rpm, the first measured point")
    assert told["torque_made_up_above"].startswith("Above 34000 rpm, the last measured point")


def test_a_curve_below_the_drag_of_the_shut_throttle_is_refused():
    curve = [(20 * KRPM, -0.2), (28 * KRPM, 0.48), (34 * KRPM, 0.45)]
    with pytest.raises(ValueError, match=r"torque.y\[0\] = -0.2 must be above"):
        layshaft.Car({"engine.torque": curve})


def test_a_wheel_on_a_belt_without_tension_comes_to_rest():
    # Stopped hard, a light front wheel rings on a tyre without damping. The belt's own weight holds
    # it within some swings; a belt without weight has nothing that could change.
    slack = layshaft.demo_car().replace(
        {
            "belts.middle.tension": 0.0,
            "front_tyre.inertia": 1e-6,
            "front_tyre.damping_time": 0.0,
            "front_tyre.radius": 0.0247,
            "front_tyre.relaxation": 0.0388,
            "front_tyre.stiffness_factor": 44.0,
        }
    )
    options = {"start_speed": 10.0, "pedals": [(0.0, 0.0, 0.6)], "distance": 1e4}
    for car in (slack, slack.replace({"belts.middle.linear_mass": 0.0})):
        run = layshaft.launch(car, **options)
        assert run.status == "finished"
        assert len(run.changes) < 200
