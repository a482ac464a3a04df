"""Inertias from swings and drags from running down, against motions worked out another way."""

import math
from collections.abc import Callable

import layshaft
import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import ellipk

#: Of products and quotients.
ROUND_OFF = 1e-14
#: Of the general solver asked for 1e-10 a step.
SOLVED = 1e-8


def test_a_rod_on_two_threads_has_the_inertia_of_a_rod() -> None:
    mass, long, radius, threads, gravity = 0.12, 0.2, 0.08, 0.5, 9.80665
    inertia = mass * long**2 / 12.0
    # Small swings: the rod rises by r^2 a^2 / (2 L), which is half a spring of m g r^2 / L.
    period = 2.0 * math.pi * math.sqrt(inertia / (mass * gravity * radius**2 / threads))
    found = layshaft.pendulum_inertia(
        mass="120 g", distance="160 mm", length="500 mm", period=period
    )
    assert found == pytest.approx(inertia, rel=ROUND_OFF)


def test_wide_swings_make_it_as_much_larger_as_is_said() -> None:
    # The exact period of a pendulum over that of small swings.
    longer = 2.0 / math.pi * ellipk(math.sin(math.radians(15.0) / 2.0) ** 2)
    given = {"mass": 0.018, "distance": 0.04, "length": 0.3}
    small, wide = (layshaft.pendulum_inertia(**given, period=0.43 * each) for each in (1.0, longer))
    assert round(100.0 * (longer - 1.0), 1) == 0.4
    assert round(100.0 * (wide / small - 1.0), 1) == 0.9


@pytest.mark.parametrize(
    ("measure", "drag", "power"),
    [(layshaft.spin_down_torque, 0.9e-3, 0), (layshaft.spin_down_slope, 28e-6, 1)],
)
def test_what_runs_down_by_a_drag_shows_that_drag(
    measure: Callable[..., float], drag: float, power: int
) -> None:
    inertia, times = 6e-6, (0.0, 0.3)
    run = solve_ivp(
        lambda _, speed: -drag * speed**power / inertia, times, [400.0], rtol=1e-10, atol=1e-10
    )
    begin, end = run.y[0, [0, -1]]
    found = measure(inertia=inertia, from_speed=begin, to_speed=end, time=times[1])
    assert found == pytest.approx(drag, rel=SOLVED)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"mass": "18 kg^2"}, "mass = '18 kg^2' must be a mass"),
        ({"mass": 0.0}, "mass = 0.0 must be from 0.1 g to 20000 g"),
        ({"distance": "20 m"}, "distance = '20 m' must be from 1 mm to 10000 mm"),
        ({"length": -0.3}, "length = -0.3 must be from 1 mm to 10000 mm"),
        ({"period": float("nan")}, "period = nan must be"),
    ],
)
def test_a_swing_that_cannot_be_is_refused(change: dict[str, object], said: str) -> None:
    given = {"mass": "18 g", "distance": "40 mm", "length": "0.3 m", "period": 0.43}
    with pytest.raises(ValueError, match=said.replace("^", r"\^")):
        layshaft.pendulum_inertia(**(given | change))


@pytest.mark.parametrize("measure", [layshaft.spin_down_torque, layshaft.spin_down_slope])
@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"inertia": "60 g"}, "inertia = '60 g' must be a moment of inertia"),
        ({"from_speed": "1000 rpm"}, "to_speed = '1000 rpm' must be below from_speed"),
        ({"to_speed": 0.0}, "to_speed = 0.0 must be from"),
        ({"time": "0 s"}, "time = '0 s' must be from 0.01 s to 1000 s"),
    ],
)
def test_a_spin_down_that_cannot_be_is_refused(
    measure: Callable[..., float], change: dict[str, object], said: str
) -> None:
    given = {
        "inertia": "60 g cm^2",
        "from_speed": "3000 rpm",
        "to_speed": "1000 rpm",
        "time": "1.4 s",
    }
    with pytest.raises(ValueError, match=said):
        measure(**(given | change))


def test_the_sheets_formulas_are_those_of_the_functions() -> None:
    sheet = layshaft.measuring_sheet()
    pendulum = sheet["engine.inertia"].instrument_use
    formula = pendulum.partition("inertia = ")[2].partition(";")[0]
    for words, name in (
        ("9.81 m/s^2", "9.80665"),
        ("half the threads' distance", "radius"),
        ("time of one swing", "period"),
        ("length of the threads", "length"),
        ("^", "**"),
    ):
        assert words in formula
        formula = formula.replace(words, name)
    names = {"mass": 0.018, "radius": 0.02, "period": 0.43, "length": 0.3, "pi": np.pi}
    own = layshaft.pendulum_inertia(mass=0.018, distance=0.04, length=0.3, period=0.43)
    assert eval(formula, {"__builtins__": {}}, names) == pytest.approx(own, rel=ROUND_OFF)
    spin_down = sheet["shafts.drag"].instrument_use
    assert "torque = inertia * loss of speed / time; `layshaft.spin_down_torque`" in spin_down
