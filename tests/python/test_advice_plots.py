"""Pictures of advice: they show the data in the units of the pit."""

import io
import re

import layshaft
import numpy as np
import pytest
from layshaft import goals, reports
from layshaft.mounting.gear_sets import present_teeth
from layshaft.plots import advice_plots, gear_plots, lap_plots, launch_plots, learned_plots
from layshaft.plots.style import new_figure
from layshaft.sweeps.track_gears import gear_text
from rich.console import Console

GAP = "two_speed.gap"
#: Of an axis position after conversion of units.
ROUND_OFF = 1e-9


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


@pytest.fixture(scope="module")
def learned(car: layshaft.Car) -> layshaft.Learned:
    seen = [
        layshaft.observe("shift_speed", speed, changes={GAP: gap}, distance=30.0)
        for gap, speed in (("4.6 mm", "58 km/h"), ("5 mm", "49 km/h"))
    ]
    return layshaft.learn(car, seen)


@pytest.fixture(scope="module")
def advice(learned: layshaft.Learned) -> object:
    goal = goals.shift_at("50 km/h", distance="30 m")
    over = {GAP: layshaft.Between("4.4 mm", "5.2 mm")}
    return layshaft.recommend(learned.car, over, goal=goal, learned=learned)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_plateau_is_shaded_where_it_is(advice: object, theme: str) -> None:
    (line,) = advice.lines
    axes = new_figure(theme, 5.0, 4.0).subplots()
    assert advice_plots.goal_curve(line, advice.goal, axes, theme=theme) is axes
    (shade,) = axes.patches
    assert shade.get_x() == pytest.approx(line.low * 1e3, rel=ROUND_OFF)
    assert shade.get_x() + shade.get_width() == pytest.approx(line.high * 1e3, rel=ROUND_OFF)
    assert "[mm]" in axes.get_xlabel()
    assert "[km/h]" in axes.get_title(loc="left")


def test_best_now_and_sureness_are_marked(advice: object) -> None:
    upper, _ = advice_plots.plateau_figure(advice).axes
    texts = {text.get_text().strip() for text in upper.texts}
    assert texts == {"best", "now"}
    bar = upper.lines[-1]
    ends = [advice.confidence.best_low * 1e3, advice.confidence.best_high * 1e3]
    np.testing.assert_allclose(bar.get_xdata(), ends, rtol=ROUND_OFF)


def test_the_band_holds_the_learned_curve(learned: layshaft.Learned) -> None:
    axes = learned_plots.learned_band(learned)
    band = axes.collections[0].get_paths()[0].vertices
    curve = next(line for line in axes.lines if line.get_label() == "learned")
    for x, y in zip(curve.get_xdata(), curve.get_ydata(), strict=True):
        heights = band[np.isclose(band[:, 0], x), 1]
        assert heights.min() < y < heights.max()
    handles, labels = axes.get_legend_handles_labels()
    assert {"95 % sure", "learned", "believed", "heard"} == set(labels)
    assert len(handles) == 4


def test_without_shifts_the_misfits_are_drawn(car: layshaft.Car) -> None:
    seen = [layshaft.observe("time", 2.0, distance=20.0)]
    found = layshaft.learn(car, seen, ["engine.power_scale"])
    (axes,) = learned_plots.learned_figure(found).axes
    assert "errors" in axes.get_title(loc="left")
    (name,) = (label.get_text() for label in axes.get_yticklabels())
    assert name == "time over 20 m"
    believed, learned = (line.get_xdata()[0] for line in axes.lines[1:])
    off = (found.shown_before[0] - 2.0) / found.errors[0]
    assert believed == pytest.approx(off)
    assert abs(learned) < abs(believed)


def test_the_front_is_a_line_through_its_settings(car: layshaft.Car) -> None:
    both = [goals.quickest(distance="20 m"), goals.coolest_shoes(distance="20 m")]
    found = layshaft.trade_off(car, both, {GAP: ["4.4 mm", "4.8 mm", "5.2 mm"]})
    axes = advice_plots.trade_front(found)
    front = axes.lines[1]
    np.testing.assert_allclose(front.get_xdata(), found.costs[list(found.front), 0])
    assert "[s]" in axes.get_xlabel()
    assert "[°C]" in axes.get_ylabel()


def test_bars_are_the_shares(car: layshaft.Car) -> None:
    spreads = {"two_speed.spring_rate": "2 %", "two_speed.shoe_1.gap": "0.03 mm"}
    study = layshaft.scatter(car, spreads, samples=4, distance=20.0)
    axes = advice_plots.scatter_shares(study)
    widths = [bar.get_width() for bar in axes.patches]
    assert widths == [share.with_others for share in study.shift_shares]


def test_gears_are_drawn_with_their_drop(car: layshaft.Car) -> None:
    parts = layshaft.Parts(first_pinions=(16, 17), first_spurs=(50, 51))
    chart = layshaft.mesh(car, parts)
    speed = 15.0
    axes = gear_plots.gear_speeds(chart, car=car, shift_speed=speed)
    line = axes.lines[0]
    first, second = (chart[f"{gear}_rollout"].values for gear in ("first", "second"))
    own = next(
        row
        for row in range(chart.sizes["set"])
        if (int(chart.first_spur[row]), int(chart.first_pinion[row])) == present_teeth(car)[:2]
    )
    # Turns a second are speed over rollout; 60 of them a minute, in thousands.
    drop = np.array([speed / first[own], speed / second[own]]) * 0.06
    np.testing.assert_allclose(line.get_xdata()[1:3], drop, rtol=ROUND_OFF)
    np.testing.assert_allclose(line.get_ydata()[1:3], speed * 3.6, rtol=ROUND_OFF)


def test_speeds_through_the_shift_stand_over_the_car_speed(car: layshaft.Car) -> None:
    run = layshaft.launch(car, distance=30.0)
    axes = launch_plots.shift_speeds(run)
    assert "[km/h]" in axes.get_xlabel()
    np.testing.assert_allclose(axes.lines[0].get_xdata(), run.samples.car_speed * 3.6)
    mark = axes.lines[-1].get_xdata()[0]
    assert mark == pytest.approx(float(run.scalars.shift_speed) * 3.6)


def test_a_front_that_hardly_matters_is_not_drawn_from_edge_to_edge(car: layshaft.Car) -> None:
    way = {"distance": 30.0}
    both = [goals.quickest(within="10 ms", **way), goals.coolest_shoes(within=2.0, **way)]
    found = layshaft.trade_off(car, both, {"two_speed.gap": ["4.6 mm", "4.61 mm"]})
    axes = advice_plots.trade_front(found)
    assert np.ptp(axes.get_xlim()) == pytest.approx(0.01, rel=ROUND_OFF)
    assert np.ptp(axes.get_ylim()) == pytest.approx(2.0, rel=ROUND_OFF)
    assert "[°C]" in axes.get_ylabel()


def test_shifts_up_and_down_stand_on_either_side_of_the_line(car: layshaft.Car) -> None:
    run = layshaft.lap(car, "fast", sample_spacing=1.0)
    line = run.options.track.line()
    axes = lap_plots.track_map(run)
    marks = {each.get_label(): each.get_offsets() for each in axes.collections[1:]}
    for label, side in (("up", 1.0), ("down", -1.0)):
        assert len(marks[label]) >= 1
        for x, y in marks[label]:
            near = int(np.argmin(np.hypot(line.x - x, line.y - y)))
            to_left = np.array([-np.sin(line.heading[near]), np.cos(line.heading[near])])
            assert side * to_left @ [x - line.x[near], y - line.y[near]] > 0.1


def test_gears_are_written_alike_everywhere(car: layshaft.Car) -> None:
    chart = layshaft.mesh(car, layshaft.Parts(first_pinions=(17,), first_spurs=(50,)))
    written = gear_text(car, {})
    first, second = written.split()
    assert first == f"{car['first.pinion']}/{car['first.spur']}"
    assert second == f"{car['second.pinion']}/{car['second.spur']}"
    console = Console(width=200, file=io.StringIO())
    console.print(reports.mesh_rows(chart))
    assert re.search(rf"{first} +{second}", console.file.getvalue())
    (entry,) = _legend_of(gear_plots.gear_speeds(chart, car=car))
    assert entry.startswith(f"{written}: drops ")
    assert entry.endswith("00 rpm")


def _legend_of(axes: object) -> list[str]:
    return [text.get_text() for text in axes.get_legend().get_texts()]
