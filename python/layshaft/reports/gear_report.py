"""What the command line prints of gears and tyres."""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from layshaft.advice.no_shift import no_shift_cure
from layshaft.mounting.axle_lead import TyrePair
from layshaft.quantities import units
from layshaft.quantities.pit_units import KMH
from layshaft.reports.pit_table import PitTable
from layshaft.setup.handed_over import checked, checked_list, checked_table
from layshaft.sweeps.track_gears import PLATEAU

if TYPE_CHECKING:
    import xarray

    from layshaft.setup.car import Car

_MOST_ROWS = 12
_TEETH = ("first_spur", "first_pinion", "second_spur", "second_pinion")


def mesh_rows(chart: "xarray.Dataset", present: tuple[int, ...] = ()) -> PitTable:
    """Return the gear chart, one line a set.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked_table("chart", chart, (*_TEETH, "engine_speed"), "layshaft.mesh")
    own = tuple(checked_list("present", present, "teeth"))
    rows = PitTable("first", "second")
    headings = ("ratio\n1st", 3), ("ratio\n2nd", 3), ("step", 2), ("peak\nrpm", 5), ("drop\nrpm", 1)
    for heading, rank in (*headings, ("mm/turn\n1st", 4), ("mm/turn\n2nd", 4)):
        rows.add_column(heading, rank=rank)
    speeds = units.from_si(chart.engine_speed.values, "rad/s", "krpm")
    rows.add_column(f"km/h 2nd\nat {speeds[-1]:.3g} krpm")
    rows.add_column("")
    for i in range(chart.sizes["set"]):
        each = chart.isel(set=i)
        teeth = tuple(int(each[name]) for name in _TEETH)
        note = "now" if teeth == own else ""
        rows.add_row(
            f"{teeth[1]}/{teeth[0]}",
            f"{teeth[3]}/{teeth[2]}",
            f"{float(each.first_ratio):.3f}",
            f"{float(each.second_ratio):.3f}",
            f"{float(each.step):.2f}",
            _rpm(each.engine_speed_before),
            _rpm(each.engine_speed_drop),
            f"{float(each.first_rollout) * 1e3:.1f}",
            f"{float(each.second_rollout) * 1e3:.1f}",
            f"{float(each.second_speed[-1]) * KMH:.0f}",
            note,
            bold=bool(note),
        )
    rows.caption = (
        "first, second: teeth of pinion/spur; peak, drop: engine at the shift of a launch"
    )
    return rows


def _rpm(speed: "xarray.DataArray") -> str:
    rpm = units.from_si(float(speed), "rad/s", "rpm")
    return f"{round(rpm, -2):,.0f}" if math.isfinite(rpm) else "-"


def tyre_sentences(pairs: "list[TyrePair]") -> list[str]:
    """Say which axle pulls the other, for each pair of tyres and belts.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    return [
        f"Tyres {pair.rear_diameter * 1e3:.1f} mm rear, {pair.front_diameter * 1e3:.1f} mm front,"
        f" belts {pair.rear_ratio:.3f} and {pair.front_ratio:.3f}: {pair.text};"
        f" {pair.force:.1f} N circulate and take {pair.loss_per_metre:.2f} J/m."
        for pair in map(_pair, checked_list("pairs", pairs, "pairs of tyres")[:_MOST_ROWS])
    ]


def no_shift_sentences(table: "xarray.Dataset", car: "Car", best: Mapping[str, float]) -> list[str]:
    """Say that no lap of a map shifts, why, and what to do; nothing where one does."""
    if np.isfinite(table.shift_speed.values).any():
        return []
    return [f"No gap and gears of those tried shift: {no_shift_cure(car, best, has_end=False)}."]


def _pair(given: object) -> TyrePair:
    return checked("pairs", given, TyrePair, "layshaft.tyre_pairs")


def plateau_sentences(table: "xarray.Dataset", best: Mapping[str, Any]) -> list[str]:
    """Say how wide the best of a map of gap and gears is: between which gaps it may stand."""
    gaps = table.gap.values
    low, high = (float(best[name]) for name in ("gap_low", "gap_high"))
    ends = [f"{end * 1e3:.2f}" for end in (low, high) if end in (gaps[0], gaps[-1])]
    if len(gaps) == 1:
        return []
    if low == high:
        further = f"; it may go on beyond {ends[0]} mm" if ends else ""
        return [f"With these gears any other of the gaps loses {PLATEAU} s or more{further}."]
    further = f"; it may go on beyond {' and '.join(ends)} mm" if ends else ""
    between = f"{low * 1e3:.2f} to {high * 1e3:.2f} mm"
    return [f"Gaps from {between} lose under {PLATEAU} s with these gears{further}."]
