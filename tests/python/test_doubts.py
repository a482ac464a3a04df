"""What it costs the advice that numbers are not known, against sums by hand and by brute force."""

import math
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import NormalDist

import layshaft
import numpy as np
import pytest
from layshaft.advice import doubts as doubts_module
from layshaft.advice.doubt_sides import settings_in_doubt
from layshaft.cli.main import app
from layshaft.fitting.measuring_sheet import spread_of
from layshaft.mounting.gaps import usual_gaps
from layshaft.reports import doubts_rows, doubts_sentences
from layshaft.runs.point_runs import PointRuns, run_points
from layshaft.runs.run_options import read_options
from rich.console import Console
from typer.testing import CliRunner

GAP, MASS, RATE = "two_speed.gap", "body.mass", "two_speed.spring_rate"
ZERO = "two_speed.zero_preload_reading"
SHEET = layshaft.measuring_sheet()
#: Curves are looked at every 2 um, and rounded between their points.
ON_A_CURVE = 4e-6  # [m]


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


def modelled(monkeypatch: pytest.MonkeyPatch, time: Callable[[dict[str, float]], float]) -> None:
    """Let runs take the times of a formula; the shift speed is 60 m/s a second."""

    def runs(_car: object, points: Sequence[dict[str, float]], *_: object) -> PointRuns:
        times = np.array([time(dict(point)) for point in points])
        none = ("",) * len(points)
        return PointRuns(("shift_speed",), 60.0 * times[:, None], times[:, None], none, none)

    monkeypatch.setattr(doubts_module, "run_points", runs)


def test_a_parabola_loses_as_one_reckons_by_hand(
    car: layshaft.Car, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Best gap: 4.7 mm + 2 um for each gram + 5 um for each N/mm.
    bend, per_kg, per_rate = 2e5, 2e-3, 5e-9  # [s/m^2], [m/kg], [m^2/N]
    mass, rate = car[MASS], car[RATE]

    def time(point: dict[str, float]) -> float:
        more = per_kg * (point.get(MASS, mass) - mass) + per_rate * (point.get(RATE, rate) - rate)
        return 3.0 + bend * (point[GAP] - 4.7e-3 - more) ** 2

    modelled(monkeypatch, time)
    found = layshaft.doubts(car, settings=[MASS, RATE])
    by_path = {doubt.path: doubt for doubt in found.ranked}
    assert found.gap == pytest.approx(4.7e-3, abs=ON_A_CURVE)
    shifts = {MASS: per_kg * 80e-3, RATE: per_rate * 0.2 * rate}
    for path, shift in shifts.items():
        doubt = by_path[path]
        assert doubt.gap_error == pytest.approx(shift, abs=ON_A_CURVE)
        off = 2.0 * bend * shift * ON_A_CURVE
        assert doubt.loss == pytest.approx(bend * shift**2, abs=off)
    # Measured: 5 g of 80 g, 5 % of 20 %.
    assert by_path[MASS].gap_error_left == pytest.approx(by_path[MASS].gap_error / 16.0)
    assert by_path[MASS].loss_left == pytest.approx(by_path[MASS].loss / 256.0)
    assert by_path[RATE].loss_left == pytest.approx(by_path[RATE].loss / 16.0)
    assert found.loss == pytest.approx(sum(doubt.loss for doubt in found.ranked))
    assert found.gap_error == pytest.approx(math.hypot(*shifts.values()), abs=2.0 * ON_A_CURVE)
    assert found.ranked[0].gain >= found.ranked[1].gain
    # A caliper 0.03 mm out, by hand: bend * (0.03 mm)^2.
    assert found.caliper_loss == pytest.approx(bend * (30e-6) ** 2, rel=0.02)


def test_a_target_is_missed_in_proportion(
    car: layshaft.Car, monkeypatch: pytest.MonkeyPatch
) -> None:
    # 60 m/s a second of a line: 1 m/s for each 0.1 mm of gap, best 4.7 mm, 1 mm for each kg.
    mass = car[MASS]

    def time(point: dict[str, float]) -> float:
        best = 4.7e-3 + 1e-3 * (point.get(MASS, mass) - mass)
        return (15.0 - 1e4 * (point[GAP] - best)) / 60.0

    modelled(monkeypatch, time)
    goal = layshaft.goals.shift_at("54 km/h")
    (doubt,) = layshaft.doubts(car, settings=[MASS], goal=goal).ranked
    # 80 g out: 0.08 mm, 0.8 m/s; in the mean over a normal number times sqrt(2/pi).
    assert doubt.gap_error == pytest.approx(80e-6, abs=ON_A_CURVE)
    assert doubt.loss == pytest.approx(0.8 * math.sqrt(2.0 / math.pi), abs=1e4 * ON_A_CURVE)
    assert doubt.loss_left == pytest.approx(doubt.loss / 16.0)


def least(gaps: np.ndarray, times: np.ndarray) -> tuple[float, float]:
    """Return the least of a curve by the parabola through its three lowest points."""
    at = int(np.clip(np.argmin(times), 1, len(gaps) - 2))
    near = np.polyfit(gaps[at - 1 : at + 2] * 1e3, times[at - 1 : at + 2], 2)
    best = -near[1] / (2.0 * near[0])
    return best * 1e-3, float(np.polyval(near, best))


def drawn(car: layshaft.Car, cars: list[dict[str, float]], gap: float) -> tuple[float, float]:
    """Drive all of some cars; return the deviation of their best gap from one, and their loss."""
    gaps = car[GAP] + np.linspace(-1.2e-3, 1.2e-3, 25)
    points = [one | {GAP: float(each)} for one in cars for each in gaps]
    times = run_points(car, points, read_options()).time.reshape(len(cars), len(gaps))
    bests = [least(gaps, row) for row in times]
    shifts = np.array([best - gap for best, _ in bests])
    losses = [np.interp(gap, gaps, row) - low for row, (_, low) in zip(times, bests, strict=True)]
    return float(np.sqrt(np.mean(shifts**2))), float(np.mean(losses))


def test_two_points_of_each_tell_what_many_random_cars_tell(car: layshaft.Car) -> None:
    paths = [ZERO, RATE]
    found = layshaft.doubts(car, settings=paths, measured=paths)
    errors = np.array([spread_of(path, car[path], SHEET[path].error) for path in paths])
    own = np.array([car[path] for path in paths])
    rows = own + errors * np.random.default_rng(7).normal(size=(150, 2))
    gap_error, loss = drawn(car, [dict(zip(paths, row, strict=True)) for row in rows], found.gap)
    # Standard errors of 150 draws: 6 % of a deviation, 12 % of a mean of squares; 2.5 of these.
    assert found.gap_error == pytest.approx(gap_error, rel=0.15)
    assert found.loss == pytest.approx(loss, rel=0.3)
    assert all(doubt.gain == 0.0 for doubt in found.ranked)


def test_the_order_is_that_of_each_guess_drawn_alone(car: layshaft.Car) -> None:
    paths = ["two_speed.screw_arm", ZERO, "two_speed.shoe_mass", RATE, "two_speed.clearance"]
    found = layshaft.doubts(car, settings=paths)
    quantiles = NormalDist().quantiles(n=13)  # twelve numbers, as normal ones lie
    losses = {}
    for path in paths:
        error = spread_of(path, car[path], SHEET[path].guess)
        cars = [{path: car[path] + error * quantile} for quantile in quantiles]
        losses[path] = drawn(car, cars, found.gap)[1]
    assert [doubt.path for doubt in found.ranked] == sorted(paths, key=lambda path: -losses[path])


def sides_of(car: layshaft.Car, path: str, *, measured: bool = False) -> list[dict[str, float]]:
    (found,) = settings_in_doubt(car, [path], [path] if measured else [])
    return [dict(side.changes) for side in found.sides]


def test_all_settings_are_looked_at_but_the_gap_and_the_clutch_that_is_not_there(
    car: layshaft.Car,
) -> None:
    axial = car.replace({"clutch.design": "axial"})
    paths = {each.path for each in settings_in_doubt(axial, None, [])}
    all_paths = {field.path for field in layshaft.fields()}
    shoes = {f"two_speed.shoe_{n}.{name}" for n in (1, 2) for name in ("gap", "slug_mass")}
    idle = {path for path in all_paths if path.startswith("clutch.thrown_shoes.")}
    assert paths == all_paths - shoes - idle | {"two_speed.slug_mass"}


def test_a_number_moves_as_far_as_its_bounds_and_static_friction_goes_with_it(
    car: layshaft.Car,
) -> None:
    flat = car.replace(
        {"rear_tyre.wear": 0.0, "two_speed.friction": 0.2, "two_speed.static_friction": 0.22}
    )
    assert sides_of(flat, "rear_tyre.wear") == [{"rear_tyre.wear": pytest.approx(0.3e-3)}]
    less, more = sides_of(flat, "two_speed.friction")
    for side, value in ((less, 0.16), (more, 0.24)):
        assert side["two_speed.friction"] == pytest.approx(value)
        assert side["two_speed.static_friction"] == pytest.approx(1.1 * value)


def test_teeth_are_one_off_and_choices_any_until_they_are_counted_or_seen(
    car: layshaft.Car,
) -> None:
    teeth = car.first.pinion
    assert [side["first.pinion"] for side in sides_of(car, "first.pinion")] == [
        teeth - 1,
        teeth + 1,
    ]
    assert [side["front_axle"] for side in sides_of(car, "front_axle")] == [0.0, 1.0, 2.0]
    assert (
        settings_in_doubt(car, ["first.pinion", "front_axle"], ["first.pinion", "front_axle"]) == []
    )


def test_a_choice_unseen_costs_its_share_of_what_the_others_lose(
    car: layshaft.Car, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = car._core.get("two_speed.hold_in")

    def time(point: dict[str, float]) -> float:
        best = 4.7e-3 if point.get("two_speed.hold_in", own) == own else 4.9e-3
        return 3.0 + 2e5 * (point[GAP] - best) ** 2

    modelled(monkeypatch, time)
    (doubt,) = layshaft.doubts(car, settings=["two_speed.hold_in"]).ranked
    assert doubt.loss == pytest.approx(0.5 * 2e5 * (0.2e-3) ** 2, rel=0.05)
    assert doubt.gap_error == pytest.approx(0.2e-3 / math.sqrt(2.0), abs=ON_A_CURVE)
    assert (doubt.loss_left, doubt.gap_error_left) == (0.0, 0.0)


def test_cars_that_do_not_run_are_named(car: layshaft.Car, monkeypatch: pytest.MonkeyPatch) -> None:
    def time(point: dict[str, float]) -> float:
        if MASS in point:
            return math.nan
        return 3.0 + 2e5 * (point[GAP] - 4.7e-3) ** 2

    modelled(monkeypatch, time)
    found = layshaft.doubts(car, settings=[MASS, RATE])
    assert found.untried == (MASS,)
    assert [doubt.path for doubt in found.ranked] == [RATE]
    assert doubts_sentences(found)[-2] == f"Not to be tried, no such car runs: {MASS}."
    modelled(monkeypatch, lambda _: math.nan)
    with pytest.raises(ValueError, match="no gap reaches the goal, time over 60 m"):
        layshaft.doubts(car, settings=[RATE])


@pytest.mark.parametrize(
    ("given", "error", "said"),
    [
        ({"settings": [GAP]}, ValueError, "two_speed.gap: is what one sets"),
        ({"settings": ["two_speed.shoe_1.gap"]}, ValueError, "shoe_1.gap: is what one sets"),
        ({"settings": ["two_sped.friction"]}, ValueError, "nearest known name is two_speed.frict"),
        ({"measured": ["two_sped.friction"]}, ValueError, "nearest known name is two_speed.frict"),
        ({"measured": MASS}, TypeError, r"measured = 'body.mass' must be a list of names"),
        ({"measured": None}, TypeError, "measured = None must be a list of names"),
        ({"settings": MASS}, TypeError, r"settings = 'body.mass' must be a list of names"),
        ({"settings": []}, ValueError, "settings: name at least one"),
        ({"settings": [3]}, TypeError, "settings = <list> must be a list of names"),
        ({"goal": "quickest"}, TypeError, "goal = 'quickest' must be a Goal"),
    ],
)
def test_what_is_none_is_refused(
    car: layshaft.Car, given: dict, error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        layshaft.doubts(car, **given)
    with pytest.raises(TypeError, match="must be a Car"):
        layshaft.doubts("car.toml")


def test_laps_rank_what_is_asked_for(car: layshaft.Car) -> None:
    goal = layshaft.goals.quickest(track="club")
    found = layshaft.doubts(car, settings=[RATE], goal=goal)
    assert found.runs == 3 * len(usual_gaps(car))
    assert found.goal.scatter > 0.0
    (doubt,) = found.ranked
    assert 0.0 < doubt.gap_error < 2e-3
    assert doubt.loss_left < doubt.loss
    assert doubts_sentences(found)[-1] == f"Tried: {found.runs} laps."


def test_the_command_counts_what_the_file_has_as_measured(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    layshaft.write_car(layshaft.demo_car(), "mine.toml", measured=[ZERO, RATE])
    words = ["doubts", "--car", "mine.toml", "--distance", "30m"]
    for path in (ZERO, RATE, "two_speed.shoe_mass"):
        words += ["--of", path]
    result = CliRunner().invoke(app, words)
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    kinds = {line.split()[0]: line for line in lines if "measured" in line or "scale" in line}
    assert "measured" in kinds["zero"]
    assert "scale" in kinds["shoe"]
    assert any(line.startswith("1. two_speed.shoe_mass (scale): ") for line in lines)
    again = CliRunner().invoke(
        app, [*words, "--guessed", ZERO, "--measured", "two_speed.shoe_mass"]
    )
    assert f"1. {ZERO} (caliper): " in again.stdout
    assert "two_speed.shoe_mass (scale)" not in again.stdout


def test_the_table_stands_on_a_narrow_terminal(car: layshaft.Car) -> None:
    found = layshaft.doubts(car, settings=[ZERO, RATE, "two_speed.shoe_centre_across"])
    console = Console(width=40)
    with console.capture() as seen:
        console.print(doubts_rows(found))
    lines = seen.get().splitlines()
    assert all(len(line) <= 40 for line in lines)
    assert "costs" in lines[0]
    assert "then" in lines[0]
    assert sum(line.startswith(("zero", "spring", "shoe")) for line in lines) == 3
