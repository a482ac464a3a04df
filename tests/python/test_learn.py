"""Learning: known numbers come back out of what a car of these numbers did."""

import dataclasses
import re
from pathlib import Path

import layshaft
import numpy as np
import pytest
import trial
from layshaft.fitting.observations import predict

SPRING, READING = "two_speed.spring_rate", "two_speed.zero_preload_reading"
FRICTION = "two_speed.friction"
#: Of numbers learned from observations without noise: ends of the search (1e-6 of a doubt) and a
#: guess that still pulls with a hundred-thousandth of the data's weight.
EXACT = 1e-3


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return trial.CAR


def shift_at(
    gap: float, error: str = "1 km/h", value: float = 15.0, measure: str = "shift_speed"
) -> layshaft.observe:
    changes = {"two_speed.gap": gap}
    return layshaft.observe(measure, value, changes=changes, error=error, distance=30.0)


def seen_of(
    car: layshaft.Car, observations: list, noise: np.random.Generator | None = None
) -> list:
    """Return the observations with what a car shows, and noise of their error."""
    shown = predict(car, observations, [{}])[0]
    draws = np.zeros(len(shown)) if noise is None else noise.standard_normal(len(shown))
    return [
        dataclasses.replace(each, value=float(value + each.error * draw))
        for each, value, draw in zip(observations, shown, draws, strict=True)
    ]


@pytest.fixture(scope="module")
def true_car(car: layshaft.Car) -> layshaft.Car:
    return car.replace({SPRING: 1.08 * car[SPRING], READING: car[READING] - 1e-4})


GAPS = (4.4e-3, 4.8e-3, 5.2e-3)


@pytest.fixture(scope="module")
def learned(car: layshaft.Car, true_car: layshaft.Car) -> layshaft.Learned:
    return layshaft.learn(car, seen_of(true_car, [shift_at(gap) for gap in GAPS]))


def test_true_numbers_come_back_from_sharp_observations(
    car: layshaft.Car, true_car: layshaft.Car
) -> None:
    sharp = [shift_at(gap, "0.005 km/h") for gap in GAPS]
    found = layshaft.learn(car, seen_of(true_car, sharp))
    true_values = [true_car[path] for path in (SPRING, READING, FRICTION)]
    assert found.values == pytest.approx(true_values, rel=EXACT)
    assert found.car[SPRING] == found.values[0]
    assert found.agrees


def test_friction_of_the_shoes_is_told_from_what_is_heard_beside_the_zero_reading(
    car: layshaft.Car,
) -> None:
    # Both let the shift be heard later; grippier shoes also pull the engine down in less time.
    truth = car.replace({FRICTION: 0.185, "two_speed.static_friction": 0.185 * 0.19 / 0.17})
    truth = truth.replace({READING: car[READING] - 1.5e-4})
    heard = [shift_at(gap, "1 km/h") for gap in GAPS]
    low = [shift_at(gap, "300 rpm", measure="engine_speed_drop") for gap in GAPS]
    found = layshaft.learn(car, seen_of(truth, [*heard, *low]), [READING, FRICTION])
    assert found.values == pytest.approx([truth[READING], truth[FRICTION]], rel=0.01)
    blind = layshaft.learn(car, seen_of(truth, heard), [READING])
    assert abs(blind.values[0] - truth[READING]) > 3.0 * abs(found.values[0] - truth[READING])


def test_a_shift_that_is_heard_is_not_the_touch_of_the_shoes(car: layshaft.Car) -> None:
    heard, touch, let_go, lock = predict(
        car,
        [
            shift_at(4.8e-3, measure=f"{moment}_speed")
            for moment in ("shift", "contact", "let_go", "lock")
        ],
        [{}],
    )[0]
    assert touch < let_go < heard < lock
    # The shoes drag for a quarter of a second at some 14 m/s^2.
    assert heard - touch > 3.0


def test_a_guess_holds_where_the_data_are_blunt(car: layshaft.Car, true_car: layshaft.Car) -> None:
    blunt = [shift_at(gap, "500 km/h") for gap in GAPS]
    found = layshaft.learn(car, seen_of(true_car, blunt))
    believed = [car[path] for path in (SPRING, READING, FRICTION)]
    assert found.values == pytest.approx(believed, rel=1e-3)
    assert min(each.doubt_left for each in found.intervals) > 0.99
    assert len(found.ambiguities()) >= 1


def test_a_number_that_moved_is_not_told_as_left_where_it_was(car: layshaft.Car) -> None:
    # One shift heard far from what is believed, with an error of some doubts' effect: both numbers
    # move, and of neither do the data say much.
    seen = [shift_at(4.8e-3, "60 km/h", value=25.0)]
    found = layshaft.learn(car, seen, [SPRING, "two_speed.friction"])
    moved = {
        each.path: abs(value - each.guess) / each.doubt
        for each, value in zip(found.unknowns, found.values, strict=True)
    }
    assert moved[SPRING] > 0.02
    sentences = [each for each in found.ambiguities() if "next to nothing" in each]
    for sentence in sentences:
        path = next(path for path in moved if path in sentence)
        assert ("it stays as believed" in sentence) == (moved[path] < 0.005), sentence
        if moved[path] >= 0.005:
            assert f"by {moved[path]:.0%} of its doubt" in sentence
    assert any(SPRING in sentence for sentence in sentences)


def test_more_observations_leave_less_doubt(
    car: layshaft.Car, true_car: layshaft.Car, learned: layshaft.Learned
) -> None:
    twice = layshaft.learn(car, seen_of(true_car, [shift_at(gap) for gap in (*GAPS, 4.0e-3)]))
    for before, after in zip(learned.intervals, twice.intervals, strict=True):
        assert after.doubt_left < before.doubt_left < 1.0


def test_intervals_hold_the_truth_as_often_as_they_say(
    car: layshaft.Car, true_car: layshaft.Car
) -> None:
    unknowns = [
        layshaft.unknown(car, SPRING, doubt="60 %"),
        layshaft.unknown(car, READING, doubt="1 mm"),
    ]
    noise = np.random.default_rng(7)
    held = np.zeros(2)
    repeats = 15
    for _ in range(repeats):
        seen = seen_of(true_car, [shift_at(gap) for gap in GAPS], noise)
        found = layshaft.learn(car, seen, unknowns)
        held += [i.low <= true_car[i.path] <= i.high for i in found.intervals]
    # Of 15 with 0.95 each, fewer than 11 happens once in 1500 times; two thirds of the width
    # (0.81 each) would give 11 or fewer in 30 % of all cases.
    assert min(held) >= 11


def test_an_interval_ends_where_the_best_of_all_other_numbers_no_longer_shows_what_was_seen(
    car: layshaft.Car,
) -> None:
    # Grippy shoes at the widest shift: the car is at the end of its 30 m before the engine has
    # fallen, so the data are steep to one side and blunt to the other.
    heard = [shift_at(gap, "1 km/h") for gap in GAPS]
    low = [shift_at(gap, "300 rpm", measure="engine_speed_drop") for gap in GAPS]
    seen = seen_of(car.replace({FRICTION: 0.33, "two_speed.static_friction": 0.35}), [*heard, *low])
    unknowns = [layshaft.unknown(car, path) for path in (SPRING, READING, FRICTION)]
    found = layshaft.learn(car, seen, unknowns)
    least = found.misfit + pulls_of(found)
    friction = unknowns[2]
    for end in found.ends[2]:
        held = car.replace(friction.changes(float(end)))
        others = layshaft.learn(held, seen, unknowns[:2])
        own_pull = ((end - friction.guess) / friction.doubt) ** 2
        risen = others.misfit + pulls_of(others) + own_pull - least
        # 1.96^2; an end is sought to 2 % of its distance, so this to twice that, and some for two
        # fits that stop.
        assert risen == pytest.approx(3.8415, rel=0.06)


def pulls_of(found: layshaft.Learned) -> float:
    """Return the sum of squares of the guesses."""
    return sum(
        ((value - each.guess) / each.doubt) ** 2
        for each, value in zip(found.unknowns, found.values, strict=True)
    )


def test_rate_and_arm_of_the_spring_cannot_be_told_apart(
    car: layshaft.Car, true_car: layshaft.Car
) -> None:
    # Moment = rate * arm * (preload + arm * swing) as the shoes touch: the product shows, and a
    # little of the swing.
    touches = [shift_at(gap, "0.3 km/h", measure="contact_speed") for gap in GAPS]
    seen = seen_of(true_car, touches)
    found = layshaft.learn(car, seen, [SPRING, "two_speed.screw_arm"])
    (sentence,) = found.ambiguities()
    assert SPRING in sentence
    assert "two_speed.screw_arm" in sentence
    found_share = re.search(r"10 % more of the one looks like (\d+)% more", sentence)
    assert found_share
    assert 8 <= int(found_share[1]) <= 10
    assert found.correlation[0, 1] < -0.9


def test_data_that_say_nothing_of_a_number_are_said_to(
    car: layshaft.Car, learned: layshaft.Learned
) -> None:
    found = layshaft.learn(car, learned.numbers, [SPRING, "engine.efficiency"])
    assert any("next to nothing" in sentence for sentence in found.ambiguities())


def test_observations_that_contradict_each_other_are_pointed_out(car: layshaft.Car) -> None:
    seen = [shift_at(4.8e-3, "1 km/h", value) for value in (10.0, 20.0)]
    assert not layshaft.learn(car, seen).agrees


def test_static_friction_follows_friction(car: layshaft.Car) -> None:
    friction = layshaft.unknown(car, "two_speed.friction")
    ratio = car["two_speed.static_friction"] / car["two_speed.friction"]
    changes = friction.changes(0.2)
    assert changes["two_speed.static_friction"] == pytest.approx(0.2 * ratio)


def test_at_its_bounds_a_number_keeps_what_follows_it_within_range() -> None:
    car = layshaft.demo_car()
    grip = layshaft.unknown(car, "rear_tyre.friction_peak")
    for bound in (grip.low, grip.high):
        assert car.replace(grip.changes(bound))["rear_tyre.friction_peak"] == bound


def test_a_log_tells_power_from_grip(car: layshaft.Car) -> None:
    true = car.replace({"engine.power_scale": 0.93})
    times = np.arange(0.2, 2.4, 0.1)
    run = layshaft.launch(true, distance=100.0)
    values = np.interp(times, run.samples.time, run.samples.car_speed)
    log = layshaft.run_log("car_speed", times, values, error="0.05 km/h")
    found = layshaft.learn(car, [log], ["engine.power_scale", "rear_tyre.friction_peak"])
    assert found.values[0] == pytest.approx(0.93, abs=2e-3)
    assert found.values[1] == pytest.approx(car["rear_tyre.friction_peak"], rel=2e-3)


def test_what_was_learned_is_written_and_read(learned: layshaft.Learned, tmp_path: Path) -> None:
    file = tmp_path / "learned.json"
    learned.save(file)
    again = layshaft.read_learned(file)
    assert again.car == learned.car
    assert again.unknowns == learned.unknowns
    assert again.numbers == learned.numbers
    np.testing.assert_array_equal(again.covariance, learned.covariance)
    assert again.intervals == learned.intervals
    assert again.end == learned.end == "settled"
    file.write_text("{}")
    with pytest.raises(ValueError, match="no file of a learned car"):
        layshaft.read_learned(file)


def test_a_fit_that_did_not_settle_says_so(learned: layshaft.Learned, tmp_path: Path) -> None:
    sentences = layshaft.reports.learned_sentences
    assert not any("The fit" in each for each in sentences(learned))
    for end, said in (("rough", "came within a thousandth"), ("most_looks", "did not get to")):
        dataclasses.replace(learned, end=end).save(tmp_path / "learned.json")
        told = sentences(layshaft.read_learned(tmp_path / "learned.json"))
        assert sum(said in each for each in told) == 1


def test_draws_have_the_spread_that_is_stated(learned: layshaft.Learned) -> None:
    draws = learned.draws(400, seed=1)
    rates = [draw[SPRING] for draw in draws]
    # The standard deviation of 400 draws scatters by 1/sqrt(800) = 3.5 %; three times that.
    assert np.std(rates) == pytest.approx(np.sqrt(learned.covariance[0, 0]), rel=0.11)


def test_the_next_observation_is_the_one_that_narrows_most(learned: layshaft.Learned) -> None:
    suggestions = layshaft.suggest(learned)
    best = suggestions[0]
    assert best.volume == min(each.volume for each in suggestions) < 1.0
    assert best.then < best.now
    # What it promises is what comes of it: the same observations, taken at the learned car.
    more = seen_of(learned.car, list(best.observations))
    again = layshaft.learn(learned.believed, [*learned.numbers, *more])
    at = [each.path for each in again.unknowns].index(best.loosest)
    spread = np.sqrt(again.covariance[at, at]) / again.values[at]
    assert spread == pytest.approx(best.then, rel=0.05)


@pytest.mark.parametrize(
    ("unknown", "part"),
    [
        (["first.pinion"], "plain number"),
        (["two_speed.spring_rte"], "two_speed.spring_rate"),
        ([], "each once"),
        ([SPRING, SPRING], "each once"),
    ],
)
def test_what_cannot_be_learned_is_refused(
    car: layshaft.Car, learned: layshaft.Learned, unknown: list[str], part: str
) -> None:
    with pytest.raises(ValueError, match=part):
        layshaft.learn(car, learned.numbers, unknown)


def test_without_anything_seen_nothing_is_learned(car: layshaft.Car) -> None:
    with pytest.raises(ValueError, match="nothing was seen"):
        layshaft.learn(car, [])
