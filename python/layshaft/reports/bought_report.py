"""One table of what a setting buys: time, shift, revs, upset, fuel and heat side by side."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.quantities import units
from layshaft.quantities.pit_units import KMH
from layshaft.reports.pit_table import PitTable, number_cell
from layshaft.reports.wording import short_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from layshaft.advice.what_it_buys import Bought

_SAME_SHIFT = 0.14  # half a kilometre an hour, printed alike [m/s]
_MOSTLY = 0.3  # share of the time in which tyres must limit to be named
_COLUMNS = (
    ("time\ns", 0),
    ("up-\nshifts", 5),
    ("shift\nkm/h", 1),
    ("shift\nat m", 8),
    ("drop\nrpm", 4),
    ("peak\nrpm", 2),
    ("over\nrpm", 6),
    ("upset\ng", 3),
    ("fuel\ng/min", 7),
    ("shoe\nheat J", 5),
    ("clutch\nheat J", 6),
)


def bought_rows(
    bought: "Bought", labels: "Sequence[str]", heading: str, best: int | None = None
) -> PitTable:
    """Return a line for each setting, the best of them bold.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    rows = PitTable(heading)
    for name, rank in _COLUMNS:
        rows.add_column(name, rank=rank)
    for row, label in enumerate(labels):
        cells = (
            number_cell(bought.time[row], "{:.3f}"),
            number_cell(bought.upshifts[row], "{:.0f}"),
            number_cell(bought.shift_speed[row] * KMH, "{:.0f}"),
            number_cell(bought.shift_distance[row], "{:.0f}"),
            _rpm(bought.drop[row]),
            _rpm(bought.engine_peak[row]),
            _rpm(bought.over_rev[row]) if bought.over_rev[row] > 0.0 else "-",
            number_cell(bought.upset[row], "{:.2f}"),
            number_cell(bought.fuel_rate[row] * 6e4, "{:.1f}"),
            number_cell(bought.shoe_heat[row], "{:.0f}"),
            number_cell(bought.clutch_heat[row], "{:.0f}"),
        )
        rows.add_row(label, *cells, bold=row == best)
    rows.caption = (
        "drop: of the engine over the shift; over: rpm above its limit\n"
        "upset: the most that the drive force changes in 30 ms of a pull through the shift"
    )
    return rows


def no_matter_sentences(bought: "Bought", path: str, within: float, tyres: float) -> list[str]:
    """Say so where no setting of those tried matters, and why.

    Parameters
    ----------
    bought
        What they give.
    path
        Of the field that was varied.
    within
        Time loss that counts as none [s].
    tyres
        Share of the time in which the tyres limit; see `tyre_share`.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop; none where one matters.
    """
    known = bought.time[np.isfinite(bought.time)]
    shifts = np.isfinite(bought.shift_speed).any()  # without one the settings of it do nothing
    if len(known) < 2 or np.ptp(known) > within or not shifts:
        return []
    name = short_name(path)
    why = f"the tyres limit for {tyres:.0%} of the time on the throttle, not the {name}"
    speeds = bought.shift_speed[np.isfinite(bought.shift_speed)]
    if np.ptp(speeds) < _SAME_SHIFT:
        why = "it moves no shift, and what else it does takes no time here"
    elif tyres < _MOSTLY:
        why = "the engine pulls alike over the speeds that it moves the shift by"
    return [
        f"Which {name} of those tried hardly matters for the time, {np.ptp(known):.3f} s between"
        f" best and worst: {why}. Choose by upset, revs and heat."
    ]


def _rpm(speed: float) -> str:
    rpm = units.from_si(float(speed), "rad/s", "rpm")
    return f"{round(rpm, -2):,.0f}" if np.isfinite(rpm) else "-"
