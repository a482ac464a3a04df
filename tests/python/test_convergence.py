"""Work against error of a launch, and that no tolerance changes its story.

There is no outside answer for the whole car here (the reference cases have one); a run at 1e-12
stands for it, which the independent solution of the reference cases meets within 4e-12 s.
"""

import itertools

import layshaft
import pytest
import trial

TOLERANCES = [10.0**-k for k in range(3, 11)]

#: Set-ups whose story differs: by its shift, its shoes, its clutch, its driver's feet.
RUNS: dict[str, tuple[dict[str, object], dict[str, object]]] = {
    "demo": ({}, {}),
    "unequal screws": ({"two_speed.shoe_2.gap": "5 mm"}, {}),
    "thrown-shoe clutch": ({"clutch.design": "thrown_shoes"}, {}),
    "braked and off again": (
        {},
        {
            "start_speed": 15.0,
            "pedals": [(0.0, 0.0, 0.3), (0.5, 0.0, 0.3), (0.6, 1.0, 0.0)],
        },
    ),
}


def story(run: layshaft.LaunchRun) -> list[tuple[str, str]]:
    return [(change.part, str(change).split(" s ", 1)[1]) for change in run.changes]


def errors(run: layshaft.LaunchRun, exact: layshaft.LaunchRun) -> dict[str, float]:
    return {
        "time to 60 m": abs(run.times[-1].item() - exact.times[-1].item()),
        "changes": max(
            abs(a.time - b.time) for a, b in zip(run.changes, exact.changes, strict=True)
        ),
        "speed at the end": abs(run.scalars.end_speed.item() - exact.scalars.end_speed.item()),
        "shift speed": abs(run.scalars.shift_speed.item() - exact.scalars.shift_speed.item()),
    }


@pytest.mark.parametrize("name", RUNS)
def test_no_tolerance_misses_or_invents_a_change_and_errors_fall_with_it(name: str) -> None:
    fields, options = RUNS[name]
    car = trial.CAR.replace(fields)
    exact = layshaft.launch(car, tolerance=1e-12, **options)
    rows = []
    for tolerance in TOLERANCES:
        run = layshaft.launch(car, tolerance=tolerance, **options)
        assert story(run) == story(exact), tolerance
        rows.append(errors(run, exact))
    for quantity in rows[0]:
        row = [errors_at[quantity] for errors_at in rows]
        # Through mode changes an error may cancel at one tolerance by chance, not at many.
        for coarse, fine in zip(row, row[3:], strict=False):
            assert fine < 0.5 * coarse, (quantity, row)
        assert row[-1] < 1e-3 * max(row[:3]), (quantity, row)
        assert row[-1] < 1e-8, (quantity, row)


def test_steps_grow_as_slowly_as_an_order_of_five_asks() -> None:
    # Error per step ~ h^5 for the estimate of order 4: ten times the accuracy in 10^(1/5) = 1.6
    # times the steps; switches cost steps of their own.
    car = trial.CAR
    steps = [layshaft.launch(car, tolerance=tol).scalars.steps.item() for tol in TOLERANCES]
    assert steps == sorted(steps)
    for coarse, fine in itertools.pairwise(steps):
        assert fine < 1.2 * 10 ** (1 / 5) * coarse
