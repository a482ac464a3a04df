"""Rules of thumb of the trade, on the demo cars. All are common practice, no source."""

import functools

import layshaft
import numpy as np
import pytest

ENGINES = ("piped", "broad")
EIGHTH_OF_A_TURN = 0.125 * layshaft.demo_car().two_speed.screw_pitch
KMH = 3.6


@functools.cache
def heard(engine: str, gap: float, slug: float | None = None) -> float:
    """Speed at which the shift is heard [km/h]."""
    changes = {"two_speed.gap": gap} | ({} if slug is None else {"two_speed.slug_mass": slug})
    run = layshaft.launch(layshaft.demo_car(engine).replace(changes), distance="60 m")
    return float(run.scalars.shift_speed) * KMH


@functools.cache
def lap(engine: str, track: str = "club") -> layshaft.LapRun:
    return layshaft.lap(layshaft.demo_car(engine), track)


@pytest.mark.parametrize("engine", ENGINES)
def test_300_m_take_about_15_s(engine: str) -> None:
    for track in ("club", "fast"):
        run = lap(engine, track)
        time = run.time * 300.0 / layshaft.demo_track(track).length
        assert 60.0 < 300.0 / time * KMH < 75.0
        assert time == pytest.approx(15.0, rel=0.15)


@pytest.mark.parametrize("engine", ENGINES)
def test_a_tank_of_125_ccm_lasts_five_to_seven_minutes(engine: str) -> None:
    car = layshaft.demo_car(engine)
    assert car.fuel.tank_volume == pytest.approx(125e-6)
    race = layshaft.stint(car, "club", duration="8 min")
    assert 5.0 < race.time_per_tank / 60.0 < 7.0


@pytest.mark.parametrize("engine", ENGINES)
def test_it_shifts_before_the_engine_flattens(engine: str) -> None:
    speeds, torques = np.array(layshaft.demo_car(engine).engine.torque).T
    run = layshaft.launch(layshaft.demo_car(engine), distance="60 m").scalars
    before, after = float(run.engine_speed_before), float(run.engine_speed_after)
    power = torques * speeds
    # The shift is heard near the peak of power, not beyond, where the torque has half gone, and the
    # engine falls to where it still pulls.
    assert after < before < 1.1 * speeds[power.argmax()]
    assert np.interp(before, speeds, torques) > 0.85 * torques.max()
    assert np.interp(after, speeds, power) > 0.75 * power.max()


@pytest.mark.parametrize("engine", ENGINES)
def test_an_eighth_of_a_turn_is_heard(engine: str) -> None:
    gap = layshaft.demo_car(engine).two_speed.shoe_1.gap
    for near in (gap - EIGHTH_OF_A_TURN, gap + EIGHTH_OF_A_TURN):
        assert abs(heard(engine, near) - heard(engine, gap)) > 1.0


@pytest.mark.parametrize("engine", ENGINES)
def test_less_weight_or_the_screw_further_in_is_a_later_shift(engine: str) -> None:
    gap = layshaft.demo_car(engine).two_speed.shoe_1.gap
    assert heard(engine, gap, 0.8e-3) > heard(engine, gap, 1.0e-3) > heard(engine, gap, 1.2e-3)
    # This screw's reading falls as it goes in.
    assert heard(engine, gap - 2e-4) > heard(engine, gap) > heard(engine, gap + 2e-4)


@pytest.mark.parametrize("engine", ENGINES)
def test_the_fast_track_wants_taller_gears(engine: str) -> None:
    car = layshaft.demo_car(engine)
    sets = [
        {"second.pinion": 22 + k, "second.spur": 45 - k, "first.pinion": 17, "first.spur": 50}
        for k in (-2, -1, 0, 1, 2, 3)
    ]
    best = {
        track: layshaft.best_gears(
            layshaft.gear_map(car, track, gears=sets, gaps=[car.two_speed.shoe_1.gap])
        )
        for track in ("club", "fast")
    }
    teeth = {track: int(found["gears"].split()[1].split("/")[0]) for track, found in best.items()}
    assert teeth["fast"] > teeth["club"]
