"""Made-up mechanics, from the workbench to the race; see `tests/campaigns/mechanics.py`."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import layshaft
import pytest


def _load() -> ModuleType:
    path = Path(__file__).parents[1] / "campaigns" / "mechanics.py"
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


played = _load()


@pytest.mark.slow
@pytest.mark.parametrize("mechanic", played.MECHANICS, ids=lambda mechanic: mechanic.name)
def test_what_is_learned_is_true_and_the_advice_helps(mechanic: object) -> None:
    days = [played.day(mechanic, seed) for seed in range(40)]
    # Intervals of 95 %: 120 truths, of which 90 to 99 % is within three standard deviations.
    assert 0.9 <= played.share_inside(days) <= 0.99, played.summary(mechanic, days)
    assert played.share_helped(days) >= 0.95, played.summary(mechanic, days)
    # It is not by leaving everything alone that the advice does no harm.
    assert sum(day.is_worth_it for day in days) > 10


def learned_by(mechanic: object, seed: int) -> tuple[layshaft.Learned, float]:
    """Return what one learns of a car, and the gap at which it was driven."""
    generator = played.np.random.default_rng(seed)
    truth = played.true_car(mechanic.car, generator)
    own = mechanic.car.two_speed.shoe_1.gap
    gaps = (own - played.APART, own, own + played.APART)
    seen = list(played.seen_of(truth, gaps, generator))
    return layshaft.learn(mechanic.car, seen, played.UNKNOWNS), own


@pytest.mark.parametrize("mechanic", played.MECHANICS, ids=lambda mechanic: mechanic.name)
def test_the_advice_of_a_day_is_that_of_recommend(mechanic: object) -> None:
    learned, own = learned_by(mechanic, 3)
    told = layshaft.recommend(learned.car, played.over(own), goal=played.QUICKEST, learned=learned)
    ours = played.advice_on(learned, own)
    assert ours.settings == told.settings
    assert (ours.gain, ours.gain_error) == (told.gain, told.gain_error)
    assert ours.gain_error > 0.0
    assert ours.is_worth_it == told.is_worth_it


def test_what_is_set_at_the_workbench_wins_the_race() -> None:
    mechanic = played.MECHANICS[0]
    generator = played.np.random.default_rng(7)
    truth = played.true_car(mechanic.car, generator)
    own = mechanic.car.two_speed.shoe_1.gap
    seen = list(played.seen_of(truth, (own - 3e-4, own, own + 3e-4), generator))
    learned = layshaft.learn(mechanic.car, seen, played.UNKNOWNS)
    advice = layshaft.recommend(learned.car, goal=played.QUICKEST, learned=learned)
    before, after = (
        layshaft.stint(truth.replace(changes), "club", duration="5 min")
        for changes in ({}, advice.settings)
    )
    per_lap = [float(race.laps.lap_time.mean()) for race in (before, after)]
    assert per_lap[1] < per_lap[0]
