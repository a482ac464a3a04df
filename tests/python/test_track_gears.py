"""Gap and gears on two tracks: what wins there."""

import layshaft
import numpy as np
import pytest
from layshaft.setup.parts_at_hand import Parts
from layshaft.sweeps import track_gears as maps

GAPS = [3.6e-3, 4.0e-3, 4.4e-3, 4.8e-3, 5.2e-3, 5.6e-3]
SETS = [
    {"first.pinion": 17 + k, "first.spur": 50 - k, "second.pinion": 22 + k, "second.spur": 45 - k}
    for k in (-2, 0, 1, 2)
]


@pytest.fixture(scope="module")
def tables() -> dict[str, object]:
    car = layshaft.demo_car()
    return {name: layshaft.gear_map(car, name, gears=SETS, gaps=GAPS) for name in ("club", "fast")}


def test_every_field_of_the_map_is_a_lap(tables: dict[str, object]) -> None:
    table = tables["club"]
    assert table.lap_time.shape == (4, 6)
    assert np.isfinite(table.lap_time.values).all()
    car = layshaft.demo_car().replace(SETS[2] | {"two_speed.gap": 4.4e-3})
    own = table.lap_time.sel(gears="18/49 23/44", gap=4.4e-3)
    assert layshaft.lap(car, "club").time == pytest.approx(float(own), abs=1e-12)


def test_taller_gears_do_better_on_the_fast_track(tables: dict[str, object]) -> None:
    # Each tooth more on the pinions gains more there, or costs less, whatever the gap.
    lost = {name: np.diff(table.lap_time.values, axis=0) for name, table in tables.items()}
    assert (lost["fast"] < lost["club"]).all()


def test_the_plateau_holds_the_best(tables: dict[str, object]) -> None:
    for table in tables.values():
        best = maps.best_gears(table)
        assert best["gap_low"] <= best["gap"] <= best["gap_high"]
        assert best["gears"] in best["gears_alike"]
        row = table.lap_time.copy(data=maps.expected_times(table)).sel(gears=best["gears"])
        inside = row.sel(gap=slice(best["gap_low"], best["gap_high"]))
        assert float(inside.max()) <= best["lap_time"] + maps.PLATEAU


def test_parts_at_hand_are_tried_where_they_mesh() -> None:
    parts = Parts(first_pinions=(16, 17), first_spurs=(50, 51), second_pinions=(22,))
    table = layshaft.gear_map(layshaft.demo_car(), "club", gears=parts, gaps=["4.8 mm"])
    assert set(table.gears.values) == {"16/51 22/45", "17/50 22/45"}


def test_a_map_without_any_lap_says_why() -> None:
    # No lap of 260 m is driven in 5 s.
    with pytest.raises(
        ValueError, match=r"^no lap with any of these gears and gaps: the line was not rea"
    ):
        layshaft.gear_map(
            layshaft.demo_car(), "club", gears=SETS, gaps=["4.8 mm"], longest_time="5 s"
        )


def test_laps_that_fail_are_counted_with_their_reason() -> None:
    sets = [SETS[1], SETS[1] | {"first.pinion": 60}]
    with pytest.warns(UserWarning, match=r"^1 of 2 laps failed: first"):
        table = layshaft.gear_map(layshaft.demo_car(), "club", gears=sets, gaps=["4.8 mm"])
    assert np.isfinite(table.lap_time.values).sum() == 1


def test_the_best_of_a_map_is_a_setting(tables: dict[str, object]) -> None:
    table = tables["fast"]
    best = maps.best_gears(table)
    settings = maps.settings_of(table, best)
    car = layshaft.demo_car().replace(settings)
    assert maps.gear_text(car, {}) == best["gears"]
    assert settings["two_speed.gap"] == best["gap"]


def test_without_gears_there_is_no_map() -> None:
    with pytest.raises(ValueError, match="gears: there are none"):
        layshaft.gear_map(layshaft.demo_car(), "club", gears=[])


def test_a_dip_that_one_reading_alone_meets_is_not_the_best(tables: dict[str, object]) -> None:
    table = tables["club"].copy(deep=True)
    best = maps.best_gears(table)
    # A lucky lap, .1 s under the best at one gap alone: worth .1 s * the share of the scatter that
    # meets it, and slower ones beside it. Written by hand into the map.
    row, column = list(table.gears.values).index("15/52 20/47"), 4
    table.lap_time[row, :] = float(best["lap_time"]) + 0.2
    table.lap_time[row, column] = float(best["lap_time"]) - 0.1
    assert float(table.lap_time.min()) == float(table.lap_time[row, column])
    assert maps.best_gears(table)["gears"] == best["gears"]


def test_the_mean_of_a_straight_line_is_the_line_itself(tables: dict[str, object]) -> None:
    table = tables["club"].copy(deep=True)
    table.lap_time[:] = 20.0 + 100.0 * table.gap.values
    inner = maps.expected_times(table)[:, 1:-1]
    assert inner == pytest.approx(table.lap_time.values[:, 1:-1], abs=1e-9)


def test_each_field_has_its_value_and_ticks_stand_where_a_gap_was_tried(
    tables: dict[str, object],
) -> None:
    from layshaft.plots import gear_map_picture

    table = tables["fast"]
    axes = gear_map_picture(table)
    times = maps.expected_times(table)
    lost = (times - times[maps.best_place(times)]) * 1e3
    written = [text.get_text().split(" | ")[0] for text in axes.texts]
    assert written == [f"{value:.0f}" for value in lost.ravel()]
    assert axes.get_xticks() == pytest.approx(table.gap.values * 1e3)
