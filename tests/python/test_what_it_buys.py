"""One table of what a setting buys: beside the time what it costs in revs, upset, fuel and heat."""

from types import SimpleNamespace

import layshaft
import numpy as np
import pytest
from layshaft.advice.what_it_buys import Bought, shift_upset, what_it_buys
from layshaft.reports.bought_report import bought_rows, no_matter_sentences
from layshaft.runs.corner_exits import tyre_share
from layshaft.runs.run_options import read_options
from rich.console import Console

GAP = "two_speed.gap"
GAPS = [3.8e-3, 4.2e-3, 4.6e-3, 5.0e-3]


@pytest.fixture(scope="module")
def bought() -> Bought:
    points = [{GAP: gap} for gap in GAPS]
    return what_it_buys(layshaft.demo_car(), points, read_options(distance=60.0))


def test_each_row_is_a_launch_of_its_own(bought: Bought) -> None:
    run = layshaft.launch(layshaft.demo_car().replace({GAP: GAPS[2]}), distance=60.0)
    own = run.scalars
    assert bought.time[2] == pytest.approx(run.times[-1].item(), rel=1e-12)
    assert bought.engine_peak[2] == pytest.approx(own.peak_engine_speed.item(), rel=1e-12)
    drop = own.engine_speed_before.item() - own.engine_speed_after.item()
    assert bought.drop[2] == pytest.approx(drop, rel=1e-9)
    assert bought.shoe_heat[2] == pytest.approx(own.shoe_loss.item(), rel=1e-12)
    assert bought.fuel_rate[2] == pytest.approx(own.fuel.item() / run.times[-1].item(), rel=1e-9)


def test_revs_over_the_limit_are_told() -> None:
    car = layshaft.demo_car().replace({"engine.speed_limit": "42 krpm"})
    over = what_it_buys(car, [{GAP: 4.6e-3}], read_options(distance=60.0))
    assert over.over_rev[0] == pytest.approx(over.engine_peak[0] - 42_000 * np.pi / 30.0)
    assert over.over_rev[0] > 0.0


def test_the_upset_of_a_step_of_force_is_its_height() -> None:
    # 20 N more from one look to the next; 20 N / (2 kg * 9.80665 m/s^2) = 1.0197 g.
    time = np.linspace(0.0, 2.0, 2001)
    force = np.where(time < 1.0, 10.0, 30.0)

    def upset(lock: float) -> float:
        taken = {"time": time, "rear_tyre_force": force, "front_tyre_force": 0.0 * force}
        moments = {"contact_time": 0.8, "lock_time": lock}
        samples, scalars = (
            {name: ((), values, {}) for name, values in each.items()} for each in (taken, moments)
        )
        plain = SimpleNamespace(samples=samples, scalars=scalars)
        return shift_upset(SimpleNamespace(plain=plain, car={"body.mass": 2.0}))

    assert upset(1.0) == pytest.approx(1.0197, abs=1e-4)
    assert upset(0.9) == pytest.approx(0.0, abs=1e-9)  # the step comes a tenth of a second later
    assert np.isnan(upset(np.nan))


def test_all_stands_side_by_side_with_units(bought: Bought) -> None:
    console = Console(width=120, record=True)
    console.print(bought_rows(bought, ["3.80", "4.20", "4.60", "5.00"], "gap\nmm", 2))
    text = console.export_text()
    assert all(word in text for word in ("g/min", "heat J", "upset", "rpm", "km/h"))
    assert f"{bought.upset[0]:.2f}" in text


def test_where_nothing_tried_matters_the_reason_is_told(bought: Bought) -> None:
    assert no_matter_sentences(bought, GAP, 0.001, 0.5) == []
    spread = np.ptp(bought.time)
    (tyres,) = no_matter_sentences(bought, GAP, spread * 1.01, 0.5)
    assert "the tyres limit for 50% of the time on the throttle, not the gap" in tyres
    (engine,) = no_matter_sentences(bought, GAP, spread * 1.01, 0.1)
    assert "the engine pulls alike" in engine


def test_the_tyres_limit_longer_where_they_grip_less() -> None:
    car = layshaft.demo_car()
    peak = car["rear_tyre.friction_peak"]
    less = layshaft.launch(car.replace({"rear_tyre.friction_peak": 0.6 * peak}))
    assert tyre_share(less) > tyre_share(layshaft.launch(car))


def test_a_setting_that_fails_is_a_row_of_nothing() -> None:
    points = [{"first.pinion": 17.0}, {"first.pinion": 40.0}]
    bought = what_it_buys(layshaft.demo_car(), points, read_options(distance=30.0))
    assert np.isfinite(bought.upset[0])
    assert np.isnan([bought.time[1], bought.upset[1], bought.engine_peak[1]]).all()
