"""The list of a lap timer."""

from collections.abc import Mapping, Sequence
from typing import Unpack

import numpy as np

from layshaft.fitting.observations import Observation, observe
from layshaft.quantities import units
from layshaft.quantities.possible import check_possible
from layshaft.quantities.units import Given
from layshaft.runs.lap_options import AnyTrack, LapKeywords
from layshaft.runs.measures import refuse_measures
from layshaft.setup.csv_text import AnyTable, read_text_table
from layshaft.setup.setup_file import Fault, SetupError

_LAP_TIME = "lap_time_s"


def lap_times(
    times: Sequence[Given],
    *,
    track: AnyTrack,
    error: Given = "0.05 s",
    changes: Mapping[str, object] | None = None,
    **options: Unpack[LapKeywords],
) -> Observation:
    """Make one observation of the list of a lap timer, for `layshaft.learn`.

    The middle of the list counts, so that a lap with a mistake or a pass spoils nothing. Its error
    is that of the middle of so many laps, and `error` for what all laps share.

    Parameters
    ----------
    times
        Of flying laps [s].
    track, options
        As for `layshaft.lap`.
    error
        What all laps have in common and no lap can: line, day, driver [s].
    changes
        Settings that differed from the car's at that time, as for `Car.replace`.

    Returns
    -------
    Observation
        Their median [s], and how far it may be out [s].

    Examples
    --------
    >>> seen = lap_times([21.7, 21.9, 21.6, 25.0, 21.8], track="club")
    >>> seen.value
    21.8
    """
    refuse_measures("a lap timer's list", options)
    numbers = units.read_list("times", times, "s")
    if not numbers or not np.isfinite(numbers).all() or min(numbers) <= 0.0:
        raise ValueError("times: a lap timer's list needs at least one time, all of them above 0 s")
    shared = units.read("error", error, "s")
    # Of normally scattered laps: from the middle half, which mistakes do not reach.
    low, high = np.percentile(numbers, [25.0, 75.0])
    own = 1.2533 * (high - low) / 1.349 / np.sqrt(len(numbers))
    return observe(
        "time",
        float(np.median(numbers)),
        error=float(np.hypot(own, shared)),
        changes=changes,
        track=track,
        **options,
    )


def read_lap_times(
    given: AnyTable, *, track: AnyTrack, **options: Unpack[LapKeywords]
) -> Observation:
    r"""Read the list of a lap timer: a CSV file, or a DataFrame, with a column `lap_time_s`.

    See `lap_times`.

    Returns
    -------
    Observation
        Their median [s], and how far it may be out [s].

    Raises
    ------
    SetupError
        Naming the file and the line.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "timer.csv")
    ...     _ = file.write_text("lap,lap_time_s\n1,21.7\n2,21.9\n3,21.8\n")
    ...     read_lap_times(file, track="club").value
    21.8
    """
    table = read_text_table(given)
    if _LAP_TIME not in table.heads:
        raise SetupError([Fault(table.file, table.line, "", f"must name the column {_LAP_TIME}")])
    at = table.heads.index(_LAP_TIME)
    times = []
    for row in table.rows:
        try:
            times.append(
                check_possible("lap time", table.number(row.cells[at]), "s", row.cells[at])
            )
        except ValueError as fault:
            table.note(row, str(fault))
    table.stop_if_faulty()
    try:
        return lap_times(times, track=track, **options)
    except ValueError as fault:
        raise SetupError([Fault(table.file, None, "", str(fault))]) from None
