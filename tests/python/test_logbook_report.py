"""Lists of the logbook are read on a narrow terminal, and lose columns rather than digits."""

import io

import layshaft
import pytest
from layshaft import reports
from rich.console import Console

NAMES = ("dry", "after the rain, with the soft springs", "x" * 80)


def printed(rows: reports.PitTable, width: int) -> str:
    paper = io.StringIO()
    Console(width=width, highlight=False, markup=False, file=paper).print(rows)
    return paper.getvalue()


def observations() -> tuple[layshaft.Observation, ...]:
    heard = layshaft.observe("shift_speed", "67 km/h", changes={"two_speed.gap": "4.4 mm"})
    return heard, layshaft.observe("lap_time", "16.234 s", track="club")


@pytest.mark.parametrize("width", [40, 80, 120])
@pytest.mark.parametrize("name", NAMES)
def test_runs(width: int, name: str) -> None:
    run = layshaft.LoggedRun(
        number=12,
        date="2026-05-02",
        setup=name,
        seen=observations(),
        logs=(),
        note="[red]new[/red] " * 9,
    )
    text = printed(reports.run_rows([run]), width)
    assert max(map(len, text.splitlines())) <= width
    for whole in ("2026-05-02", "12", "67.0", "16.234"):
        assert whole in text.split() or f"{whole};" in text.split(), text


@pytest.mark.parametrize("width", [40, 80, 120])
@pytest.mark.parametrize("name", NAMES)
def test_days_and_advice(width: int, name: str) -> None:
    day = layshaft.Day(
        date="2026-05-02",
        track=name,
        air_temperature=297.15,
        track_temperature=None,
        air_pressure=98500.0,
        relative_humidity=0.554,
        note="sun after ten",
    )
    advice = layshaft.Advised(
        number=3,
        date="2026-05-02",
        setup=name,
        said="Turn both screws 0.56 in, from 4.50 to 4.11 mm.",
        settings={},
        helped=None,
        note="",
    )
    for rows in (reports.day_rows([day]), reports.advised_rows([advice])):
        text = printed(rows, width)
        assert "2026-05-02" in text
        assert "\u2026" not in text
        if len(name) < 80:
            assert max(map(len, text.splitlines())) <= width
    wide = printed(reports.day_rows([day]), 120)
    if len(name) < 80:
        assert {"24", "985", "55"} <= set(wide.split())
    assert "not told" in printed(reports.advised_rows([advice]), 120)
