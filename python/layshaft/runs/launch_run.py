"""One run of the car, and all that it gave."""

import os
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, Unpack

import numpy as np

from layshaft import _core
from layshaft.quantities.html_table import html_table
from layshaft.quantities.pit_units import KMH
from layshaft.runs import result_file
from layshaft.runs.changes import Change, read_changes
from layshaft.runs.judder import judder_warnings
from layshaft.runs.launch_options import LaunchKeywords, LaunchOptions, read_launch_options
from layshaft.runs.launch_tables import change_columns, marks_of
from layshaft.runs.measures import refuse_measures
from layshaft.runs.plain_run import PlainRun
from layshaft.runs.run_warnings import PEAKS, energy_warnings, run_warnings
from layshaft.runs.samples import Variable
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import one_of

if TYPE_CHECKING:
    import xarray


#: Names of the marks that are taken at distances.
AT_DISTANCE = ("distance", "time_to_distance", "speed_at_distance")


class RunError(RuntimeError):
    """A run stopped early; `run` holds all that was computed until then."""

    def __init__(self, run: "LaunchRun") -> None:
        super().__init__(run.message)
        self.run = run


@dataclass(frozen=True, eq=False)
class LaunchRun:
    """All that one run gave, in SI units with labels.

    The labelled arrays are made when they are first asked for, by xarray; `arrays` and everything
    that is not labelled need numpy alone.
    """

    car: Car
    options: LaunchOptions
    status: str  #: `finished`, or why the run stopped early
    message: str  #: what to try; empty for a finished run
    end: str  #: `distance`, `longest_time` or `early`
    changes: tuple[Change, ...]
    plain: PlainRun  #: the numbers, unlabelled

    @cached_property
    def samples(self) -> "xarray.Dataset":
        """What went on, over `time`."""
        return self._labelled(self.plain.samples)

    @cached_property
    def scalars(self) -> "xarray.Dataset":
        """Shift, peaks and the like: `run.scalars.shift_speed`."""
        return self._labelled(self.plain.scalars)

    @property
    def times(self) -> "xarray.DataArray":
        """Time at each distance [s]; not a number where not reached."""
        return self._mark("time_to_distance")

    @property
    def speeds(self) -> "xarray.DataArray":
        """Speed at each distance [m/s]."""
        return self._mark("speed_at_distance")

    @property
    def speed_times(self) -> "xarray.DataArray":
        """Time at each speed asked for [s]."""
        return self._mark("time_to_speed")

    @property
    def doubtful(self) -> bool:
        """Whether the times hang on a knife's edge: they may be off by more than 0.5 ms.

        `scalars.time_error` holds the estimated error [s], `scalars.edges` how often a part only
        just switched, or only just did not: then the estimate is worth nothing. A run at a tighter
        `tolerance` tells more; where that is doubtful too, so would the real car be.

        Examples
        --------
        >>> import layshaft
        >>> run = layshaft.launch(layshaft.demo_car(), distance=10.0)
        >>> run.doubtful, run.scalars.time_error.item() < 1e-5
        (False, True)
        """
        return bool(self.plain.scalars["doubtful"][1])

    @property
    def arrays(self) -> dict[str, np.ndarray]:
        """Every number of the run as a plain array, under the names of `to_dataset`.

        Examples
        --------
        >>> import layshaft
        >>> arrays = layshaft.launch(layshaft.demo_car(), distance=10.0).arrays
        >>> arrays["distance"].tolist(), arrays["time_to_distance"].shape, arrays["time"].ndim
        ([5.0, 10.0], (2,), 1)
        """
        return {name: np.asarray(values) for name, (_, values, _) in self._all().items()}

    @property
    def energy(self) -> dict[str, float]:
        """Where the engine's work went [J].

        `engine_work` is the sum of all others: `car_energy` and `rotating_energy` gained, each
        loss, what the tyres hold, the work against the grade, and the residual of the numerics.
        """
        return {
            name: float(self.plain.scalars[name][1])
            for name, unit, _ in _core.scalars
            if unit == "J" and name != "shift_heat"
        }

    def warnings(self) -> tuple[tuple[str, str, str], ...]:
        """Return what this run warns of, as `Car.warnings` does for a set-up.

        Returns
        -------
        tuple
            Triples (section, code, sentence): `wheelie` where the body pitched by more than two
            degrees with an axle off the ground, `over_limit` where the engine passed its limit,
            `judders` where a part takes and lets go by turns, `energy_lost` where a thousandth of
            the energy turned over is not accounted for.

        Examples
        --------
        >>> import layshaft
        >>> layshaft.launch(layshaft.demo_car(), distance=10.0).warnings()
        ()
        """
        peaks = (float(self.plain.scalars[name][1]) for name in PEAKS)
        return (
            *run_warnings(self.car, *peaks),
            *judder_warnings(self.changes),
            *energy_warnings(self.energy),
        )

    def to_dataset(self) -> "xarray.Dataset":
        """Return everything as one dataset, as `save` writes it to netCDF."""
        return self._labelled(self._all())

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the run to a file, by its ending: `.nc` holds all, `.csv` the samples.

        The file is written aside and moved into place: nothing is ever half written. From a `.nc`
        file `layshaft.rerun` makes the same run again.
        """
        is_table = os.fspath(path).endswith(".csv")
        result_file.write_table(self.samples if is_table else self.to_dataset(), path)

    def _all(self) -> dict[str, Variable]:
        samples, scalars = self.plain.samples, self.plain.scalars
        apart = {f"final_{name}" if name in samples else name: scalars[name] for name in scalars}
        reached = {name: mark for name, mark in self.plain.marks.items() if len(mark[1])}
        return samples | apart | reached | self.plain.changes

    def _labelled(self, variables: dict[str, Variable]) -> "xarray.Dataset":
        try:
            import xarray
        except ModuleNotFoundError as error:
            plain = "labelled arrays need the package xarray; `arrays` of a run does not"
            raise ModuleNotFoundError(plain, name=error.name) from None
        # A variable named as its dimension becomes that dimension's coordinate.
        return xarray.Dataset(variables, attrs=self._attributes)

    @cached_property
    def _attributes(self) -> dict[str, Any]:
        return result_file.attributes("launch", self.car, self.options)

    def _mark(self, name: str) -> "xarray.DataArray":
        marks = self.plain.marks
        found = self._labelled({each: marks[each] for each in (name, marks[name][0][0])})[name]
        return found.rename(None)

    def __repr__(self) -> str:
        marks = ", ".join(
            f"{distance:g} m in {time:.3f} s"
            if np.isfinite(time)
            else f"{distance:g} m not reached"
            for distance, time in zip(
                self.plain.marks["distance"][1],
                self.plain.marks["time_to_distance"][1],
                strict=True,
            )
        )
        return f"<LaunchRun {self.status}: {marks}; {len(self.changes)} changes>"

    def _repr_html_(self) -> str:
        marks = self.plain.marks
        columns = (marks[name][1] for name in AT_DISTANCE)
        rows = [
            (f"{distance:g} m", f"{time:.3f} s", f"{speed * KMH:.1f} km/h")
            for distance, time, speed in zip(*columns, strict=True)
        ]
        title = f"Launch: {self.status}" + f", {self.message}" * bool(self.message)
        return html_table(title, ("distance", "time", "speed"), rows)


def launch(
    car: Car, *, on_failure: Literal["raise", "return"] = "raise", **options: Unpack[LaunchKeywords]
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
        Between samples [s]; 0.002 by default, 0 keeps none. They are taken when first asked for.
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

    Returns
    -------
    LaunchRun
        Times [s] and speeds [m/s] at each distance, scalars, changes, and samples over time; SI
        units.

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
    one_of("on_failure", on_failure, ("raise", "return"))
    return run_launch(checked_car(car), _launch_options(**options), on_failure)


def _launch_options(**given: Unpack[LaunchKeywords]) -> LaunchOptions:
    if "track" in given:
        raise TypeError("a launch has no track: layshaft.lap drives one")
    refuse_measures("a launch", given)
    return read_launch_options(**given)


def run_launch(car: Car, options: LaunchOptions, on_failure: str) -> LaunchRun:
    """Run the car once with checked options; see `launch`."""
    result = _core.launch(car._core, replace(options, sample_interval=0.0).core())
    changes = read_changes(result.changes, one_way=car["front_axle"] == "one_way")
    numbers = result.scalars
    scalars: dict[str, Variable] = {
        name: ((), np.asarray(numbers[name]), {"units": unit, "long_name": meaning})
        for name, unit, meaning in _core.scalars
    }
    plain = PlainRun(car, options, scalars, marks_of(result, options), change_columns(changes))
    run = LaunchRun(car, options, result.status, result.message, result.end, changes, plain)
    if run.end == "early" and on_failure == "raise":
        raise RunError(run)
    return run
