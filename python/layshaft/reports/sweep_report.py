"""What is said of a sweep: its settings in a table, what to do, and how much it matters."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.no_shift import no_shift_cure
from layshaft.advice.setting_advice import SettingAdvice, present_setting, screw_turns
from layshaft.mounting.setting_moves import turns_text
from layshaft.quantities import pit_units, units
from layshaft.quantities.pit_units import KMH
from layshaft.reports.pit_table import PitTable, number_cell
from layshaft.setup import field_table
from layshaft.setup.car import checked_car
from layshaft.setup.handed_over import checked, checked_table

if TYPE_CHECKING:
    import xarray

    from layshaft.setup.car import Car
from layshaft.reports.launch_report import run_on

_MOST_ROWS = 15
_LEAST_GAIN = 0.001  #: [s]; less is below what the numbers can tell
_NO_DIGIT = 1e-9  #: [mm]; less is rounding of the conversion
_GAP = "two_speed.gap"
_GAP_AXIS = field_table.column_of(_GAP)


def sweep_rows(table: "xarray.Dataset", car: "Car") -> PitTable:
    """Return a sweep as a table for the terminal, one line a setting.

    A sweep over more than one field, or a long one, shows its best settings only.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked_car(car)
    checked_table("table", table, ("status", "time_to_distance"), "layshaft.sweep")
    shape = table.status.shape
    count = math.prod(shape)
    times = table.time_to_distance.isel(distance=-1).transpose(*table.status.dims).values.ravel()
    order = np.argsort(times, kind="stable")  # not-a-numbers last
    best = int(order[0])
    present = _present_rows(table, car)
    shown: Sequence[int] = range(count)
    if len(table.status.dims) > 1 or count > 3 * _MOST_ROWS:
        shown = [*order[:_MOST_ROWS], *(row for row in present if row not in order[:_MOST_ROWS])]
    rows = _empty_rows(table, car)
    for row in shown:
        is_best = row == best and np.isfinite(times[row])
        notes = [note for note, holds in (("best", is_best), ("now", row in present)) if holds]
        point = dict(zip(table.status.dims, np.unravel_index(row, shape), strict=True))
        rows.add_row(*_cells(table, point, car), ", ".join(notes), bold=bool(notes))
    if len(shown) < count:
        rows.caption = f"the best {_MOST_ROWS} of {count} settings"
    return rows


def _empty_rows(table: "xarray.Dataset", car: "Car") -> PitTable:
    rows = PitTable()
    for axis in table.status.dims:
        path = str(field_table.path_of(axis))
        name = "gap" if path == _GAP else path.replace(".", "\n")
        heading = f"{name}\n{pit_units.unit_of(table[axis])}".strip()
        rows.add_column(heading)
    if _shows_turns(table, car):
        rows.add_column("screws\nturns", rank=2)
    headings = ("shift\nkm/h", 1), ("rpm\npeak", 5), ("rpm\nlow", 5), ("hand-\nover s", 4)
    for heading, rank in headings:
        rows.add_column(heading, rank=rank)
    distances = table.distance.values[-2:]
    for distance in distances:
        rows.add_column(f"{distance:.4g} m\ns", rank=0 if distance == distances[-1] else 3)
    rows.add_column("")
    return rows


def _cells(table: "xarray.Dataset", point: dict[str, int], car: "Car") -> list[str]:
    cells = []
    for axis, index in point.items():
        value = table[axis].values[index]
        path = str(field_table.path_of(axis))
        cells.append(value if isinstance(value, str) else _setting(path, value))
    if _shows_turns(table, car):
        cells.append(turns_text(screw_turns(car, float(table[_GAP_AXIS].values[point[_GAP_AXIS]]))))
    cells.append(number_cell(_at(table.shift_speed, point) * KMH, "{:.1f}"))
    for name in ("engine_speed_before", "engine_speed_after"):
        speed = units.from_si(_at(table[name], point), "rad/s", "rpm")
        cells.append(number_cell(round(speed, -2) if np.isfinite(speed) else speed, "{:,.0f}"))
    cells.append(number_cell(_at(table.hand_over, point), "{:.2f}"))
    for index in range(table.sizes["distance"])[-2:]:
        cells.append(number_cell(_at(table.time_to_distance.isel(distance=index), point), "{:.3f}"))
    return cells


def sweep_sentences(advice: SettingAdvice, car: "Car") -> list[str]:
    """Say what to do, and how much it matters.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("advice", advice, SettingAdvice, "layshaft.best_setting")
    checked_car(car)
    if not advice.shifts:
        return _no_shift(advice, car)
    best, low, high = (_with_unit(advice.path, n) for n in (advice.best, advice.low, advice.high))
    over = f"over {advice.distance:.4g} m"
    name = "gap" if advice.path == _GAP else advice.path
    if advice.gain is None or not np.isfinite(advice.gain):
        what = (
            f"Best of those tried: {name} {best}, {advice.best_time:.3f} s {over}; "
            "the present setting was not among them, so it may be better."
        )
    elif advice.best == advice.present:
        what = f"Leave {name} at {best}: nothing in this sweep is quicker {over}."
    elif advice.present is not None and advice.gain <= advice.within:
        here = _with_unit(advice.path, advice.present)
        gain = f"only {advice.gain:.3f}" if advice.gain >= _LEAST_GAIN else f"under {_LEAST_GAIN}"
        what = f"Leave {name} at {here}: the best, {best}, gains {gain} s {over}."
    else:
        way = f"Set {name} to {best}"
        if advice.path == _GAP:
            way = f"Turn both screws {turns_text(screw_turns(car, advice.best))}, to {best}"
        what = f"{way}: {advice.gain:.3f} s quicker {over}."
    return [what, *_plateau(advice, low, high), *_caliper(advice)]


def _no_shift(advice: SettingAdvice, car: "Car") -> list[str]:
    """Say that no setting of the sweep shifts, why, and which is quickest where that differs."""
    cure = no_shift_cure(car, {advice.path: advice.best}, has_end=not advice.is_lap)
    where = "on this track" if advice.is_lap else f"over {advice.distance:.4g} m"
    lines = [f"No setting of this sweep shifts {where}: {cure}."]
    if not advice.path.startswith("two_speed."):  # which does nothing without a shift
        best = _with_unit(advice.path, advice.best)
        lines.append(f"The quickest without one is {advice.path} {best}, {advice.best_time:.3f} s.")
    return lines


def _plateau(advice: SettingAdvice, low: str, high: str) -> list[str]:
    ends = [end for end, is_end in ((low, advice.low_is_end), (high, advice.high_is_end)) if is_end]
    within = f"{advice.within:g} s"
    if len(ends) == 2 and low == high:
        return []  # a single setting was tried
    if low == high:
        further = f"; try beyond {low}" if ends else ""
        return [f"No other setting of this sweep is within {within} of the best{further}."]
    further = f", and try beyond {' and '.join(ends)}" if ends else ""
    return [f"{low} to {high} is within {within} of the best: choose by feel and heat{further}."]


def missed_distance(table: "xarray.Dataset") -> list[str]:
    """Say how many runs of a sweep ended before their distance, and how to let them run on."""
    times = table.time_to_distance.isel(distance=-1).transpose(*table.status.dims).values
    is_missed = (table.status.values == "finished") & ~np.isfinite(times)
    # A lap, which never goes back, has none.
    ends = np.full(times.shape, np.nan)
    if "end_distance" in table:
        ends = table.end_distance.transpose(*table.status.dims).values
    back, missed = (int(np.sum(is_missed & way)) for way in (ends < 0.0, ~(ends < 0.0)))
    lines = [f"{'1 run rolls' if back == 1 else f'{back} runs roll'} back."] if back else []
    if not missed:
        return lines
    distance = f"{float(table.distance.values[-1]):g} m"
    longest = float(np.nanmax(table.end_time.values))
    runs = "1 run does" if missed == 1 else f"{missed} runs do"
    return [*lines, f"{runs} not reach {distance} in {longest:g} s; {run_on(longest)}."]


def unequal_shoes(car: "Car") -> list[str]:
    """Say that a sweep of the gap sets two unequal shoes alike; empty for equal ones."""
    if present_setting(car, _GAP) is not None:
        return []
    one, two = (_setting(_GAP, car[f"two_speed.shoe_{number}.gap"]) for number in (1, 2))
    return [f"The shoes now differ, {one} and {two} mm; here both are set alike."]


def _caliper(advice: SettingAdvice) -> list[str]:
    if advice.path != _GAP or not np.isfinite(advice.shift_slope):
        return []
    change = abs(advice.shift_slope) * 0.05e-3 * KMH
    return [f"A caliper 0.05 mm out moves the shift by {change:.1f} km/h."]


def _shows_turns(table: "xarray.Dataset", car: "Car") -> bool:
    of_one_shoe = {field_table.column_of(path) for path in field_table.pairs()[_GAP]}
    if of_one_shoe & set(map(str, table.status.dims)):
        return False  # a turn for both screws would be false for one of them
    return _GAP_AXIS in table.status.dims and present_setting(car, _GAP) is not None


def _present_rows(table: "xarray.Dataset", car: "Car") -> list[int]:
    """Return the row of the car's own settings, if it is among those swept."""
    place = []
    for axis in table.status.dims:
        path = str(field_table.path_of(axis))
        stored = present_setting(car, path)
        if stored is None:
            return []
        own = field_table.as_stored(field_table.field_of(path), stored)
        place.append(np.flatnonzero(table[axis].values == own))
    if not all(map(len, place)):
        return []
    return [int(np.ravel_multi_index([found[0] for found in place], table.status.shape))]


def _at(values: "xarray.DataArray", point: dict[str, int]) -> float:
    return float(values.values.item(tuple(point[str(dim)] for dim in values.dims)))


def _setting(path: str, value: float) -> str:
    field = field_table.field_of(path)
    if field.kind == "count" or field.unit == "1":
        return f"{value:.6g}"
    number = units.from_si(float(value), field.unit, units.QUANTITIES[field.unit].unit)
    if field.unit != "m":
        return f"{number:.6g}"
    return f"{number:.2f}" if abs(number - round(number, 2)) < _NO_DIGIT else f"{number:.3f}"


def _with_unit(path: str, value: float) -> str:
    field = field_table.field_of(path)
    unit = "" if field.kind == "count" else units.QUANTITIES[field.unit].unit
    return f"{_setting(path, value)} {unit}".strip()
