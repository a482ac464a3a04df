"""Means over a gap that is a little out: what one lucky reading gives is not what is driven."""

import layshaft
import numpy as np
import pytest
import trial
from layshaft import goals
from layshaft.reports.advice_report import advice_sentences
from layshaft.reports.lap_report import lap_sentences
from layshaft.runs.lap_options import read_lap_options
from layshaft.runs.launch_options import read_launch_options
from layshaft.runs.remembered_runs import RememberedRuns
from layshaft.runs.setting_scatter import expected_along, expected_runs, lap_band
from scipy.stats import norm

SCATTER = 0.05e-3
GAP = "two_speed.gap"


@pytest.fixture(scope="module")
def laps() -> dict[float, layshaft.LapRun]:
    """Laps driven one by one, two standard deviations to either side of 4.6 mm."""
    gaps = [round(4.6e-3 + step * SCATTER, 9) for step in (-2, -1, 0, 1, 2)]
    return {gap: layshaft.lap(trial.CAR.replace({GAP: gap}), trial.CLUB) for gap in gaps}


def weighted(values: list[float]) -> tuple[float, float]:
    weights = norm.pdf([-2, -1, 0, 1, 2])
    mean = np.average(values, weights=weights)
    return mean, np.sqrt(np.average((values - mean) ** 2, weights=weights))


def test_a_mean_is_that_of_laps_driven_one_by_one(laps: dict[float, layshaft.LapRun]) -> None:
    options = read_lap_options(trial.CLUB, sample_spacing=0.0)
    runs, width = expected_runs(trial.CAR, [{GAP: 4.6e-3}], RememberedRuns(options), SCATTER)
    mean, deviation = weighted([run.time for run in laps.values()])
    assert runs.time[0] == pytest.approx(mean, abs=1e-9)
    assert width[0] == pytest.approx(deviation, abs=1e-9)
    upshifts, _ = weighted([float(run.scalars.upshifts) for run in laps.values()])
    assert runs["upshifts"][0] == pytest.approx(upshifts, abs=1e-9)


def test_neighbours_share_the_runs_of_a_gap_however_it_is_named() -> None:
    driven = RememberedRuns(read_launch_options(distance="20 m"))
    pair = [{GAP: 4.6e-3 + step * SCATTER} for step in (0, 1, 2)]
    single = {f"two_speed.{shoe}.gap": 4.65e-3 for shoe in ("shoe_1", "shoe_2")}
    runs, _ = expected_runs(trial.CAR, [*pair, single], driven, SCATTER)
    assert driven.driven == 5 + 1 + 1
    assert runs.time[3] == runs.time[1]
    expected_runs(trial.CAR, pair, driven, SCATTER)
    assert driven.driven == 7
    # What differs by more than rounding is another run, also where numbers are small.
    driven(trial.CAR, [{"engine.inertia": factor * 2e-6} for factor in (1.0, 1.0001)])
    assert driven.driven == 9


def test_a_lap_is_told_with_its_upshifts_and_its_band(laps: dict[float, layshaft.LapRun]) -> None:
    band = lap_band(laps[4.6e-3], SCATTER)
    times = [run.time for run in laps.values()]
    assert (band.low, band.high) == pytest.approx((min(times), max(times)), abs=1e-9)
    text = " ".join(lap_sentences(laps[4.6e-3], band))
    assert "With a gap up to 0.10 mm out" in text
    assert f"{int(laps[4.6e-3].scalars.upshifts)} upshift" in text


def test_the_mean_over_a_step_is_the_share_of_the_scatter_beyond_it() -> None:
    # 1 s slower from 4.6 mm on; the share of a normal scatter cut off at two deviations.
    gaps = np.linspace(4.2, 5.0, 8001)
    times = np.where(gaps < 4.6, 20.0, 21.0)[None, :]
    got = expected_along(gaps, times, 0.05)[0, np.searchsorted(gaps, 4.55)]
    inside = norm.cdf(2) - norm.cdf(-2)
    # 41 steps of the sum, each a share of at most .04.
    assert got - 20.0 == pytest.approx((norm.cdf(2) - norm.cdf(1)) / inside, abs=0.02)


def test_advice_on_laps_is_on_the_mean_and_says_how_fine() -> None:
    over = {GAP: layshaft.Between("4.4 mm", "4.7 mm")}
    goal = goals.quickest(track=trial.CLUB)
    advice = layshaft.recommend(trial.CAR, over, goal=goal)
    # No step wider than the scatter.
    assert advice.goal.scatter == SCATTER
    assert advice.steps[GAP] <= SCATTER * (1 + 1e-9)
    text = " ".join(advice_sentences(advice))
    assert "the mean over a gap that is 0.05 mm out" in text
    assert "Tried: gap every 0.05 mm" in text
    assert advice.is_worth_it == (advice.gain > max(0.01, advice.width) and bool(advice.moves))


@pytest.mark.parametrize("scatter", ["2 mm", -1e-5])
def test_a_scatter_out_of_bounds_is_refused(scatter: object) -> None:
    with pytest.raises(ValueError, match=r"scatter = .* must be from 0 to 1 mm"):
        layshaft.recommend(trial.CAR, scatter=scatter)
