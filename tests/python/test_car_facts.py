"""What follows from a set-up, against sums done by hand."""

import math

import layshaft
import pytest
from layshaft.cli.main import app
from layshaft.reports import facts_sentences, gear_rows
from rich.console import Console
from typer.testing import CliRunner

RPM = math.pi / 30.0
#: A torque that is the same at all speeds, in the reference air: dry, 15 degC, at sea level.
TORQUE = 0.4
FLAT = {
    "engine.torque": [["0 krpm", TORQUE], ["40 krpm", TORQUE]],
    "engine.speed_limit": "40 krpm",
    "air.temperature": "15 degC",
    "air.pressure": "1013.25 hPa",
    "air.relative_humidity": 0.0,
}
ROUND_OFF = 1e-9  # relative
LIKE_AIR = 1e-4  # relative: the standard atmosphere's molar mass against that of air with CO2


def test_a_flat_torque_has_its_most_power_at_the_limit() -> None:
    found = layshaft.facts(layshaft.Car(FLAT))
    assert found.peak_torque == pytest.approx(TORQUE, rel=ROUND_OFF)
    assert found.peak_power_speed == pytest.approx(40e3 * RPM, rel=ROUND_OFF)
    assert found.peak_power == pytest.approx(TORQUE * 40e3 * RPM, rel=ROUND_OFF)


def test_a_falling_line_has_its_most_power_half_way_down() -> None:
    # T = T0 (1 - w/w0) gives the power T0 w0/4 at w0/2.
    line = [["4 krpm", 0.9], ["20 krpm", 0.5], ["38 krpm", 0.05]]
    found = layshaft.facts(layshaft.Car({"engine.torque": line, "engine.speed_limit": "38 krpm"}))
    sampled = 38e3 * RPM / 1000.0  # the rating's steps, or finer
    assert found.peak_power_speed == pytest.approx(20e3 * RPM, abs=sampled)
    assert found.peak_power == pytest.approx(1.0 * 40e3 * RPM / 4.0, rel=1e-5)  # flat at the peak


def test_thrown_shoes_bite_and_lock_by_the_balance_of_forces() -> None:
    shoes = {
        "shoe_count": 3,
        "shoe_mass": 1.6e-3,
        "radius_at_rest": 10e-3,
        "drum_radius": 14e-3,
        "spring_force_at_rest": 25.0,
        "spring_rate": 10e3,
        "clearance": 0.2e-3,
        "wear": 0.1e-3,
        "friction": 0.3,
    }
    changes = {f"clutch.thrown_shoes.{name}": value for name, value in shoes.items()}
    found = layshaft.facts(layshaft.Car(FLAT | {"clutch.design": "thrown_shoes"} | changes))
    # m r w^2 = S at the bite; 3 mu R (m r w^2 - S) = T at the lock.
    spring = 25.0 + 10e3 * 0.3e-3
    mass_moment = 1.6e-3 * 10.3e-3
    assert found.bite_speed == pytest.approx(math.sqrt(spring / mass_moment), rel=ROUND_OFF)
    pressed = TORQUE / (3 * 0.3 * 14e-3)
    lock = math.sqrt((spring + pressed) / mass_moment)
    assert found.lock_speed == pytest.approx(lock, rel=LIKE_AIR)


def test_an_axial_clutch_bites_and_locks_by_the_balance_of_forces() -> None:
    weights = {
        "flyweight_count": 4,
        "flyweight_mass": 1.2e-3,
        "slug_mass": 0.1e-3,
        "flyweight_radius": 13e-3,
        "lever_ratio": 1.2,
        "nut_turns": 2.0,
        "nut_pitch": 1e-3,
        "force_at_zero_turns": 5.0,
        "spring_rate": 40e3,
        "clearance": 0.5e-3,
        "wear": 0.0,
        "facing_inner_radius": 12e-3,
        "facing_outer_radius": 16e-3,
        "facing_count": 1,
        "half_angle": math.pi / 2.0,
        "friction": 0.35,
        "pressure": "uniform_wear",
    }
    changes = {f"clutch.axial.{name}": value for name, value in weights.items()}
    found = layshaft.facts(layshaft.Car(FLAT | {"clutch.design": "axial"} | changes))
    # Thrust n m r j w^2 - [F0 + k (2 turns of 1 mm + 0.5 mm)] on the facing's mean radius, 14 mm.
    spring = 5.0 + 40e3 * 2.5e-3
    thrown = 4 * 1.3e-3 * 13e-3 * 1.2
    assert found.bite_speed == pytest.approx(math.sqrt(spring / thrown), rel=ROUND_OFF)
    lock = math.sqrt((spring + TORQUE / (0.35 * 14e-3)) / thrown)
    assert found.lock_speed == pytest.approx(lock, rel=LIKE_AIR)


def test_a_clutch_too_weak_locks_nowhere() -> None:
    weak = FLAT | {"clutch.design": "axial", "clutch.axial.friction": 0.05}
    tight = {"clutch.axial.nut_turns": 5.0, "engine.speed_limit": "30 krpm"}
    found = layshaft.facts(layshaft.Car(weak | tight))
    assert math.isnan(found.lock_speed)
    assert "at no speed up to the engine's limit" in facts_sentences(found)[1]


def test_gears_roll_as_their_teeth_say() -> None:
    changes = {
        "first.pinion": 16,
        "first.spur": 52,
        "second.pinion": 20,
        "second.spur": 48,
        "belts.rear.in_teeth": 20,
        "belts.rear.out_teeth": 40,
        "rear_tyre.radius": 36e-3,
        "rear_tyre.wear": 1e-3,
    }
    found = layshaft.facts(layshaft.Car(changes), engine_speeds=["30 krpm", 2e3])
    first, second = found.gears
    assert (first.tooth_sum, second.tooth_sum) == (68, 68)
    assert (first.ratio, second.ratio) == pytest.approx((3.25, 2.4), rel=ROUND_OFF)
    # 2 pi 35 mm a wheel turn, 2 shaft turns each of them.
    assert first.rollout == pytest.approx(2.0 * math.pi * 35e-3 / (3.25 * 2.0), rel=ROUND_OFF)
    assert second.speeds[0] == pytest.approx(500.0 * 2.0 * math.pi * 35e-3 / 4.8, rel=ROUND_OFF)
    assert second.speeds[1] == pytest.approx(2e3 * 35e-3 / 4.8, rel=ROUND_OFF)


def test_a_tank_lasts_as_the_fuel_of_a_lap_says() -> None:
    blend = {"fuel.nitromethane": 0.2, "fuel.oil": 0.1, "fuel.oil_density": 950.0}
    car = layshaft.Car(blend | {"fuel.tank_volume": 100e-6})
    lap = layshaft.lap(car, "club")
    # Densities of methanol and nitromethane at 20 degC: CRC Handbook (from memory).
    tank = 100e-6 * (0.7 * 791.4 + 0.2 * 1137.0 + 0.1 * 950.0)
    by_hand = tank / (float(lap.scalars.fuel) / float(lap.scalars.lap_time))
    found = layshaft.facts(car)
    assert found.tank_time == pytest.approx(by_hand, rel=ROUND_OFF)
    assert 60.0 < found.tank_time < 3600.0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ([0.0], "each must be above 0 rpm"),
        (["20 mm"], "engine_speeds = '20 mm' must be a speed of turning"),
        ("20 krpm", "must be a list"),
    ],
)
def test_engine_speeds_that_are_none_are_refused(given: object, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        layshaft.facts(layshaft.demo_car(), engine_speeds=given)


def test_no_car_has_no_facts() -> None:
    with pytest.raises(TypeError, match=r"car = 'car.toml' must be a Car"):
        layshaft.facts("car.toml")


def test_facts_are_told_on_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    result = CliRunner().invoke(app, ["facts", "--at", "20,30krpm", "--set", "first.pinion=17"])
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    assert lines[0].startswith("Understood: --set first.pinion 17.")
    assert lines[1].startswith("Engine: ")
    assert " min of flying laps of club" in lines[3]
    rows = [line for line in lines if line.strip().startswith(("first ", "second "))]
    assert len(rows) == 2
    assert all(len(line) <= 40 for line in rows)


def test_a_speed_without_unit_is_refused() -> None:
    result = CliRunner().invoke(app, ["facts", "--at", "20,30"])
    assert result.exit_code == 2
    assert "--at 20: must be a speed of turning" in result.stderr


def test_the_table_of_gears_has_a_column_for_each_speed() -> None:
    found = layshaft.facts(layshaft.demo_car(), engine_speeds=["10 krpm", "20 krpm", "30 krpm"])
    console = Console(width=100)
    with console.capture() as seen:
        console.print(gear_rows(found))
    assert seen.get().count("km/h at") == 3
