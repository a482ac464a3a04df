"""Lap time over gap and gearing: which of both wins on a track, and how wide the plateau is."""

import json
import warnings
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Unpack

import numpy as np

from layshaft import _core
from layshaft.mounting.gaps import usual_gaps
from layshaft.mounting.gear_sets import meshing_sets
from layshaft.quantities import units
from layshaft.quantities.units import Given
from layshaft.runs import result_file
from layshaft.runs.failed_runs import Reasons
from layshaft.runs.lap_options import AnyTrack, LapKeywords, LapOptions, read_lap_options
from layshaft.runs.point_runs import PointRuns, run_points
from layshaft.runs.setting_scatter import USUAL_SCATTER, expected_along
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked_list, checked_map, checked_table
from layshaft.setup.parts_at_hand import Parts
from layshaft.setup.settings import as_written
from layshaft.sweeps.swept_values import axis_values

if TYPE_CHECKING:
    import xarray

#: Kind of the result, and the variable in it with the settings of each set of gears.
GEAR_MAP, GEAR_CHANGES = "gear map", "gear_changes"
_GAP = "two_speed.gap"
_TEETH = ("first.spur", "first.pinion", "second.spur", "second.pinion")
#: Time loss that counts as none [s]: more than a driver can tell, less than a line can win.
PLATEAU = 0.05
#: Taken from the scalars of a lap.
_KEPT = (
    "lap_time",
    "shift_speed",
    "upshifts",
    "shifts_in_corners",
    "shifts_before_corners",
    "bogged_exits",
    "peak_engine_speed",
    "peak_shoe_temperature",
    "shoe_loss",
    "fuel",
)


def gear_map(
    car: Car,
    track: AnyTrack,
    *,
    gears: Parts | Sequence[Mapping[str, object]] | None = None,
    gaps: Iterable[object] | None = None,
    **options: Unpack[LapKeywords],
) -> "xarray.Dataset":
    """Drive a lap with every gap and every set of gears.

    Parameters
    ----------
    car
        The car to change.
    track
        As for `layshaft.lap`.
    gears
        Parts at hand, of which all sets that mesh are tried; or the sets themselves, as changes of
        the car. By default both pinions larger or smaller by as many teeth as both spurs are
        smaller or larger, up to three either way: the centre distance stays.
    gaps
        Caliper readings; by default 0.8 mm to either side of the present one.
    options
        As for `layshaft.lap`.

    Returns
    -------
    xarray.Dataset
        Over `gears` (text such as `17/50 22/45`) and `gap`: `lap_time` [s] and other scalars of a
        lap, `top_ratio`, engine turns for a turn of the rear wheels in second gear, and
        `gear_changes`, the settings of each set.

    Raises
    ------
    ValueError
        For gears that do not go together or no gears at all, and where no lap is driven.

    Warns
    -----
    UserWarning
        For laps that were not driven, with the reasons.

    Examples
    --------
    >>> import layshaft
    >>> sets = [{"first.pinion": 17}, {"first.pinion": 18, "first.spur": 49}]
    >>> table = gear_map(layshaft.demo_car(), "club", gears=sets, gaps=["4.6 mm", "5 mm"])
    >>> table.lap_time.shape
    (2, 2)
    """
    read = read_lap_options(track, **{"sample_spacing": 0.0} | options)
    sets = _sets(checked_car(car), gears)
    tried = usual_gaps(car) if gaps is None else checked_list("gaps", gaps, "lengths")
    values = axis_values(_GAP, tried)
    return run_gear_map(car, sets, values, read)


def run_gear_map(
    car: Car, sets: list[dict[str, float]], values: list[float], read: LapOptions
) -> "xarray.Dataset":
    """Drive a lap with every gap and every set, all stored numbers; see `gear_map`."""
    import xarray

    points = [each | {_GAP: gap} for each in sets for gap in values]
    runs = run_points(car, points, read)
    _check_driven(runs)
    shape = (len(sets), len(values))
    meaning = {name: (unit, what) for name, unit, what in read.scalars}
    variables: dict[str, tuple] = {
        name: (
            ("gears", "gap"),
            runs[name].reshape(shape),
            {"units": meaning[name][0], "long_name": meaning[name][1]},
        )
        for name in (*_KEPT, *(measure.name for measure in read.measures))
    }
    variables["status"] = (("gears", "gap"), np.array(runs.status, dtype=object).reshape(shape))
    ratios = [_top_ratio(car, each) for each in sets]
    labels = {"units": "1", "long_name": "Engine turns for a turn of the rear wheels, second gear"}
    variables["top_ratio"] = ("gears", ratios, labels)
    changes = np.array([json.dumps(as_written(each)) for each in sets], dtype=object)
    what = {"long_name": "Settings of the car that these gears are, as JSON"}
    variables[GEAR_CHANGES] = ("gears", changes, what)
    gap_labels = {"units": "m", "long_name": "Gap read on the caliper, both shoes"}
    teeth_labels = {"long_name": "Pinion/spur of first and second gear"}
    table = xarray.Dataset(
        variables,
        {
            "gears": ("gears", [gear_text(car, each) for each in sets], teeth_labels),
            "gap": ("gap", values, gap_labels),
        },
        result_file.attributes(GEAR_MAP, car, read),
    )
    # Sets of one ratio stay in their order, so that a map computed again is the same.
    return table.isel(gears=sorted(range(len(sets)), key=lambda row: -ratios[row]))


def _check_driven(runs: PointRuns) -> None:
    """Raise if no lap was driven; warn of those that were not, with the reasons."""
    failed = int(np.sum(~np.isfinite(runs.time)))
    reasons = Reasons(runs.messages)
    if failed == len(runs.status):
        raise ValueError(f"no lap with any of these gears and gaps: {reasons.describe()}")
    if failed:
        sentence = f"{failed} of {len(runs.status)} laps failed: {reasons.describe()}"
        warnings.warn(sentence, stacklevel=4)


def gear_text(car: Car, changes: Mapping[str, float]) -> str:
    """Say the teeth of both gears.

    Examples
    --------
    >>> import layshaft
    >>> gear_text(layshaft.demo_car(), {"first.pinion": 16})
    '16/50 22/45'
    """
    teeth = [int(changes.get(path, car[path])) for path in _TEETH]
    return f"{teeth[1]}/{teeth[0]} {teeth[3]}/{teeth[2]}"


def best_gears(
    table: "xarray.Dataset", within: Given = PLATEAU, *, scatter: Given = USUAL_SCATTER
) -> dict[str, Any]:
    """Return the best gap and gears of a map, and the plateau around them.

    Judged by the mean over a gap that is a little out (see `expected_times`), so that no lap that
    one reading alone gives is chosen.

    Parameters
    ----------
    table
        From `gear_map`.
    within
        Time loss that counts as none [s].
    scatter
        Standard deviation of the gap by caliper, friction and driver [m].

    Returns
    -------
    dict
        `gears`, `gap` [m], `lap_time` [s], the mean; `gap_low` and `gap_high` [m], the ends of the
        plateau with these gears; `gears_alike`, all gears with a gap as quick as that.
    """
    loss = units.read_loss("within", within, "s")
    times = expected_times(table, units.read_loss("scatter", scatter, "m"))
    row, column = best_place(times)
    alike = times <= times[row, column] + loss
    low = high = int(column)
    while low > 0 and alike[row, low - 1]:
        low -= 1
    while high < times.shape[1] - 1 and alike[row, high + 1]:
        high += 1
    gaps = table.gap.values
    return {
        "gears": str(table.gears.values[row]),
        "gap": float(gaps[column]),
        "lap_time": float(times[row, column]),
        "gap_low": float(gaps[low]),
        "gap_high": float(gaps[high]),
        "gears_alike": [str(name) for name in table.gears.values[alike.any(axis=1)]],
    }


def settings_of(table: "xarray.Dataset", best: Mapping[str, Any]) -> dict[str, float]:
    """Return what `best_gears` found in a map as stored numbers by path."""
    changes = json.loads(str(table[GEAR_CHANGES].sel(gears=best["gears"]).item()))
    return {path: axis_values(path, [value])[0] for path, value in changes.items()} | {
        _GAP: best["gap"]
    }


def expected_times(table: "xarray.Dataset", scatter: float = USUAL_SCATTER) -> np.ndarray:
    """Return the lap times of a map in the mean over a gap that is a little out [s].

    No map tells more than its step: gaps further apart than the scatter are smoothed over half a
    step, with straight lines between them.
    """
    checked_table("table", table, ("lap_time", "gears", "gap"), "layshaft.gear_map")
    gaps = table.gap.values
    order = np.argsort(gaps)
    if len(gaps) == 1:
        return table.lap_time.values
    step = float(np.max(np.diff(gaps[order])))
    times = np.empty(table.lap_time.shape)
    smooth = expected_along(gaps[order], table.lap_time.values[:, order], max(scatter, 0.5 * step))
    times[:, order] = smooth
    # Beside a lap that failed there is no mean.
    return times if np.isfinite(times).any() else table.lap_time.values


def best_place(times: np.ndarray) -> tuple[int, int]:
    """Return row and column of the least time."""
    row, column = np.unravel_index(np.nanargmin(times), times.shape)
    return int(row), int(column)


def _sets(car: Car, gears: Parts | Sequence[Mapping[str, object]] | None) -> list[dict[str, float]]:
    if isinstance(gears, Parts):
        sets = meshing_sets(car, gears)
    elif gears is not None:
        what = "sets, or parts at hand"
        each_set = [checked_map("gears", each) for each in checked_list("gears", gears, what)]
        sets = [
            {path: axis_values(path, [value])[0] for path, value in each.items()}
            for each in each_set
        ]
    else:
        teeth = {path: car[path] for path in _TEETH}
        sets = [
            {
                path: float(count + (step if path.endswith("pinion") else -step))
                for path, count in teeth.items()
            }
            for step in range(-3, 4)
        ]
    if not sets:
        raise ValueError("gears: there are none to choose from")
    return sets


def _top_ratio(car: Car, changes: Mapping[str, float]) -> float:
    changed = car._core.replace(list(changes.items()))
    return _core.gear_ratios(changed)[1] * _core.rear_axle(changed).ratio
