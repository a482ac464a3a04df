"""One lap of a track, and all that it gave."""

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Unpack

import numpy as np

from layshaft import _core
from layshaft.quantities.html_table import html_table
from layshaft.quantities.pit_units import KMH
from layshaft.runs import result_file
from layshaft.runs.changes import Change, read_changes
from layshaft.runs.judder import judder_warnings
from layshaft.runs.lap_events import CornerPass, LapEvent, Moment
from layshaft.runs.lap_options import AnyTrack, LapKeywords, LapOptions, read_lap_options
from layshaft.runs.measures import refuse_measures
from layshaft.runs.run_warnings import PEAKS, energy_warnings, run_warnings
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import one_of

if TYPE_CHECKING:
    import xarray

_RPM = np.pi / 30.0
#: Of a `LapEvent`, beside that where it lies.
_MOMENTS = ("contact", "let_go", "lock", "low")


class LapError(RuntimeError):
    """A lap was not finished, or does not repeat; `run` holds all that was computed."""

    def __init__(self, run: "LapRun") -> None:
        super().__init__(run.message)
        self.run = run


@dataclass(frozen=True, slots=True, eq=False)
class LapRun:
    """All that one lap gave, in SI units with labels."""

    car: Car
    options: LapOptions
    message: str  #: what to try; empty for a lap that was finished and repeats
    time: float  #: of the lap [s]
    times: "xarray.DataArray"  #: from the line to each sector's end [s]
    speeds: "xarray.DataArray"  #: at each sector's end [m/s]
    scalars: "xarray.Dataset"
    changes: tuple[Change, ...]
    events: tuple[LapEvent, ...]  #: shifts, and what the clutch did
    corners: tuple[CornerPass, ...]
    engine_speeds: "xarray.DataArray"  #: time spent in classes of engine speed [s]
    samples: "xarray.Dataset"  #: over `distance`

    @property
    def shifts(self) -> tuple[LapEvent, ...]:
        """Changes of gear."""
        return tuple(event for event in self.events if event.kind.endswith("shift"))

    @property
    def sector_times(self) -> tuple[float, ...]:
        """Time of each sector [s]."""
        return tuple(float(t) for t in np.diff(self.times.values, prepend=0.0))

    @property
    def doubtful(self) -> bool:
        """Whether the lap hangs on a knife's edge: its times may be off by more than 0.5 ms.

        Or it hangs on which side of a jump the driver stays, at a corner where a twentieth of the
        grip or more is left: another tolerance may find the other side. `scalars.time_error` holds
        the estimated error from where the lap began [s], `scalars.edges` how often a part only just
        switched, or only just did not.

        Examples
        --------
        >>> import layshaft
        >>> run = layshaft.lap(layshaft.demo_car(), "fast")
        >>> run.doubtful, run.scalars.time_error.item() < 5e-4
        (False, True)
        """
        return bool(self.scalars["doubtful"])

    @property
    def energy(self) -> dict[str, float]:
        """Where the engine's work went [J], as `LaunchRun.energy`."""
        return {
            name: float(self.scalars[name])
            for name, unit, _ in _core.lap_scalars
            if unit == "J" and name != "shift_heat"
        }

    @property
    def heat(self) -> dict[str, float]:
        """Slip heat of one lap [J]: engine clutch, two-speed, brake, tyres."""
        tyres = ("rear_tyre_loss", "front_tyre_loss", "cornering_loss")
        energy = self.energy
        return {
            "clutch": energy["clutch_loss"],
            "two_speed": energy["shoe_loss"],
            "brake": energy["brake_loss"],
            "tyres": sum(energy[name] for name in tyres),
        }

    def warnings(self) -> tuple[tuple[str, str, str], ...]:
        """Return what this lap warns of, as `LaunchRun.warnings` does.

        Also of a corner that the driver found no way to take with all of the grip.
        """
        warned = run_warnings(self.car, *(float(self.scalars[name]) for name in PEAKS))
        own = _core.lap_warnings(
            float(self.scalars["peak_pitch"]), float(self.scalars["grip_left"])
        )
        rows = ((section, code, text) for section, code, text in own)
        new = tuple(row for row in rows if row not in warned)
        return warned + new + judder_warnings(self.changes) + energy_warnings(self.energy)

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the samples to a `.csv` or `.nc` file, over `lap_distance`."""
        result_file.write_table(self.samples.rename(distance="lap_distance"), path)

    def __repr__(self) -> str:
        name, shifts = self.options.track.name, len(self.shifts)
        return f"<LapRun {name}: {self.time:.3f} s, {shifts} shifts>"

    def _repr_html_(self) -> str:
        ends, speeds = self.times.distance.values, self.speeds.values
        rows = [
            (f"{end:.0f} m", f"{time:.3f} s", f"{speed * KMH:.1f} km/h")
            for end, time, speed in zip(ends, self.sector_times, speeds, strict=True)
        ]
        title = f"Lap of {self.options.track.name}: {self.message or f'{self.time:.3f} s'}"
        return html_table(title, ("sector ends at", "its time", "speed there"), rows)


def lap(
    car: Car,
    track: AnyTrack,
    *,
    on_failure: Literal["raise", "return"] = "raise",
    **options: Unpack[LapKeywords],
) -> LapRun:
    """Drive a lap: flying until it repeats, or from a standing start.

    The line is given and kept; corners take grip from what drives and brakes (a circle of grip),
    and the driver brakes so that no corner is entered too fast. All options may be numbers in SI
    units or text with a unit.

    Parameters
    ----------
    car
        The car.
    track
        From `layshaft.read_track`, a file, or the name of a demo track, `"club"` or `"fast"`.
    on_failure
        What to do with a lap that is not finished or does not repeat: raise `layshaft.LapError`, or
        return it.
    standing
        From rest on the line; `False` by default.
    settled
        Whether the temperatures of clutch and two-speed shall repeat too, as after many laps;
        `True` by default. Else those of the second lap from cold.
    sample_spacing
        Between samples along the lap [m]; 0.25 by default, 0 keeps none.
    corner_share, brake_share
        Shares of the grip with which the driver goes round corners and brakes [-]; 0.98, 0.88.
    release_time
        In which the driver lets the brake off towards a corner [s]; 0.2 by default.
    correction_time
        In which the driver takes out an error of the speed [s]; 0.08 by default.
    before_corner
        A shift so near to a corner counts as just before it [m]; 2 by default.
    least_power
        A corner exit with less of the engine's most power, and slower than at that, is weak [-];
        0.5 by default. It counts as bogged where the tyres would take more.
    longest_time, most_laps
        A lap is given up after this time [s]; 120, and after so many laps that do not repeat; 40.
        Where the driver has to find what to leave before corners, up to four times as many.
    tolerance, most_steps
        Of the integration; 1e-5 and 200 000 by default.

    Returns
    -------
    LapRun
        Lap and sector times [s], scalars, events, corners, and samples over the distance [m]; SI
        units.

    Raises
    ------
    LapError
        If the lap is not finished or does not repeat, and `on_failure` is `"raise"`.
    ValueError
        For an option out of bounds or in a wrong unit.

    Examples
    --------
    >>> import layshaft
    >>> run = layshaft.lap(layshaft.demo_car(), "club")
    >>> 15.0 < run.time < 25.0
    True
    >>> {event.kind for event in run.shifts} == {"upshift", "downshift"}
    True
    """
    one_of("on_failure", on_failure, ("raise", "return"))
    refuse_measures("a lap", options)
    run = run_lap(checked_car(car), read_lap_options(track, **options))
    if run.message and on_failure == "raise":
        raise LapError(run)
    return run


def run_lap(car: Car, options: LapOptions) -> LapRun:
    """Drive a lap with checked options; see `lap`."""
    import xarray

    from layshaft.runs.samples import read_lap_samples

    result = _core.lap(car._core, options.core())
    numbers = result.scalars
    attributes = result_file.attributes("lap", car, options)
    ends = options.distances
    reached = len(result.sector_times)

    def over_sectors(values: list[float], unit: str, meaning: str) -> xarray.DataArray:
        padded = [*values, *[np.nan] * (len(ends) - reached)]
        coordinate = {"distance": ("distance", list(ends), {"units": "m", "long_name": "Distance"})}
        labels = {"units": unit, "long_name": meaning}
        return xarray.DataArray(padded, coordinate, ["distance"], attrs=labels)

    classes = (np.arange(len(result.crank_times)) + 0.5) * 1000.0 * _RPM
    labels = {"units": "rad/s", "long_name": "Middle of the class of engine speeds"}
    return LapRun(
        car=car,
        options=options,
        message=result.message,
        time=numbers["lap_time"],
        times=over_sectors(result.sector_times, "s", "Time from the line"),
        speeds=over_sectors(result.sector_speeds, "m/s", "Car speed"),
        scalars=xarray.Dataset(
            {
                name: ((), numbers[name], {"units": unit, "long_name": meaning})
                for name, unit, meaning in _core.lap_scalars
            },
            attrs=attributes,
        ),
        changes=_changes(result, car),
        events=tuple(
            LapEvent(**event | {name: Moment(**event[name]) for name in _MOMENTS})
            for event in result.events
        ),
        corners=tuple(CornerPass(**each) for each in result.corners),
        engine_speeds=xarray.DataArray(
            result.crank_times,
            {"engine_speed": ("engine_speed", classes, labels)},
            ["engine_speed"],
            attrs={"units": "s", "long_name": "Time spent in the class"},
        ),
        samples=read_lap_samples(result, car["air.temperature"]).assign_attrs(attributes),
    )


def _changes(result: _core.LapResult, car: Car) -> tuple[Change, ...]:
    """Leave out the ends of pieces of track, which are no changes of the car."""
    own = [change for change in result.changes if change["part"] not in ("piece", "foot")]
    return read_changes(own, one_way=car["front_axle"] == "one_way")
