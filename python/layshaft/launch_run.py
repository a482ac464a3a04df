"""One run of the car, and all that it gave."""

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Unpack

from layshaft import _core, files
from layshaft.car import Car
from layshaft.changes import Change, read_changes
from layshaft.run_options import Options, RunOptions, read_options
from layshaft.samples import read_samples

if TYPE_CHECKING:
    import xarray


class RunError(RuntimeError):
    """A run stopped early; `run` holds all that was computed until then."""

    def __init__(self, run: "LaunchRun") -> None:
        super().__init__(run.message)
        self.run = run


@dataclass(frozen=True, slots=True, eq=False)
class LaunchRun:
    """All that one run gave, in SI units with labels."""

    car: Car
    options: RunOptions
    status: str  #: `finished`, or why the run stopped early
    message: str  #: what to try; empty for a finished run
    end: str  #: `distance`, `longest_time` or `early`
    changes: tuple[Change, ...]
    times: "xarray.DataArray"  #: time at each distance [s]; not a number where not reached
    speeds: "xarray.DataArray"  #: speed at each distance [m/s]
    speed_times: "xarray.DataArray"  #: time at each speed asked for [s]
    scalars: "xarray.Dataset"  #: shift, peaks and the like: `run.scalars.shift_speed`
    samples: "xarray.Dataset"  #: over `time`

    @property
    def energy(self) -> dict[str, float]:
        """Where the engine's work went [J].

        `engine_work` is the sum of all others: `car_energy` and `rotating_energy` gained, each
        loss, what the tyres hold, the work against the grade, and the residual of the numerics.
        """
        return {
            name: float(self.scalars[name])
            for name, unit, _ in _core.scalars
            if unit == "J" and name != "shift_heat"
        }

    def to_dataset(self) -> "xarray.Dataset":
        """Return everything as one dataset, as `save` writes it to netCDF."""
        import xarray

        changes = {
            f"change_{name}": ("change", [str(getattr(change, name)) for change in self.changes])
            for name in ("text", "part", "was", "now", "cause")
        }
        times = [change.time for change in self.changes]
        changes["change_time"] = (
            "change",
            times,
            {"units": "s", "long_name": "Time of the change"},
        )
        parts = [self.samples, self.scalars.rename(_apart(self.scalars, self.samples))]
        marks = {"time_to_distance": self.times, "speed_at_distance": self.speeds}
        if self.speed_times.size:
            marks["time_to_speed"] = self.speed_times
        merged = xarray.merge([*parts, xarray.Dataset(marks), xarray.Dataset(changes)])
        return merged.assign_attrs(self.samples.attrs)

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the run to a file, by its ending: `.nc` holds all, `.csv` the samples.

        The file is written aside and moved into place: nothing is ever half written. From a `.nc`
        file `layshaft.rerun` makes the same run again.
        """
        is_table = os.fspath(path).endswith(".csv")
        files.save(self.samples if is_table else self.to_dataset(), path)

    def __repr__(self) -> str:
        marks = ", ".join(
            f"{float(distance):g} m in {float(time):.3f} s"
            for distance, time in zip(self.times.distance, self.times, strict=True)
        )
        changes, samples = len(self.changes), self.samples.sizes["time"]
        return f"<LaunchRun {self.status}: {marks}; {changes} changes, {samples} samples>"


def launch(
    car: Car, *, on_failure: Literal["raise", "return"] = "raise", **options: Unpack[Options]
) -> LaunchRun:
    """Run the car once, from rest or rolling, to a distance.

    All options may be numbers in SI units or text with a unit.

    Parameters
    ----------
    car
        The car.
    on_failure
        What to do with a run that stops early: raise `layshaft.RunError`, or return what it has.
    distance
        Where the run ends [m], > 0; 60 by default.
    longest_time
        It ends here at the latest [s], > 0; 20 by default.
    start_speed
        Speed of the car at the start [m/s], >= 0; 0 by default. A corner exit has more.
    grade
        Rise over run of the road [-], -1 to 1; 0 by default.
    sample_interval
        Between samples [s]; 0.002 by default, 0 keeps none.
    distances
        Where times and speeds are taken [m], > 0; by default 5, 10, 20, 30 and 60 as far as the
        run goes, and its end.
    speeds
        Speeds at which times are taken [m/s], > 0; none by default.
    pedals
        Up to 16 rows (time [s], throttle 0..1, brake 0..1), straight lines between them; by default
        the car's own driver opens the throttle.
    tolerance
        Of an integration step, relative [-]; 1e-6 by default.
    most_steps
        Steps after which the run is given up; 200 000 by default.

    Raises
    ------
    RunError
        If the run stops early and `on_failure` is `"raise"`.
    ValueError
        For an option out of bounds or in a wrong unit.

    Examples
    --------
    >>> import layshaft
    >>> run = layshaft.launch(layshaft.demo_car(), distance="30 m")
    >>> run.times.sel(distance=30.0).item() < 4.0
    True
    >>> [change.text for change in run.changes if change.part == "first"]
    ['first gear lets go']
    """
    if on_failure not in ("raise", "return"):
        raise ValueError(f'on_failure = {on_failure!r} must be "raise" or "return"')
    return run_launch(car, read_options(**options), on_failure)


def run_launch(car: Car, options: RunOptions, on_failure: str) -> LaunchRun:
    """Run the car once with checked options; see `launch`."""
    import xarray

    result = _core.launch(car._core, options.core())
    attributes = files.attributes("launch", car, options)
    scalars = xarray.Dataset(
        {
            name: ((), result.scalars[name], {"units": unit, "long_name": meaning})
            for name, unit, meaning in _core.scalars
        },
        attrs=attributes,
    )
    marks = mark_coordinates(options)
    time, speed = ({"units": unit} for unit in ("s", "m/s"))

    def over(mark: str, values: list[float], meaning: str, unit: dict) -> xarray.DataArray:
        labels = unit | {"long_name": meaning}
        return xarray.DataArray(values, {mark: marks[mark]}, [mark], attrs=labels)

    run = LaunchRun(
        car=car,
        options=options,
        status=result.status,
        message=result.message,
        end=result.end,
        changes=read_changes(result.changes, one_way=car["front_axle"] == "one_way"),
        times=over("distance", result.distance_times, "Time to the distance", time),
        speeds=over("distance", result.distance_speeds, "Speed at the distance", speed),
        speed_times=over("speed", result.speed_times, "Time to the speed", time),
        scalars=scalars,
        samples=read_samples(result, car["air.temperature"]).assign_attrs(attributes),
    )
    if run.end == "early" and on_failure == "raise":
        raise RunError(run)
    return run


def mark_coordinates(options: RunOptions) -> dict[str, tuple]:
    """Return the coordinates `distance` and `speed` of the marks of a run."""
    return {
        "distance": (
            "distance",
            list(options.distances),
            {"units": "m", "long_name": "Distance from the start"},
        ),
        "speed": ("speed", list(options.speeds), {"units": "m/s", "long_name": "Speed"}),
    }


def _apart(scalars: "xarray.Dataset", samples: "xarray.Dataset") -> dict[str, str]:
    return {name: f"final_{name}" for name in scalars if name in samples}
