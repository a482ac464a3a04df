"""Observations: a small table is read with the care of a set-up file."""

from pathlib import Path

import layshaft
import pytest

ROUND_OFF = 1e-12


def read(tmp_path: Path, text: str) -> list:
    file = tmp_path / "seen.csv"
    file.write_text(text, encoding="utf-8")
    return layshaft.read_observations(file)


def faults(tmp_path: Path, text: str) -> list:
    with pytest.raises(layshaft.SetupError) as caught:
        read(tmp_path, text)
    return caught.value.faults


def test_settings_ways_and_values_are_read(tmp_path: Path) -> None:
    text = (
        "# first heat\n"
        "gap_mm,first.pinion,start_speed_km_per_h,shift_speed_km_per_h,shift_speed_error_km_per_h\n"
        "\n"
        "4.6,16,36,54,1.8\n"
        "4.8,,,50.4,\n"
    )
    first, second = read(tmp_path, text)
    assert dict(first.changes) == {"two_speed.gap": 0.0046, "first.pinion": 16}
    assert first.options.start_speed == pytest.approx(10.0, rel=ROUND_OFF)
    assert (first.value, first.error) == pytest.approx((15.0, 0.5), rel=ROUND_OFF)
    assert dict(second.changes) == {"two_speed.gap": 0.0048}
    assert second.error == pytest.approx(2.0 / 3.6, rel=ROUND_OFF)


def test_one_row_may_hold_several_values(tmp_path: Path) -> None:
    text = "distance_m,time_s,time_error_s,engine_speed_before_rpm\n30,2.4,0.05,33000\n"
    time, engine = read(tmp_path, text)
    assert (time.measure, time.value, time.error) == ("time", 2.4, 0.05)
    assert time.options.distance == 30.0
    assert engine.measure == "engine_speed_before"


def test_all_faults_come_at_once_with_their_lines(tmp_path: Path) -> None:
    text = "gap_mm,shift_speed_km_per_h\n46,54\n4.6,fast\n4.6\n4.7,50\n"
    found = faults(tmp_path, text)
    assert [fault.line for fault in found] == [2, 3, 4]
    assert "two_speed.gap" in found[0].must


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "names its columns"),
        ("gap_mm,colour\n4.6,red\n", "known column"),
        ("gap_mm,gap_mm,time_s\n4.6,4.6,3\n", "only once"),
        ("gap_mm\n4.6\n", "something seen"),
        ("gap_mm,time_s\n4.6,\n", "at least one observation"),
        ("gap_kg,time_s\n4.6,3\n", "length"),
    ],
)
def test_what_is_wrong_is_said(tmp_path: Path, text: str, part: str) -> None:
    assert part in str(faults(tmp_path, text)[0])


def test_an_error_must_be_above_zero_and_known() -> None:
    with pytest.raises(ValueError, match="above 0"):
        layshaft.observe("time", 3.0, error=0.0)
    with pytest.raises(ValueError, match="say how far"):
        layshaft.observe("fuel", 0.001)
    with pytest.raises(ValueError, match="no such scalar"):
        layshaft.observe("colour", 1.0)


def test_a_log_is_read_in_its_unit(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text("time_s,engine_speed_rpm\n0.1,9549.296585513721\n0.2,19098.593171027442\n")
    log = layshaft.read_log(file, error="100 rpm")
    assert log.values == pytest.approx((1000.0, 2000.0), rel=ROUND_OFF)
    file.write_text("time_s,engine_speed_rpm\n0.1,9000\n0.2,much\n")
    with pytest.raises(layshaft.SetupError, match=":3"):
        layshaft.read_log(file, error="100 rpm")
    file.write_text("time_s,temperature\n0.1,9000\n")
    with pytest.raises(layshaft.SetupError, match="must name the columns"):
        layshaft.read_log(file, error="100 rpm")


@pytest.mark.parametrize(
    ("times", "values"),
    [([0.1], [1.0]), ([0.2, 0.1], [1.0, 2.0]), ([0.1, 0.2], [1.0, float("nan")])],
)
def test_a_log_must_have_rising_times_and_numbers(times: list, values: list) -> None:
    with pytest.raises(ValueError, match="at least two samples"):
        layshaft.run_log("car_speed", times, values, error="1 km/h")


def test_a_lap_time_stands_in_the_table_beside_what_was_heard(tmp_path: Path) -> None:
    text = "gap_mm,track,lap_time_s,shift_speed_km_per_h\n4.6,club,22.5,\n4.8,,,54\n"
    lap, heard = read(tmp_path, text)
    assert (lap.measure, lap.value, lap.error) == ("lap_time", 22.5, 0.05)
    assert lap.options.track.name.startswith("club")
    assert lap.changes == (("two_speed.gap", 0.0046),)
    assert heard.measure == "shift_speed"
    assert not hasattr(heard.options, "track")


def test_a_lap_time_without_its_track_is_refused_with_the_line(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "gap_mm,track,lap_time_s\n4.6,,22.5\n")
    assert fault.line == 2
    assert "give a track" in str(fault)
