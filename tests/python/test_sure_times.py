"""Runs say when their times hang on a knife's edge, and only then.

The cars are the two hundred of `tests/campaigns/sure_times.py`.
"""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import layshaft
import numpy as np
import pytest
from layshaft.reports import launch_report


def _load(name: str) -> ModuleType:
    path = Path(__file__).parents[1] / "campaigns" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


campaign = _load("sure_times")
timings = _load("pedal_timings")


def test_of_random_cars_none_is_wrong_unnoticed():
    verdicts = [campaign.judge(number) for number in range(200)]
    assert not campaign.failed(verdicts), campaign.summary(verdicts)
    assert sum(verdict.error <= campaign.RIGHT for verdict in verdicts) > 150


def test_a_shift_that_only_just_happens_is_called_doubtful():
    graze = timings.graze()
    for after in (-1e-8, 0.0, 1e-8):
        run = timings.launch(timings.lift(graze + after))
        assert run.doubtful
        assert run.scalars.doubtful == 1.0
        assert run.scalars.edges > 0.0
        assert "knife's edge" in launch_report.doubts(run)[0]
    assert not timings.launch(timings.lift(graze + 0.02)).doubtful


def test_random_pedals_give_the_changes_of_a_tight_run():
    for number in range(12):
        pedals = timings.random_pedals(number)
        run = timings.launch(pedals)
        true = timings.launch(pedals, tolerance=timings.TRUE_TOLERANCE, most_steps=10**6)
        assert run.doubtful or not timings.in_earnest(run, true), number


def test_a_shift_in_a_dip_between_two_looks_is_not_late():
    # So short a dip below the contact speed that it lies between two looks of a step.
    graze = timings.graze()
    for number in range(6, 12):
        lift = graze + timings.GRAZE_STEP * number
        touch = next(
            change.time
            for change in timings.launch(timings.lift(lift)).changes
            if change.part.startswith("shoe")
        )
        assert touch < lift + 0.1, number


def test_the_demo_car_is_sure_of_its_times_to_microseconds():
    run = layshaft.launch(layshaft.demo_car())
    assert not run.doubtful
    assert launch_report.doubts(run) == []
    assert 0.0 < run.scalars.time_error.item() < 1e-5
    assert run.scalars.edges == 0.0


def test_sweeps_hold_the_estimates_of_each_run():
    table = layshaft.sweep(layshaft.demo_car(), {"two_speed.gap": [0.0045, 0.0048]})
    alone = layshaft.launch(layshaft.demo_car().replace({"two_speed.gap": 0.0048}))
    assert table.time_error.values[1] == alone.scalars.time_error.item()
    assert np.isin(table.doubtful.values, [0.0, 1.0]).all()


@pytest.mark.parametrize(
    ("error", "edges", "words"),
    [(0.0123, 0.0, "12 ms"), (7.0, 0.0, "by seconds"), (1e-6, 2.0, "only just")],
)
def test_the_doubt_is_said_in_words(error: float, edges: float, words: str):
    run = layshaft.launch(layshaft.demo_car(), distance=5.0, sample_interval=0.0)
    for name, value in (("time_error", error), ("edges", edges), ("doubtful", 1.0)):
        run.plain.scalars[name] = ((), value, {})
    assert words in launch_report.doubts(run)[0]
