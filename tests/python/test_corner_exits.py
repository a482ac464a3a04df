"""Out of a corner: a car bogs where the engine limits it, not where the tyres do."""

import layshaft
import pytest
import trial
from layshaft.reports.lap_report import corner_rows, lap_sentences

WEAK = {"engine.power_scale": 0.3}


@pytest.fixture(scope="module")
def laps() -> dict[str, layshaft.LapRun]:
    car = trial.CAR
    shorter = {"first.pinion": 14, "first.spur": 53}
    return {
        "strong": layshaft.lap(car, trial.CLUB),
        "weak": layshaft.lap(car.replace(WEAK), trial.CLUB),
        "weak, shorter": layshaft.lap(car.replace(WEAK | shorter), trial.CLUB),
    }


def test_where_the_tyres_limit_nothing_bogs(laps: dict[str, layshaft.LapRun]) -> None:
    run = laps["strong"]
    assert any(corner.tyres_limit for corner in run.corners)
    assert not any(corner.bogs for corner in run.corners)
    assert run.scalars.bogged_exits == 0.0
    told = " ".join(lap_sentences(run))
    assert "the tyres limit, not the gear" in told
    assert "Bogs" not in told


def test_a_weak_engine_bogs_and_a_shorter_first_gear_helps(
    laps: dict[str, layshaft.LapRun],
) -> None:
    bogged = [n for n, corner in enumerate(laps["weak"].corners, start=1) if corner.bogs]
    assert bogged
    assert laps["weak"].scalars.bogged_exits == len(bogged)
    assert "A shorter first gear" in " ".join(lap_sentences(laps["weak"]))
    # As the remedy says: less power short out of those corners, and a quicker lap.
    powers = [[lap.corners[n - 1].exit_power for n in bogged] for lap in laps.values()]
    assert sum(powers[2]) > sum(powers[1])
    assert laps["weak, shorter"].time < laps["weak"].time


def test_what_limits_is_the_same_without_samples(laps: dict[str, layshaft.LapRun]) -> None:
    bare = layshaft.lap(trial.CAR, trial.CLUB, sample_spacing=0.0)
    assert bare.corners == laps["strong"].corners
    assert corner_rows(bare) is not None
