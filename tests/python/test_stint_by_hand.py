"""A stint of invented laps with round numbers: everything after the lap, worked by hand."""

from collections.abc import Mapping, Sequence

import layshaft
import numpy as np
import pytest
import trial
from layshaft.runs.point_runs import PointRuns

#: Of plain arithmetic in doubles, relative.
ROUND_OFF = 1e-11

#: Density of pure methanol [kg/m^3], so that the tank holds 79.14 g.
METHANOL = 791.4
#: Invented results of every lap [s, kg, J, K].
LAP = {
    "fuel": 0.004,
    "rear_tyre_loss": 1000.0,
    "front_tyre_loss": 200.0,
    "cornering_loss": 500.0,
    "peak_clutch_temperature": 400.0,
    "peak_shoe_temperature": 420.0,
}
#: Radius of the rear tyres at the start, worn by .5 mm [m].
RADIUS = 0.037
WEAR = layshaft.TyreWear(rear=8e-8, front=5e-8)
# Of 500 J in corners the front axle, with .4 of the weight, does 200 J, the rear 300 J.
REAR_LOST = 8e-8 * 1300.0  #: in each lap: .104 mm
FRONT_LOST = 5e-8 * 400.0  #: .020 mm

_SETTINGS = {
    "fuel.nitromethane": 0.0,
    "fuel.oil": 0.0,
    "fuel.tank_volume": 1e-4,
    "body.mass": 2.5,
    "body.front_share": 0.4,
    "rear_tyre.radius": 0.0375,
    "rear_tyre.wear": 0.0005,
    "front_tyre.radius": 0.0345,
    "front_tyre.wear": 0.0002,
    "second.spur": 44,
    "second.pinion": 22,
    "two_speed.gap": 4.8e-3,
    "two_speed.screw_pitch": 0.5e-3,
}


def invented_laps(_car: object, points: Sequence[Mapping[str, float]], _options: object) -> object:
    """Laps of 20 s that are .05 s quicker at a gap of 4.7 mm and shift at one shaft speed."""
    gaps = np.array([point.get("two_speed.gap", 4.8e-3) for point in points])
    radii = np.array([0.0375 - point["rear_tyre.wear"] for point in points])
    columns = {name: np.full(len(points), value) for name, value in LAP.items()}
    columns["shift_speed"] = (14.0 - 5000.0 * (gaps - 4.8e-3)) * radii / RADIUS
    times = 19.95 + 5e6 * (gaps - 4.7e-3) ** 2
    return PointRuns(
        tuple(columns),
        np.column_stack(list(columns.values())),
        times[:, None],
        ("finished",) * len(points),
        ("",) * len(points),
    )


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[Mapping[str, float]]:
    """Put the invented laps in place of computed ones; the points that were asked for."""
    points: list[Mapping[str, float]] = []

    def run(car: object, some: Sequence[Mapping[str, float]], options: object) -> object:
        points.extend(some)
        return invented_laps(car, some, options)

    monkeypatch.setattr("layshaft.runs.race.run_points", run)
    return points


def race(**options: object) -> object:
    car = layshaft.Car(_SETTINGS | options.pop("settings", {}))
    return layshaft.stint(car, trial.CLUB, **{"duration": "400 s", "wear": WEAR} | options)


@pytest.mark.usefixtures("asked")
def test_each_axle_wears_by_its_own_work_in_slip_and_corners() -> None:
    laps = race().laps
    driven = np.arange(1, laps.sizes["lap"] + 1)
    rear, front = (laps[f"{axle}_radius"].values for axle in ("rear", "front"))
    np.testing.assert_allclose(rear, 0.037 - 1.04e-4 * driven, rtol=ROUND_OFF)
    np.testing.assert_allclose(front, 0.0343 - 2.0e-5 * driven, rtol=ROUND_OFF)


def test_a_lap_is_that_of_the_car_in_the_middle_of_its_block(asked: list) -> None:
    race(duration="70 s")
    # At the start, there with half of the 75.183 g used that a stop fills in, as stops are judged;
    # then after half a lap and after two and a half.
    half_used = 2.5 - 0.5 * 0.95 * 1e-4 * METHANOL
    masses = [2.5, half_used, 2.498, 2.490]
    assert [point["body.mass"] for point in asked] == pytest.approx(masses, rel=ROUND_OFF)
    rear = [5e-4, 5e-4, 5e-4 + 0.5 * REAR_LOST, 5e-4 + 2.5 * REAR_LOST]
    front = [2e-4, 2e-4, 2e-4 + 0.5 * FRONT_LOST, 2e-4 + 2.5 * FRONT_LOST]
    assert [point["rear_tyre.wear"] for point in asked] == pytest.approx(rear, rel=ROUND_OFF)
    assert [point["front_tyre.wear"] for point in asked] == pytest.approx(front, rel=ROUND_OFF)


@pytest.mark.usefixtures("asked")
def test_rollout_and_lead_are_those_of_worn_tyres() -> None:
    first = race().laps.isel(lap=0)
    # 2 pi r over 45/18 of the belt and 44/22 of second gear: r = 37 - .104 mm.
    assert float(first.rollout) == pytest.approx(2.0 * np.pi * 0.036896 / 5.0, rel=ROUND_OFF)
    # Front 34.3 - .020 mm at 42/18, rear at 45/18: tread speeds as 34.28 * 45 to 36.896 * 42.
    assert float(first.lead) == pytest.approx(1542.6 / 1549.632 - 1.0, rel=1e-9)


@pytest.mark.usefixtures("asked")
def test_a_tank_of_methanol_lasts_eighteen_laps() -> None:
    found = race()
    # 95 % of 79.14 g at 4 g a lap: 18.8 laps.
    assert found.laps_per_tank == 18
    assert found.time_per_tank == pytest.approx(360.0, rel=ROUND_OFF)
    assert found.fuel_per_lap == pytest.approx(0.004 / METHANOL, rel=ROUND_OFF)
    left = found.laps.fuel_left.values
    assert left[0] == pytest.approx(75.14 / 79.14, rel=ROUND_OFF)
    assert left[17] == pytest.approx(7.14 / 79.14, rel=ROUND_OFF)
    assert left[18] == pytest.approx(75.14 / 79.14, rel=ROUND_OFF)
    # 18 laps, a stop of 6 s, and two more; the last has begun before 400 s.
    assert found.time == pytest.approx(406.0, rel=ROUND_OFF)
    assert race(duration="60 s").laps_per_tank == 18


@pytest.mark.usefixtures("asked")
def test_temperatures_are_those_of_their_own_linings() -> None:
    laps = race(duration="30 s").laps
    assert laps.clutch_temperature.values.tolist() == [400.0, 400.0]
    assert laps.shoe_temperature.values.tolist() == [420.0, 420.0]


def test_a_stop_tries_gaps_on_worn_tyres_and_half_a_tank(asked: list) -> None:
    (stop,) = race().stops
    assert (stop.lap, stop.time) == (18, pytest.approx(360.0, rel=ROUND_OFF))
    tried = [point for point in asked if "two_speed.gap" in point]
    assert [point["two_speed.gap"] for point in tried] == pytest.approx(
        [4.4e-3, 4.5e-3, 4.6e-3, 4.7e-3, 4.8e-3, 4.9e-3, 5.0e-3, 5.1e-3, 5.2e-3]
    )
    for point in tried:
        assert point["body.mass"] == pytest.approx(2.5 - 0.5 * 0.95 * 0.07914, rel=ROUND_OFF)
        assert point["rear_tyre.wear"] == pytest.approx(5e-4 + 18 * REAR_LOST, rel=ROUND_OFF)
    # The reading falls as the screw goes in: .1 mm of .5 mm a turn.
    assert stop.gap == pytest.approx(4.7e-3)
    assert stop.turns == pytest.approx(0.2)
    assert stop.gain == pytest.approx(0.05)
    # The same shaft speed is 14 m/s of the car again at 14 - 5000 (g - 4.8 mm) = 14 * 37/35.128.
    gap = 4.8e-3 - 14.0 * (37.0 / 35.128 - 1.0) / 5000.0
    assert stop.gap_of_start == pytest.approx(gap, rel=ROUND_OFF)
    assert stop.turns_of_start == pytest.approx((4.8e-3 - gap) / 0.5e-3, rel=1e-9)


@pytest.mark.usefixtures("asked")
@pytest.mark.parametrize(("turning_time", "worth"), [("0.09 s", True), ("0.11 s", False)])
def test_turning_is_worth_it_for_the_laps_that_are_left(turning_time: str, *, worth: bool) -> None:
    # 40 s are left at the stop: two laps, .05 s each.
    (stop,) = race(turning_time=turning_time).stops
    assert stop.worth is worth


@pytest.mark.usefixtures("asked")
def test_heat_settles_after_three_of_the_slower_time_constants() -> None:
    # Two lumps: roots of x^2 + x (a + d) + a d - b c with the rates below, in 1/s.
    #  clutch     a = .3/10.4, d = .4/20.8, b c = .2^2/(10.4 * 20.8): slower root .01/1.04
    #  two-speed  a = .28/8, d = .36/24, b c = .2^2/(8 * 24): slower root .0074406
    # 3/.0096154 s = 312 s and 3/.0074406 s = 403 s, in laps of 20 s: 15.6 and 20.2.
    def heat(surface: float, body: float, to_air: float, body_to_air: float) -> dict[str, float]:
        return {
            "surface_capacity": surface,
            "body_capacity": body,
            "between_conductance": 0.2,
            "surface_conductance": to_air,
            "body_conductance": body_to_air,
        }

    parts = {"clutch.heat": heat(10.4, 20.8, 0.1, 0.2), "two_speed_heat": heat(8, 24, 0.08, 0.16)}
    settings = {f"{part}.{name}": v for part, fields in parts.items() for name, v in fields.items()}
    found = race(duration="30 s", settings=settings)
    assert found.laps_to_settle == {"clutch": 16, "two_speed": 21}


def test_friction_fades_by_the_cube_of_the_rise_over_its_start() -> None:
    car = layshaft.Car(
        {
            "two_speed_heat.fade_start_temperature": 400.0,
            "two_speed_heat.half_friction_temperature": 500.0,
            "two_speed_heat.friction_floor": 0.2,
        }
    )
    # .2 + .8/(1 + c z^3): c = .5/.3 makes it 1/2 at z = 1, and z = 2 at 600 K.
    left = layshaft.runs.stint_run.friction_left(car, "two_speed_heat", 600.0)
    assert left == pytest.approx(0.2 + 0.8 * 3.0 / 43.0, rel=ROUND_OFF)


def test_wear_is_of_the_work_that_a_true_lap_lists() -> None:
    car = trial.CAR.replace({"body.front_share": 0.4})
    scalars = layshaft.lap(car, trial.CLUB).scalars
    work = {
        axle: float(scalars[f"{axle}_tyre_loss"]) + share * float(scalars.cornering_loss)
        for axle, share in (("rear", 0.6), ("front", 0.4))
    }
    wear = layshaft.TyreWear(rear=3e-8, front=5e-8)
    laps = layshaft.stint(car, trial.CLUB, duration="1 s", wear=wear).laps
    # The lap is that of a car lighter by half a lap's fuel, .1 % of its mass.
    for axle, rate in (("rear", 3e-8), ("front", 5e-8)):
        lost = car[f"{axle}_tyre.radius"] - float(laps[f"{axle}_radius"][0])
        assert lost == pytest.approx(rate * work[axle], rel=5e-3)
