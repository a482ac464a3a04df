"""The core of the page against the library itself, on many cars, and what it refuses."""

import json
import random
from collections.abc import Iterator
from typing import Any

import layshaft
import numpy as np
import pit_page
import pytest
from layshaft import _core
from layshaft.page import page_file
from layshaft.setup import field_table
from playwright.sync_api import Page

#: The same program on another C library and without SSE2: sums in another order, seen 7e-12.
AGREES = 1e-9
#: The same over some laps until one repeats, to its tolerance of 1e-6 of a speed.
LAP_AGREES = 1e-6
#: Of standard errors: where the fit ends, and of a covariance, whose slopes are differences.
FIT_AGREES = 1e-6
COVARIANCE_AGREES = 1e-6
CARS = 200
WIDTH = 0.04

BEGIN = """async ([script, packed]) => {
  const module = new Function(`${script}; return coreModule;`)();
  window.core = await module.unpackCore(packed);
}"""
LAUNCH = """(setups) => setups.map((setup) => {
  try {
    return window.core.launch(setup, 30, 60, 0);
  } catch (refused) {
    return refused.message;
  }
})"""


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    """Open an empty page with the core in it."""
    modules = [page_file._as_function("core", page_file._text("script", "core.js"))]
    with pit_page.browser() as browser:
        page = browser.new_page()
        page.evaluate(BEGIN, ["\n".join(modules), page_file._packed_core()])
        yield page


def some_cars() -> list[str]:
    """Set-ups near the demo car, each number moved by a few hundredths; parts may not fit."""
    source = random.Random(16)
    lines = _core.setup_text(layshaft.demo_car()._core).splitlines()
    setups = []
    for _ in range(CARS):
        moved = list(lines)
        for place, line in enumerate(lines):
            path, _, value = line.partition(" = ")
            field = field_table.find_field(path)
            if field is not None and field.kind == "number" and source.random() < 0.5:
                number = float(value) * source.uniform(1.0 - WIDTH, 1.0 + WIDTH)
                moved[place] = f"{path} = {min(max(number, field.minimum), field.maximum)!r}"
        setups.append("\n".join(moved))
    return setups


def own_launch(setup: str) -> Any:
    try:
        car = layshaft.Car._of(_core.car_from_text(setup))
    except ValueError as refused:
        return str(refused)
    marks = ["30 m", "60 m"]
    return layshaft.launch(car, distance="60 m", distances=marks, on_failure="return")


def test_launches_agree_with_the_librarys_own(page: Page) -> None:
    setups = some_cars()
    other_changes, finished = 0, 0
    for setup, found in zip(setups, page.evaluate(LAUNCH, setups), strict=True):
        own = own_launch(setup)
        if isinstance(own, str):
            assert found == own
            continue
        if found["changes"] != len(own.changes):
            other_changes += 1  # a part that only just switched, or did not
            continue
        finished += 1
        scalars = own.scalars
        for name in ("shift_speed", "shift_time", "peak_engine_speed", "hand_over", "end_speed"):
            shown, value = found["scalars"][name], float(scalars[name])
            assert (value if shown is None else shown) == pytest.approx(
                value, rel=AGREES, nan_ok=True
            ), (name, setup)
        for name, place in (("mark_time", 0), ("time", -1)):
            assert found[name] == pytest.approx(float(own.times[place]), rel=AGREES)
    assert finished >= 0.5 * CARS
    assert other_changes <= 0.02 * CARS


def test_laps_agree_with_the_librarys_own(page: Page) -> None:
    track = layshaft.demo_track("club")
    pieces = [[p.length, *p.curvature, p.grip, p.grade] for p in track.pieces]
    setup = _core.setup_text(layshaft.demo_car()._core)
    found = page.evaluate(
        "([setup, pieces]) => window.core.lap(setup, pieces)",
        [setup, json.loads(json.dumps(pieces))],
    )
    own = layshaft.lap(layshaft.demo_car(), track)
    assert found["complete"]
    assert found["scalars"]["lap_time"] == pytest.approx(own.time, rel=LAP_AGREES)
    assert found["scalars"]["upshifts"] == float(own.scalars.upshifts)


def test_the_fit_finds_what_the_librarys_finds(page: Page) -> None:
    gaps, speeds = (4.2e-3, 4.5e-3, 4.8e-3), (67 / 3.6, 63 / 3.6, 57 / 3.6)
    others = ({}, {"two_speed.shoe_1.slug_mass": 1.25e-3, "first.pinion": 18.0}, {})
    car = layshaft.demo_car()
    seen = [
        layshaft.observe("shift_speed", speed, changes={"two_speed.gap": gap, **other})
        for gap, speed, other in zip(gaps, speeds, others, strict=True)
    ]
    own = layshaft.learn(car, seen)
    question = [f"unknown {each.path} {each.doubt!r}" for each in own.unknowns]
    question += [
        " ".join(
            ["seen", "shift_speed", repr(each.value), repr(each.error)]
            + [f"{path} {value!r}" for path, value in each.changes]
        )
        for each in seen
    ]
    ask = "([setup, question]) => window.core.learn(setup, question)"
    found = page.evaluate(ask, [_core.setup_text(car._core), "\n".join(question)])
    assert found["end"] == own.end == "settled"
    errors = np.sqrt(np.diag(own.covariance))
    values = np.array([each["value"] for each in found["unknowns"]])
    assert np.all(np.abs(values - own.values) <= FIT_AGREES * errors)
    ends = np.array([each["ends"] for each in found["unknowns"]])
    assert np.all(np.abs(ends - own.ends) <= COVARIANCE_AGREES * errors[:, None])
    covariance = np.array(found["covariance"]).reshape(own.covariance.shape)
    assert np.all(
        np.abs(covariance - own.covariance) <= COVARIANCE_AGREES * np.outer(errors, errors)
    )


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("", "nothing was seen"),
        ("unknown two_speed.gp 1", "unknown field two_speed.gp"),
        ("unknown two_speed.friction 0.02\nseen x", "a line must be"),
        ("unknown two_speed.friction 0.02\nseen hand_ovr 1 1", "Observation.measure"),
        (
            "unknown two_speed.friction 0.02\nseen shift_speed 18 0 two_speed.gap 0.0044",
            "Observation.error",
        ),
        ("unknown two_speed.friction 0.02\nseen shift_speed 18 1 two_speed.gap", "a line must be"),
        (
            "unknown two_speed.friction 0.02\nseen shift_speed 18 1 two_speed.gap 1",
            "two_speed.shoe_1.gap = 1 m must be from",
        ),
    ],
)
def test_a_question_that_cannot_be_is_refused(page: Page, question: str, said: str) -> None:
    ask = """(question) => {
      try { window.core.learn('', question) } catch (fault) { return fault.message }
    }"""
    assert said in page.evaluate(ask, question)


def test_the_field_table_is_the_librarys(page: Page) -> None:
    table = page.evaluate("() => window.core.fields()")
    assert [each["path"] for each in table["fields"]] == [f.path for f in field_table.fields()]
    assert table["version"] == layshaft.__version__


@pytest.mark.parametrize(
    ("setup", "said"),
    [
        (
            "two_speed.gp = 1",
            "line 1: unknown field two_speed.gp; nearest known field: two_speed.gap",
        ),
        ("\ntwo_speed.gap = 4.6", "line 2: two_speed.shoe_1.gap = 4.6 m must be from"),
        ("x" * 100_000, "line 1: expected = before the end of the line"),
    ],
)
def test_what_is_refused_is_told_and_the_next_answer_is_right(
    page: Page, setup: str, said: str
) -> None:
    bad, good = page.evaluate(LAUNCH, [setup, ""])
    assert bad.startswith(said)
    own = layshaft.launch(layshaft.demo_car(), distance="60 m")
    assert good["time"] == pytest.approx(float(own.times[-1]), rel=AGREES)


def test_a_track_that_cannot_be_is_refused(page: Page) -> None:
    ask = (
        "(pieces) => { try { window.core.lap('', pieces) } catch (fault) { return fault.message } }"
    )
    assert "must" in page.evaluate(ask, [[-1.0, 0, 0, 0, 0, 1, 0]])
    assert "must" in page.evaluate(ask, [])
