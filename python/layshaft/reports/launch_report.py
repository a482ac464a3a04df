"""What the command line prints: few lines, big differences first."""

import math
from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.quantities import units
from layshaft.quantities.pit_units import KMH
from layshaft.reports.pit_table import PitTable, number_cell
from layshaft.runs.changes import main_changes
from layshaft.runs.failed_runs import out_of_time
from layshaft.runs.launch_run import AT_DISTANCE, LaunchRun
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from layshaft.runs.lap_run import LapRun

CAUTION = (
    "Estimates: as good as the set-up, above all shoe spring, friction and grip. Check on track.",
    "Fast turning parts, a hot engine, poisonous fuel that burns unseen, a fast car: stand clear,"
    " and heed makers, marshals and local rules.",
)


def run_on(longest: float) -> str:
    """Say how to let a run go on that was cut short."""
    return f"--longest-time {2.0 * longest:g}s lets a run go on"


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
        text = f"{out_of_time(run.options)}; {run_on(longest)}. So far {text}"
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
    if not edges and error <= _core.sure_time:
        why = "at a corner the grip used jumps, and on which side the driver stays hangs on little"
    elif edges:
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
        cells = number_cell(float(time), "{:.3f}"), number_cell(float(speed) * KMH, "{:.0f}")
        rows.add_row(f"{float(distance):g}", *cells)
    return rows
