"""What the command line prints: few lines, big differences first."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from layshaft.advice.no_shift import no_shift_cure
from layshaft.advice.setting_advice import SettingAdvice, present_setting, screw_turns
from layshaft.mounting.setting_moves import turns_text
from layshaft.quantities import pit_units, units
from layshaft.quantities.pit_units import KMH
from layshaft.reports.pit_table import PitTable
from layshaft.runs.changes import main_changes
from layshaft.runs.failed_runs import out_of_time
from layshaft.runs.launch_run import AT_DISTANCE, LaunchRun
from layshaft.setup import field_table
from layshaft.setup.car import checked_car
from layshaft.setup.handed_over import checked, checked_table

if TYPE_CHECKING:
    import xarray

    from layshaft.runs.lap_run import LapRun
    from layshaft.setup.car import Car

CAUTION = (
    "Estimates: as good as the set-up, above all shoe spring, friction and grip. Check on track.",
    "Fast turning parts, a hot engine, poisonous fuel that burns unseen, a fast car: stand clear,"
    " and heed makers, marshals and local rules.",
)
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
    cells.append(_number(_at(table.shift_speed, point) * KMH, "{:.1f}"))
    for name in ("engine_speed_before", "engine_speed_after"):
        speed = units.from_si(_at(table[name], point), "rad/s", "rpm")
        cells.append(_number(round(speed, -2) if np.isfinite(speed) else speed, "{:,.0f}"))
    cells.append(_number(_at(table.hand_over, point), "{:.2f}"))
    for index in range(table.sizes["distance"])[-2:]:
        cells.append(_number(_at(table.time_to_distance.isel(distance=index), point), "{:.3f}"))
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
    return [*lines, f"{runs} not reach {distance} in {longest:g} s; {_run_on(longest)}."]


def _run_on(longest: float) -> str:
    return f"--longest-time {2.0 * longest:g}s lets a run go on"


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


def _shift_text(run: "LaunchRun") -> str:
    """Say a shift as it is heard, and between which speeds the shoes work."""
    touch, shift, lock = (_scalar(run, f"{name}_speed") * KMH for name in _SPEEDS_OF_A_SHIFT)
    text = f"shift at {shift:.0f} km/h"
    peak, low = (
        units.from_si(_scalar(run, f"engine_speed_{name}"), "rad/s", "rpm")
        for name in ("before", "after")
    )
    if np.isfinite(low):
        text += f", engine from {round(peak, -2):,.0f} to {round(low, -2):,.0f} rpm"
    hand_over = _scalar(run, "hand_over")
    return text + f"; shoes touch at {touch:.0f}, lock at {lock:.0f} km/h, {hand_over:.2f} s later."


def _scalar(run: "LaunchRun", name: str) -> float:
    return float(run.plain.scalars[name][1])


_SPEEDS_OF_A_SHIFT = ("contact", "shift", "lock")
#: Modes of a coupling without slip, either way of its torque.
_HOLDS = (1, 2)


def run_summary(run: "LaunchRun") -> str:
    """Say a run in one sentence.

    Returns
    -------
    str
        A sentence, numbers in the units of the workshop.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    distance, time, speed = (_scalar(run, f"end_{name}") for name in ("distance", "time", "speed"))
    text = f"{distance:.4g} m in {time:.3f} s, {speed * KMH:.0f} km/h at the end; "
    if run.end == "longest_time" and distance < 0.0:
        text = f"The car rolls back, {-distance:.4g} m in {time:.3f} s: it does not climb this; "
    elif run.end == "longest_time":
        longest = run.options.longest_time
        text = f"{out_of_time(run.options)}; {_run_on(longest)}. So far {text}"
    if np.isfinite(_scalar(run, "hand_over")):
        return text + _shift_text(run)
    if run.message:
        return text.removesuffix("; ") + "."
    if run.plain.samples["second_mode"][1][0] in _HOLDS:
        between = ", though not all the way" if _scalar(run, "upshifts") else ""
        return text + f"in second gear from the start{between}."
    return text + "second gear never locked."


def doubts(run: "LaunchRun | LapRun") -> list[str]:
    """Say that a run hangs on a knife's edge; nothing for one that does not."""
    if not run.doubtful:
        return []
    error, edges = (float(run.scalars[name]) for name in ("time_error", "edges"))
    if edges:
        why = "a part only just switched, or only just did not"
    elif math.isfinite(error) and error < 1.0:
        why = f"the times may be off by {1000.0 * error:.2g} ms"
    else:
        why = "the times may be off by seconds"
    return [f"On a knife's edge: {why}. A small change of the set-up may change much here."]


def story_rows(run: "LaunchRun") -> PitTable:
    """Return what happened in a run, in words, with the speeds at that time.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    rows = PitTable("time\ns")
    rows.add_column("car\nkm/h", rank=1)
    rows.add_column("engine\nrpm", rank=2)
    rows.add_column("", is_text=True)
    samples = run.plain.samples
    _, times, _ = samples["time"]
    for change in main_changes(run.changes):
        car, engine = (
            float(np.interp(change.time, times, samples[name][1]))
            for name in ("car_speed", "crank_speed")
        )
        rpm = round(units.from_si(engine, "rad/s", "rpm"), -2)
        rows.add_row(f"{change.time:.3f}", f"{car * KMH:.0f}", f"{rpm:,.0f}", change.text)
    return rows


def distance_rows(run: "LaunchRun") -> PitTable:
    """Return times and speeds at distances.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    rows = PitTable("distance\nm", "time\ns", "speed\nkm/h")
    marks = (run.plain.marks[name][1] for name in AT_DISTANCE)
    for distance, time, speed in zip(*marks, strict=True):
        cells = _number(float(time), "{:.3f}"), _number(float(speed) * KMH, "{:.0f}")
        rows.add_row(f"{float(distance):g}", *cells)
    return rows


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


def _number(value: float, form: str) -> str:
    return form.format(value) if np.isfinite(value) else "-"
