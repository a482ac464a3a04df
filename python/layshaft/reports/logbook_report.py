"""What a logbook reads like: its lists, two set-ups side by side, what a season taught."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.fitting.observations import describe
from layshaft.logbook.comparison import Comparison
from layshaft.logbook.entries import Advised, Day, LoggedRun
from layshaft.logbook.season import Season
from layshaft.quantities import units
from layshaft.reports.pit_table import PitTable
from layshaft.reports.wording import capital, setting_text, short_name, with_unit
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.point_runs import scalar_unit
from layshaft.setup import field_table
from layshaft.setup.field_table import CURVE
from layshaft.setup.handed_over import checked, checked_all

if TYPE_CHECKING:
    from collections.abc import Iterable

    from layshaft.fitting.logs import Log
    from layshaft.fitting.observations import Observation
    from layshaft.logbook.comparison import Difference

_LONGEST_HEADING = 9  #: letters
_LEAST_WORTH = 5e-4  # [s]: less is printed as 0


def day_rows(days: "Iterable[Day]") -> PitTable:
    """Return a line for each day: its track and weather.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop; empty where nothing was noted.
    """
    rows = PitTable("day")
    rows.add_column("track", is_text=True)
    for heading, rank in (("air\ndegC", 1), ("track\ndegC", 2), ("air\nhPa", 3), ("wet\n%", 4)):
        rows.add_column(heading, rank=rank)
    rows.add_column("note", rank=5, is_text=True)
    for day in checked_all("days", days, Day, "layshaft.Logbook.days"):
        air, track = (_degrees(x) for x in (day.air_temperature, day.track_temperature))
        pressure = "" if day.air_pressure is None else f"{day.air_pressure / 100.0:.0f}"
        humidity = "" if day.relative_humidity is None else f"{day.relative_humidity:.0%}"
        rows.add_row(
            *(day.date, day.track or "", air, track, pressure, humidity.rstrip("%"), day.note)
        )
    return rows


def run_rows(runs: "Iterable[LoggedRun]") -> PitTable:
    """Return a line for each run: day, set-up, and what was heard and timed.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    rows = PitTable("run", "day")
    rows.add_column("set-up", rank=1, is_text=True)
    rows.add_column("heard and timed", is_text=True)
    rows.add_column("note", rank=2, is_text=True)
    for run in checked_all("runs", runs, LoggedRun, "layshaft.Logbook.runs"):
        seen = "; ".join((*map(_seen_text, run.seen), *map(_log_text, run.logs)))
        rows.add_row(str(run.number), run.date, run.setup, seen, run.note)
    return rows


def advised_rows(advice: "Iterable[Advised]") -> PitTable:
    """Return a line for each advice, and whether it helped.

    Returns
    -------
    PitTable
        Its rows, as text.
    """
    rows = PitTable("no.", "day")
    rows.add_column("helped", is_text=True)
    rows.add_column("advice", is_text=True)
    rows.add_column("set-up", rank=1, is_text=True)
    rows.add_column("note", rank=2, is_text=True)
    for each in checked_all("advice", advice, Advised, "layshaft.Logbook.advice"):
        helped = {None: "not told", True: "yes", False: "no"}[each.helped]
        rows.add_row(str(each.number), each.date, helped, each.said, each.setup, each.note)
    return rows


def comparison_rows(found: Comparison, first: str, second: str) -> PitTable:
    """Return a line for each difference of two set-ups, with what it alone is worth.

    Parameters
    ----------
    found
        Of `layshaft.compare_setups`.
    first, second
        Names of the set-ups.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop; times in s.
    """
    checked("found", found, Comparison, "layshaft.compare_setups")
    first, second = (checked(*each, str, "str") for each in (("first", first), ("second", second)))
    rows = PitTable()
    rows.add_column("what differs", is_text=True)
    are_short = max(map(len, (first, second))) <= _LONGEST_HEADING
    for name, place in ((first, "1st"), (second, "2nd")):
        rows.add_column(name if are_short else place, is_text=True)
    rows.add_column("alone\ns")
    for each in found.differences:
        texts = (_numbers(each.paths, numbers) for numbers in (each.was, each.becomes))
        rows.add_row(_names(each), *texts, _worth(each.worth))
    if len(found.differences) > 1:
        times = (f"{time:.3f} s" for time in (found.first_time, found.second_time))
        rows.add_row("all together", *times, _worth(found.together), bold=True)
    rows.caption = f"{_run_text(found)}; - quicker, + slower"
    if not are_short:
        rows.caption += f"\n1st: {first}\n2nd: {second}"
    return rows


def season_sentences(season: Season) -> list[str]:
    """Say what a season taught of the car, and what a day to come may be like.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("season", season, Season, "layshaft.learn_season")
    count = len(season.days)
    days = f"{count} days" if count > 1 else "1 day"
    lines = [
        f"Learned from {days}. A day deviates from the car by {season.noise:.0%} of the first"
        f" doubt, the car itself drifts by {season.drift:.0%} of it from day to day."
    ]
    for truth, to_come, before in zip(
        season.days[-1].truth, season.next_day.intervals, season.next_day.unknowns, strict=True
    ):
        value, low, high, later_low, later_high, guess = (
            setting_text(truth.path, number, fine=True)
            for number in (
                *(truth.value, truth.low, truth.high, to_come.low, to_come.high, before.guess),
            )
        )
        lines.append(
            f"{capital(short_name(truth.path))}: {value}, 95 % sure {low} to {high}; on a day to"
            f" come {later_low} to {later_high}; was {guess}."
        )
    if not season.learned.agrees:
        lines.append(
            "What was seen does not agree within its errors and the noise of a day: look at each"
            " value again, and at what else changed between the runs."
        )
    return [*lines, *season.learned.ambiguities()]


def season_rows(season: Season) -> PitTable:
    """Return a line for each day and unknown: the day's own number beside the car's by then.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop, each with half its 95 % interval.
    """
    checked("season", season, Season, "layshaft.learn_season")
    rows = PitTable("day")
    rows.add_column("number", is_text=True)
    for heading, rank in (
        *(("that\nday", 0), ("+/-", 0), ("the\ncar", 1), ("+/- ", 2)),
        ("seen", 3),
    ):
        rows.add_column(heading, rank=rank)
    for each in season.days:
        for own, truth in zip(each.day, each.truth, strict=True):
            cells = [
                setting_text(known.path, number).partition(" ")
                for known in (own, truth)
                for number in (known.value, 0.5 * (known.high - known.low))
            ]
            name = " ".join((short_name(own.path), cells[0][2])).strip()
            rows.add_row(each.date, name, *(number for number, _, _ in cells), str(each.seen))
    return rows


def _degrees(temperature: float | None) -> str:
    return "" if temperature is None else f"{units.from_si(temperature, 'K', 'degC'):.0f}"


def _seen_text(seen: "Observation") -> str:
    unit = "s" if seen.measure == "time" else scalar_unit(seen.measure, seen.options)
    return f"{describe(seen)}: {with_unit(seen.value, unit)}"


def _log_text(log: "Log") -> str:
    return f"log of {log.quantity.replace('_', ' ')}, {len(log.values)} samples"


def _names(each: "Difference") -> str:
    if each.paths[0] == CURVE:
        return "engine torque curve"
    if len(each.paths) == 1:
        return short_name(each.paths[0])
    if _are_shoes(each.paths):
        return f"{short_name(each.paths[0].rpartition('.')[2])}, both"
    return ", ".join(map(short_name, each.paths))


def _numbers(paths: tuple[str, ...], numbers: tuple[float, ...]) -> str:
    if not numbers:
        return "its own"
    texts = [setting_text(path, number) for path, number in zip(paths, numbers, strict=True)]
    return texts[0] if _are_shoes(paths) and texts[0] == texts[1] else ", ".join(texts)


def _are_shoes(paths: tuple[str, ...]) -> bool:
    return paths in field_table.pairs().values()


def _worth(time: float) -> str:
    if np.isnan(time):
        return "no run"
    return "0.000" if abs(time) < _LEAST_WORTH else f"{time:+.3f}"


def _run_text(found: Comparison) -> str:
    if isinstance(found.options, LapOptions):
        return f"a lap of {found.options.track.name}"
    return f"time over {found.options.distance:g} m"
