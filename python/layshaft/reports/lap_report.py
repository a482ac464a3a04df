"""What the command line prints of laps and stints: few lines, big differences first."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.setting_advice import present_setting
from layshaft.mounting.setting_moves import turns_text
from layshaft.quantities.pit_units import KMH
from layshaft.reports.pit_table import PitTable, number_cell
from layshaft.reports.wording import capital
from layshaft.runs.lap_run import LapRun
from layshaft.runs.stint_result import Stint
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from collections.abc import Sequence

    from layshaft.runs.lap_events import LapEvent
    from layshaft.runs.setting_scatter import LapBand
    from layshaft.runs.stint_result import Stop

_RPM = 30.0 / np.pi
_LEAST_WIDTH = 0.001  # of lap times [s]
_LEAST_WARMTH = 10.0  # over the air [K]: less is as good as cold
#: Friction pairs of a stint: their name, and what holds their temperature.
_LININGS = {
    "clutch": ("the clutch", "clutch_temperature"),
    "two_speed": ("the drum", "shoe_temperature"),
}
#: Kinds of events, in a word or two.
EVENTS = {
    "upshift": "up",
    "downshift": "down",
    "clutch_opens": "clutch opens",
    "clutch_bites": "clutch bites",
}


def lap_sentences(run: "LapRun", band: "LapBand | None" = None) -> list[str]:
    """Say how quick the lap is, what upsets the car, and which exits bog.

    Parameters
    ----------
    run
        The lap.
    band
        From `layshaft.runs.setting_scatter.lap_band`: how far it varies.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("run", run, LapRun, "layshaft.lap")
    if run.message:
        return [f"{run.options.track.name}: no lap."]
    kind = "from a standing start" if run.options.standing else "flying"
    sectors = " + ".join(f"{time:.3f}" for time in run.sector_times)
    lines = [f"{run.options.track.name}: {run.time:.3f} s {kind} ({sectors})."]
    top, least = (float(run.scalars[name]) * KMH for name in ("peak_speed", "least_speed"))
    lines.append(f"Top speed {top:.0f} km/h, slowest {least:.0f} km/h.")
    lines += _band(run, band)
    upset = [event for event in run.shifts if event.place != "straight"]
    if upset:
        told = "; ".join(event_text(event) for event in upset)
        if len(run.shifts) == 1:
            lines.append(f"The only shift upsets the car: {told}.")
        else:
            lines.append(f"{len(upset)} of {len(run.shifts)} shifts upset the car: {told}.")
    elif len(run.shifts) == 1:
        lines.append("The only shift lies on a straight.")
    elif run.shifts:
        lines.append(f"All {len(run.shifts)} shifts lie on straights.")
    else:
        lines.append("No shift in this lap.")
    lines += _exits(run)
    heat = {name: max(made, 0.0) for name, made in run.heat.items()}  # no round-off below zero
    lines.append(
        f"Slip heat each lap: clutch {heat['clutch']:.0f} J, two-speed {heat['two_speed']:.0f} J;"
        f" fuel {run.scalars.fuel.item() * 1e3:.1f} g."
    )
    return lines


def _exits(run: "LapRun") -> list[str]:
    """Say out of which corners the engine limits, with the remedy, and where it is the tyres."""
    bogged = [number for number, corner in enumerate(run.corners, start=1) if corner.bogs]
    tyres = [number for number, corner in enumerate(run.corners, start=1) if corner.tyres_limit]
    has, lines = f"the engine has under {run.options.least_power:.0%} of its power", []
    if bogged:
        lines.append(
            f"Bogs out of {_corners(bogged, run)}: {has}, and the tyres would take more. A shorter"
            " first gear helps."
        )
    if tyres:
        lines.append(
            f"Out of {_corners(tyres, run)} {has}, but the tyres limit, not the gear: more would"
            " spin the wheels."
        )
    return lines


def _corners(numbers: "Sequence[int]", run: "LapRun") -> str:
    if len(numbers) == len(run.corners) > 1:
        return "every corner"
    return f"corner{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"


def _band(run: "LapRun", band: "LapBand | None") -> list[str]:
    """Say how far time and number of upshifts vary with a gap that is a little out."""
    if band is None:
        return []
    out = f"With a gap up to {2e3 * band.scatter:.2f} mm out"
    count = int(run.scalars.upshifts)
    many = f"{count} upshift{'' if count == 1 else 's'}"
    if band.least_upshifts != band.most_upshifts:
        many = f"{band.least_upshifts} to {band.most_upshifts} upshifts, here {count}"
    failed = f"; {band.failed} of such laps fail" if band.failed else ""
    times = f"{band.low:.3f} to {band.high:.3f} s, {band.mean:.3f} s in the mean"
    if band.high - band.low < _LEAST_WIDTH:
        times = f"the same to {_LEAST_WIDTH:g} s"
    return [f"{out}: {times}; {many}{failed}."]


def corner_rows(run: "LapRun") -> PitTable:
    """Return one line a corner: where braked, how slow, and with what engine out of it.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked("run", run, LapRun, "layshaft.lap")
    rows = PitTable("corner")
    rows.add_column("foot off\nm", rank=2)
    rows.add_column("slowest\nkm/h")
    rows.add_column("foot down\nm", rank=1)
    rows.add_column("rpm\nthere", rank=1)
    rows.add_column("")
    for number, corner in enumerate(run.corners, start=1):
        limit = "tyres limit" if corner.tyres_limit else ""
        rows.add_row(
            str(number),
            number_cell(corner.brake_distance, "{:.0f}"),
            number_cell(corner.least_speed * KMH, "{:.0f}"),
            number_cell(corner.exit_distance, "{:.0f}"),
            number_cell(round(corner.exit_engine_speed * _RPM, -2), "{:,.0f}"),
            "bogs" if corner.bogs else limit,
        )
    return rows


def stint_sentences(race: "Stint") -> list[str]:
    """Say how far a tank goes, what wears, and what to do at the stops.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("race", race, Stint, "layshaft.stint")
    laps = race.laps
    count = laps.sizes["lap"]
    lines = [
        f"{_laps(count)} in {race.time / 60.0:.1f} min with {_stops(len(race.stops))} for fuel.",
        f"A tank lasts {_laps(race.laps_per_tank)}, {race.time_per_tank / 60.0:.1f} min:"
        f" {race.fuel_per_lap * 1e6:.1f} cm3 a lap, with {100.0 * race.reserve:.3g} % of it left.",
    ]
    first, last = laps.isel(lap=0), laps.isel(lap=-1)
    worn = (float(first[name] - last[name]) * 1e3 for name in ("rear_radius", "front_radius"))
    lines.append(
        "Tyres lose {:.2f} mm of radius at the rear, {:.2f} mm at the front.".format(*worn)
    )
    lines.append(_shift_drift(*(float(each.shift_speed) * KMH for each in (first, last))))
    lines.append(_warm(race))
    are_alike = present_setting(race.car, "two_speed.gap") is not None
    lines += [_stop_text(stop, are_alike=are_alike) for stop in race.stops]
    return lines


def _warm(race: "Stint") -> str:
    """Say when clutch and drum are warm; every lap is driven as if they were from the start."""
    air, count = race.car["air.temperature"], race.laps.sizes["lap"]
    settle, stays = {}, []
    for part, (name, column) in _LININGS.items():
        if float(race.laps[column].max()) - air < _LEAST_WARMTH:
            stays.append(name)
        else:
            settle[name] = race.laps_to_settle[part]
    cool = f"{capital(' and '.join(stays))}: hardly warmer than the air" if stays else ""
    if not settle:
        return f"{cool}."
    before = "laps before that are shown too hot"
    if max(settle.values()) >= count:
        before = "this race is over by then, so its laps are shown too hot"
    when = " and ".join(f"{_laps(laps)} until {name} is warm" for name, laps in settle.items())
    return f"From cold it takes {when}; {before}.{f' {cool}.' if cool else ''}"


def _laps(count: int) -> str:
    return "1 lap" if count == 1 else f"{count} laps"


def _stops(count: int) -> str:
    return "1 stop" if count == 1 else f"{count or 'no'} stops"


def _shift_drift(first: float, last: float) -> str:
    if not np.isfinite(first) and not np.isfinite(last):
        return "No lap has a shift."
    if not np.isfinite(last):
        return f"The first lap shifts at {first:.1f} km/h, the last one not at all."
    if not np.isfinite(first):
        return f"The first lap has no shift, the last one at {last:.1f} km/h."
    return f"The first shift of the lap moves from {first:.1f} to {last:.1f} km/h."


def _stop_text(stop: "Stop", *, are_alike: bool) -> str:
    where = f"Stop after lap {stop.lap}, {stop.time / 60.0:.1f} min"
    keep = ""
    if np.isfinite(stop.turns_of_start):
        keep = f" The shift of the start is {turns_text(stop.turns_of_start)} from here."
    if stop.worth:
        to = f", to {stop.gap * 1e3:.2f} mm" if are_alike else ""
        turn = f"turn both screws {turns_text(stop.turns)}{to}"
        return f"{where}: {turn}: {stop.gain:.3f} s quicker each lap.{keep}"
    least = max(stop.gain, 0.001)
    return f"{where}: leave the screws, turning gains under {least + 0.0005:.3f} s a lap.{keep}"


def event_text(event: "LapEvent") -> str:
    """Say where an event lies.

    Examples
    --------
    >>> import layshaft
    >>> run = layshaft.lap(layshaft.demo_car(), "club")
    >>> event_text(run.shifts[0]).startswith("down at")
    True
    """
    name = EVENTS[event.kind]
    where = {"straight": "on the straight", "before_corner": "just before", "in_corner": "in"}
    place = where[event.place]
    if event.place != "straight":
        place += f" corner {event.corner + 1}"
    return f"{name} at {event.distance:.0f} m, {event.car_speed * KMH:.0f} km/h, {place}"
