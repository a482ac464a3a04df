"""Pictures: they show the data in the units of the pit and can be told apart by everyone."""

import subprocess
import sys

import layshaft
import numpy as np
import pytest
import xarray
from layshaft.plots import launch_plots, map_plots, sweep_plots
from layshaft.plots.style import PALETTES, new_figure
from layshaft.reports.energy_report import energy_rows, sorted_sinks, sorted_sources
from matplotlib.colors import to_rgb

#: Contrast that guidelines for web pages ask of text at its strictest, and of lines.
TEXT_CONTRAST = 7.0
LINE_CONTRAST = 3.0
#: Of an axis position after conversion of units.
ROUND_OFF = 1e-12


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


@pytest.fixture(scope="module")
def run(car: layshaft.Car) -> layshaft.LaunchRun:
    return layshaft.launch(car)


@pytest.fixture(scope="module")
def table(car: layshaft.Car) -> xarray.Dataset:
    present = car["two_speed.gap"]
    return layshaft.sweep(car, {"two_speed.gap": [present - 3e-4, present, present + 3e-4]})


@pytest.mark.parametrize(
    "draw", [sweep_plots.shift_speed, sweep_plots.engine_speeds, sweep_plots.hand_over]
)
def test_curves_of_a_sweep_take_and_return_axes(draw: object, table: xarray.Dataset) -> None:
    axes = new_figure("light", 5.0, 4.0).subplots()
    assert draw(table, axes) is axes
    assert draw(table) is not axes
    assert "[mm]" in axes.get_xlabel()


def test_the_curve_is_the_data_in_pit_units(table: xarray.Dataset) -> None:
    axes = sweep_plots.shift_speed(table)
    (line,) = axes.lines
    np.testing.assert_allclose(line.get_xdata(), table.two_speed_gap * 1e3, rtol=ROUND_OFF)
    np.testing.assert_allclose(line.get_ydata(), table.shift_speed * 3.6, rtol=ROUND_OFF)
    assert "[km/h]" in axes.get_title(loc="left")


def test_no_time_is_lost_at_the_best_setting(table: xarray.Dataset) -> None:
    for line in sweep_plots.time_lost(table).lines:
        assert min(line.get_ydata()) == 0.0
        assert line.get_label().endswith(" m")


def test_the_present_setting_is_marked_with_turns(table: xarray.Dataset, car: layshaft.Car) -> None:
    figure = sweep_plots.setting_curve(table, car)
    texts = " ".join(text.get_text() for text in figure.axes[0].texts)
    assert "now" in texts
    assert "best" in texts
    figure.draw_without_rendering()
    (turns,) = figure.axes[0].child_axes
    # The reading falls as the screw goes in: half a turn in is half a pitch to the left.
    assert car["two_speed.reading_direction"] == "falls_as_screw_goes_in"
    half_in = (car["two_speed.gap"] - car["two_speed.screw_pitch"] / 2) * 1e3
    on_top = turns.transData.transform((0.5, 0.0))[0]
    on_bottom = figure.axes[0].transData.transform((half_in, 0.0))[0]
    assert on_top == pytest.approx(on_bottom)


def test_a_map_needs_two_settings(table: xarray.Dataset, car: layshaft.Car) -> None:
    with pytest.raises(ValueError, match="2 numeric"):
        map_plots.setting_map(table)
    axes = {"two_speed.gap": ["4.4 mm", "4.6 mm"], "first.pinion": [16, 17]}
    both = layshaft.sweep(car, axes, distance=30.0)
    with pytest.raises(ValueError, match="1 numeric"):
        sweep_plots.setting_curve(both)
    panel = map_plots.setting_map(both).axes[0]
    assert "[mm]" in panel.get_xlabel()
    assert "first.pinion" in panel.get_ylabel()


@pytest.mark.parametrize(
    "draw",
    [
        launch_plots.car_speed,
        launch_plots.engine_speed,
        launch_plots.torques,
        launch_plots.tyre_slip,
    ],
)
def test_curves_of_a_run_take_and_return_axes(draw: object, run: layshaft.LaunchRun) -> None:
    axes = new_figure("dark", 5.0, 4.0).subplots()
    assert draw(run, axes, theme="dark") is axes
    assert "[s]" in axes.get_xlabel()
    assert axes.get_title(loc="left").endswith("]")


def test_bands_cover_the_run_without_gaps(run: layshaft.LaunchRun) -> None:
    axes = launch_plots.modes(run)
    rows: dict[float, float] = {}
    for bar in axes.patches:
        rows[bar.get_y()] = rows.get(bar.get_y(), 0.0) + bar.get_width()
    assert len(rows) == 3
    for length in rows.values():
        assert length == pytest.approx(float(run.samples.time[-1]))


def test_sinks_fall_in_size_and_fill_the_work(run: layshaft.LaunchRun) -> None:
    sinks = [energy for _, energy, _ in sorted_sinks(run)]
    assert sinks == sorted(sinks, reverse=True)
    assert sum(sinks) == pytest.approx(run.energy["engine_work"], rel=0.01)
    assert len(launch_plots.energy_sinks(run).patches) == len(sinks)


@pytest.mark.parametrize(
    ("options", "giver"),
    [
        ({"pedals": [(0.0, 0.0, 0.0)]}, "speed of the car"),
        ({"pedals": [(0.0, 0.0, 0.5)]}, "speed of the car"),
        ({"pedals": [(0.0, 0.0, 0.0)], "grade": -0.5, "start_speed": 2.0}, "the fall of the road"),
    ],
)
def test_shares_of_a_run_that_the_engine_does_not_drive_make_a_whole(
    car: layshaft.Car, options: dict[str, object], giver: str
) -> None:
    run = layshaft.launch(car, **{"distance": 10.0, "start_speed": "50 km/h"} | options)
    sources = sorted_sources(run)
    assert giver in {name for name, _ in sources}
    given = sum(energy for _, energy in sources)
    taken = [energy for _, energy, _ in sorted_sinks(run)]
    assert min(taken) > 0.0
    # What is left out is below a thousandth each; the tyres hold a little.
    assert sum(taken) == pytest.approx(given, rel=0.02)
    rows = energy_rows(run)
    shares = [float(cells[1]) for cells, _ in rows._rows]
    assert sum(shares) == pytest.approx(100.0, abs=0.5 * len(shares) + 2.0)
    assert giver in rows.caption
    assert giver in launch_plots.energy_sinks(run).get_title(loc="left")


def test_a_run_without_samples_says_so(car: layshaft.Car) -> None:
    bare = layshaft.launch(car, distance=5.0, sample_interval=0)
    with pytest.raises(ValueError, match="no samples"):
        launch_plots.launch_story(bare)


def test_unknown_themes_are_refused(table: xarray.Dataset) -> None:
    with pytest.raises(ValueError, match="theme"):
        sweep_plots.shift_speed(table, theme="pink")


def _luminance(colour: str) -> float:
    """Relative luminance as in the definition of the colour space sRGB (IEC 61966-2-1)."""
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return float(np.dot(parts, (0.2126, 0.7152, 0.0722)))


def _contrast(one: str, other: str) -> float:
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", PALETTES)
def test_ink_and_lines_stand_out_from_the_paper(theme: str) -> None:
    colours = PALETTES[theme]
    assert _contrast(colours.ink, colours.paper) > TEXT_CONTRAST
    assert _contrast(colours.ink, colours.plateau) > TEXT_CONTRAST
    for line in colours.lines:
        assert _contrast(line, colours.paper) > LINE_CONTRAST


def test_pictures_leave_the_global_state_of_matplotlib_alone() -> None:
    script = (
        "import layshaft, sys\n"
        "from layshaft.plots import launch_plots\n"
        "launch_plots.launch_story(layshaft.launch(layshaft.demo_car(), distance=5.0))\n"
        "print('matplotlib.pyplot' in sys.modules)\n"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"


def test_a_sweep_shows_all_that_a_setting_buys(table: xarray.Dataset, car: layshaft.Car) -> None:
    figure = sweep_plots.setting_curve(table, car)
    shown = {panel.get_title(loc="left"): panel for panel in figure.axes}
    assert len(shown) == 8
    heat = shown["Heat of a run [J]"]
    np.testing.assert_allclose(heat.lines[0].get_ydata(), table.shoe_loss.values)
    np.testing.assert_allclose(heat.lines[1].get_ydata(), table.clutch_loss.values)
    drop = shown["Drop over the shift [1000 rpm]"].lines[0].get_ydata()
    in_krpm = 60.0 / (2.0 * np.pi * 1e3)
    np.testing.assert_allclose(drop, table.engine_speed_drop.values * in_krpm)
    rate = table.fuel.values / table.time_to_distance.isel(distance=-1).values
    np.testing.assert_allclose(shown["Fuel [g/min]"].lines[0].get_ydata(), rate * 6e4)
    upsets = shown["Upset by the shift [g in 30 ms]"].lines[0].get_ydata()
    assert (np.diff(upsets) < 0.0).all()  # the later the shift, the harder


def test_what_an_engine_turns_beyond_its_limit_is_filled(table: xarray.Dataset) -> None:
    low, high = 3000.0, 6000.0  # [rad/s]; 28.6 and 57.3 thousand rpm
    for limit, fills in ((low, True), (high, False)):
        limited = layshaft.Car({"engine.speed_limit": limit, "engine.idle_speed": 900.0})
        panel = sweep_plots.setting_curve(table, limited).axes[2]
        areas = [patch.get_paths() for patch in panel.collections]
        assert any(path.vertices.size > 0 for paths in areas for path in paths) == fills


def test_ticks_stand_only_where_something_was_tried(car: layshaft.Car) -> None:
    swept = layshaft.sweep(car, {"first.pinion": [16, 17, 19]}, distance=20.0)
    for panel in sweep_plots.setting_curve(swept, car).axes[-2:]:
        assert panel.get_xticks().tolist() == [16, 17, 19]
        assert [text.get_text() for text in panel.get_xticklabels()] == ["16", "17", "19"]
    both = layshaft.sweep(
        car, {"two_speed.gap": ["4.4 mm", "4.65 mm"], "first.pinion": [16, 17]}, distance=20.0
    )
    panel = map_plots.setting_map(both).axes[0]
    assert [text.get_text() for text in panel.get_xticklabels()] == ["4.40", "4.65"]
    times = both.time_to_distance.isel(distance=-1).values
    lost = (times - times.min()) * 1e3
    on_the_fields = sorted(
        round(float(text.get_text())) for text in panel.texts if "km" not in text.get_text()
    )
    assert on_the_fields == sorted(np.round(lost).astype(int).ravel().tolist())


def test_noise_is_not_drawn_full_height(car: layshaft.Car) -> None:
    narrow = layshaft.sweep(car, {"two_speed.gap": ["4.60 mm", "4.61 mm"]}, distance=40.0)
    heights = {
        panel.get_title(loc="left"): np.ptp(panel.get_ylim())
        for panel in sweep_plots.setting_curve(narrow, car).axes
    }
    assert heights["Car speed at the shift [km/h]"] >= 5.0
    assert heights["Drop over the shift [1000 rpm]"] >= 4.0
    assert heights["Fuel [g/min]"] >= 5.0


def test_without_a_shift_nothing_is_marked_as_best(car: layshaft.Car) -> None:
    figure = sweep_plots.setting_curve(
        layshaft.sweep(car, {"two_speed.gap": ["3 mm", "3.2 mm"]}, distance=20.0), car
    )
    assert "shifts" in figure.get_suptitle()
    titles = [panel.get_title(loc="left") for panel in figure.axes]
    assert not any("shift" in title or "Hand-over" in title for title in titles)
    assert not any("best" in text.get_text() for panel in figure.axes for text in panel.texts)
