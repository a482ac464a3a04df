"""Tables as people write them: what parts the cells, and which comma is a decimal one."""

import math
from collections.abc import Callable
from pathlib import Path

import layshaft
import pytest
from layshaft.setup.csv_text import read_text_table

WITH_COMMAS = "gap_mm,shift_speed_km_per_h\n4.6,57.5\n4.8,52\n"
#: The same table as spreadsheets in other languages write it.
ALIKE = {
    "semicolons": "gap_mm;shift_speed_km_per_h\n4.6;57.5\n4.8;52\n",
    "semicolons and decimal commas": "gap_mm;shift_speed_km_per_h\n4,6;57,5\n4,8;52\n",
    "tabs": "gap_mm\tshift_speed_km_per_h\n4.6\t57.5\n4.8\t52\n",
    "tabs and decimal commas": "gap_mm\tshift_speed_km_per_h\n4,6\t57,5\n4,8\t52\n",
    "quotes": '"gap_mm","shift_speed_km_per_h"\n"4.6","57.5"\n"4.8","52"\n',
    "old line ends and a mark of bytes": "\ufeff" + WITH_COMMAS.replace("\n", "\r\n"),
    "notes and empty lines": "# heard\n\n" + WITH_COMMAS.replace("4.8", "\n# later\n4.8"),
}

Write = Callable[[str], Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def to_file(text: str) -> Path:
        file = tmp_path / "table.csv"
        file.write_text(text, encoding="utf-8", newline="")
        return file

    return to_file


def refused(write: Write, text: str) -> str:
    with pytest.raises(layshaft.SetupError) as caught:
        layshaft.read_observations(write(text))
    assert "table.csv" in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize("kind", ALIKE)
def test_spreadsheets_of_any_language_give_the_same_observations(kind: str, write: Write) -> None:
    wanted = layshaft.read_observations(write(WITH_COMMAS))
    assert [seen.value * 3.6 for seen in wanted] == pytest.approx([57.5, 52.0])
    assert layshaft.read_observations(write(ALIKE[kind])) == wanted


def test_a_row_with_decimal_commas_says_so(write: Write) -> None:
    said = refused(write, "gap_mm,shift_speed_km_per_h\n4,6,57,5\n")
    assert "table.csv:2" in said
    assert "must have 2 cells, not 4; a decimal comma parts cells too" in said


def test_a_quoted_decimal_comma_says_so(write: Write) -> None:
    said = refused(write, 'gap_mm,shift_speed_km_per_h\n"4,6",57\n')
    assert 'gap must have a decimal point, not a comma: 4.6 for "4,6"' in said.replace(
        "two_speed.gap", "gap"
    )


@pytest.mark.parametrize(("mark", "name"), [(";", "semicolons"), ("\t", "tabs")])
def test_rows_parted_otherwise_than_their_headings_say_so(
    mark: str, name: str, write: Write
) -> None:
    said = refused(write, f"gap_mm,shift_speed_km_per_h\n4.6{mark}57\n")
    assert f"must have 2 cells, not 1; {name} part its cells, and not those of line 1" in said


@pytest.mark.parametrize("cell", ["nan", "inf", "1e999", "1_000", "0x10", "٤", "4.6 4.6", "--4"])
def test_what_is_no_finite_number_is_refused(cell: str, write: Write) -> None:
    assert "shift_speed" in refused(write, f"gap_mm,shift_speed_km_per_h\n4.6,{cell}\n")


def test_logs_laps_and_tracks_take_the_same_tables(write: Write) -> None:
    log = layshaft.read_log(write("time_s;car_speed_km_per_h\n0,5;18\n1,0;36\n"), error="1 km/h")
    assert log.values == pytest.approx((5.0, 10.0))
    laps = layshaft.read_lap_times(write("lap;lap_time_s\n1;21,7\n2;21,9\n3;21,8\n"), track="club")
    assert laps.value == pytest.approx(21.8)
    turns = [2.0 * math.pi * place / 24 for place in range(24)]
    points = [f"{5.0 * math.cos(turn):.4f};{5.0 * math.sin(turn):.4f}\n" for turn in turns]
    track = layshaft.read_track(write("x_m;y_m\n" + "".join(points).replace(".", ",")))
    scatter = 0.02  # of the points, as far as the line may lie from them [m]
    assert track.length == pytest.approx(2.0 * math.pi * 5.0, abs=2.0 * math.pi * scatter)


def test_a_bare_number_of_a_dimension_needs_its_unit(write: Write) -> None:
    said = refused(write, "gap_mm,shift_speed\n4.6,50\n")
    assert "shift_speed must have its unit, in the heading as in _km_per_h" in said
    seen, *_ = layshaft.read_observations(write("gap_mm,shift_speed\n4.6,50 km/h\n"))
    assert seen.value == pytest.approx(50.0 / 3.6)


def test_an_empty_table_is_named(write: Write) -> None:
    assert "must have a line that names its columns" in refused(write, "# nothing\n")
    table = read_text_table(write("a,b\n"))
    assert (table.heads, table.rows) == (["a", "b"], [])


@pytest.mark.parametrize("cell", ["1.200", "1,200", "-1.200"])
def test_a_number_that_may_be_in_thousands_is_refused_beside_the_other_mark(
    cell: str, write: Write
) -> None:
    other = "4,3" if "." in cell else "4.3"
    said = refused(write, f"gap_mm;shift_speed_km_per_h\n{other};{cell}\n")
    sign = "-" if cell.startswith("-") else ""
    assert f"must be {sign}1200 or {sign}1.200, for {cell} may be either" in said
    # Alone it is what the table's other numbers make of it.
    alike = cell.removeprefix("-").replace("1", "60")
    seen = layshaft.read_observations(write(f"gap_mm;shift_speed_km_per_h\n4;{alike}\n"))
    assert seen[0].value * 3.6 == pytest.approx(60.2)


def test_a_comma_beside_a_point_is_taken_where_it_can_be_one_thing_only(write: Write) -> None:
    seen = layshaft.read_observations(write("gap_mm;shift_speed_km_per_h\n4,3;62.5\n"))
    assert seen[0].value * 3.6 == pytest.approx(62.5)
    assert seen[0].changes[0][1] == pytest.approx(0.0043)


@pytest.mark.parametrize("read", [layshaft.read_observations, layshaft.read_track])
def test_blanks_between_cells_are_named(read: Callable[[Path], object], write: Write) -> None:
    with pytest.raises(layshaft.SetupError) as caught:
        read(write("x_m y_m\n1.0 2.0\n2.0 3.0\n"))
    assert "table.csv:1: x_m y_m: must have commas, semicolons or tabs" in str(caught.value)


def test_a_setting_stands_once_whatever_its_unit(write: Write) -> None:
    said = refused(write, "gap_mm,gap_in,shift_speed_km_per_h\n4.6,0.2,62\n")
    assert "table.csv:1: gap_in: must stand only once" in said


def test_a_line_is_quoted_as_it_was_written(write: Write) -> None:
    said = refused(write, "gap_mm;shift_speed_km_per_h\n4,6;6.2,5\n")
    assert "table.csv:2: 4,6;6.2,5: " in said
