"""How sure a setting is: what the scatter of measuring, parts and friction makes of the shift."""

import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Unpack

import numpy as np

from layshaft.fitting.unknowns import Unknown, unknown
from layshaft.quantities.units import Given
from layshaft.runs.failed_runs import out_of_time
from layshaft.runs.point_runs import PointRuns, run_points
from layshaft.runs.run_options import Drive, Options, read_options
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked_map, whole

#: Usual scatter (one standard deviation), common practice, no source. Each shoe for itself.
USUAL_SCATTER: dict[str, Given] = {
    **dict.fromkeys(field_table.pairs()["two_speed.gap"], "0.03 mm"),
    **dict.fromkeys(field_table.pairs()["two_speed.slug_mass"], "0.02 g"),
    "two_speed.spring_rate": "2 %",
    "two_speed.friction": "10 %",
    "rear_tyre.friction_peak": "5 %",
}
_SEED = 20
_MOST_RUNS = 1_000_000
_CENTRAL_95 = (2.5, 97.5)


@dataclass(frozen=True, slots=True)
class Share:
    """How much of the variance one scatter causes."""

    path: str
    spread: float  #: one standard deviation of it, in the SI unit
    alone: float  #: share that it causes by itself [-]
    with_others: float  #: share that it takes part in [-]


@dataclass(frozen=True, slots=True, eq=False)
class Scatter:
    """Spread of shift speed and time; SI units."""

    car: Car
    distance: float  #: [m]
    shift_speeds: np.ndarray  #: of all cars drawn [m/s]
    losses: np.ndarray  #: time lost to the car as set, negative: gained [s]
    shift_speed: float  #: of the car as set [m/s]
    time: float  #: [s]
    shift_shares: tuple[Share, ...]  #: the greatest first
    time_shares: tuple[Share, ...]
    failed: int  #: cars drawn that did not shift or did not arrive

    @property
    def shift_range(self) -> tuple[float, float]:
        """Speeds between which 95 % of all shifts lie [m/s]."""
        low, high = np.nanpercentile(self.shift_speeds, _CENTRAL_95)
        return float(low), float(high)

    @property
    def loss_range(self) -> tuple[float, float]:
        """Losses of time between which 95 % lie [s]."""
        low, high = np.nanpercentile(self.losses, _CENTRAL_95)
        return float(low), float(high)


def scatter(
    car: Car,
    spreads: Mapping[str, Given] | None = None,
    *,
    samples: int = 64,
    seed: int = _SEED,
    **options: Unpack[Options],
) -> Scatter:
    """Draw cars from the scatter of their numbers and tell which scatter matters.

    Numbers are normally distributed, independent, and kept within the bounds of their fields.
    Shares are Sobol indices by the estimators of `scipy.stats.sobol_indices`; with few samples
    these scatter themselves and are cut off at 0 and 1.

    Parameters
    ----------
    car
        The car as it is set.
    spreads
        Path of a field to one standard deviation, a number in the SI unit, text with a unit, or a
        share `"5 %"` of its value. By default caliper and slug of each shoe, spring, friction and
        grip, without those that stand at a bound of their field.
        What follows a field in proportion, as in `layshaft.unknown`, scatters with it.
    samples
        A power of 2; the runs are samples x (fields + 2).
    seed
        The same seed gives the same cars.
    options
        Of the runs, as for `layshaft.launch`.

    Returns
    -------
    Scatter
        Shift speeds [m/s] and time losses [s], one a run, and the share of the variance that each
        field causes [-].

    Examples
    --------
    >>> import layshaft
    >>> study = scatter(layshaft.demo_car(), {"two_speed.shoe_1.gap": "0.1 mm"}, samples=4)
    >>> [share.path for share in study.shift_shares]
    ['two_speed.shoe_1.gap']
    """
    from scipy import stats

    checked_car(car)
    given = _usual(car) if spreads is None else checked_map("spreads", spreads)
    wanted = [_scattered(car, path, spread) for path, spread in given.items()]
    if not wanted:
        raise ValueError("spreads: name at least one number that scatters")
    samples, seed = whole("samples", samples), whole("seed", seed)
    if samples < 2 or samples & (samples - 1):
        raise ValueError(f"samples = {samples} must be a power of 2, such as 32, 64 or 128")
    if samples * (len(wanted) + 2) > _MOST_RUNS:
        count = samples * (len(wanted) + 2)
        raise ValueError(f"samples = {samples} makes {count} runs, at most {_MOST_RUNS}")
    if seed < 0:
        raise ValueError(f"seed = {seed} must be at least 0")
    read = read_options(**options)
    own = run_points(car, [{}], read)
    _check_own(own, read)
    study = _Study(car, wanted, read, float(own["shift_speed"][0]), float(own.time[0]))
    found = stats.sobol_indices(
        func=study.outputs,
        n=samples,
        dists=[stats.norm(each.guess, each.doubt) for each in wanted],
        rng=np.random.default_rng(seed),
    )
    # With a single field SciPy leaves out that axis.
    first, total = (
        np.reshape(order, (2, len(wanted))) for order in (found.first_order, found.total_order)
    )
    shift_shares, time_shares = (_shares(wanted, first[row], total[row]) for row in (0, 1))
    independent = np.hstack(study.seen)[:, : 2 * samples]
    return Scatter(
        car=car,
        distance=read.distance,
        shift_speeds=independent[0],
        losses=independent[1] - study.time,
        shift_speed=study.shift_speed,
        time=study.time,
        shift_shares=shift_shares,
        time_shares=time_shares,
        failed=int(np.sum(~np.isfinite(independent).all(axis=0))),
    )


def _check_own(own: PointRuns, options: Drive) -> None:
    """Check that the car as it is set does what is to scatter."""
    if not np.isfinite(own.time[0]):
        raise ValueError(f"the car as it is set: {own.messages[0] or out_of_time(options)}")
    if not np.isfinite(own["shift_speed"][0]):
        raise ValueError("the car as it is set never shifts")


class _Study:
    """The runs behind the shares, all in one batch a call."""

    def __init__(
        self, car: Car, wanted: list[Unknown], options: Drive, shift_speed: float, time: float
    ) -> None:
        self.shift_speed, self.time = shift_speed, time
        self.seen: list[np.ndarray] = []
        self._car, self._wanted, self._options = car, wanted, options

    def outputs(self, numbers: np.ndarray) -> np.ndarray:
        """Return shift speed and time, 2 x cars, of fields x cars."""
        shape = numbers.shape[1:]
        cars = numbers.reshape(len(self._wanted), -1).T
        points = []
        for row in cars:
            point: dict[str, float] = {}
            for each, value in zip(self._wanted, row, strict=True):
                point |= each.changes(float(np.clip(value, each.low, each.high)))
            points.append(point)
        runs = run_points(self._car, points, self._options)
        both = np.array([runs["shift_speed"], runs.time])
        self.seen.append(both)
        # A car that fails must not void all shares: it counts as the car as set.
        usual = np.array([[self.shift_speed], [self.time]])
        return np.where(np.isfinite(both), both, usual).reshape(2, *shape)


def _usual(car: Car) -> dict[str, Given]:
    """Return the usual spreads; warn of those that this car cannot have."""
    stuck = [path for path in USUAL_SCATTER if _at_bound(car, path)]
    if stuck:
        told = f"{' and '.join(stuck)} {'stand' if stuck[1:] else 'stands'} at a bound"
        warnings.warn(f"{told} and {'are' if stuck[1:] else 'is'} left out", stacklevel=3)
    return {path: spread for path, spread in USUAL_SCATTER.items() if path not in stuck}


def _at_bound(car: Car, path: str) -> bool:
    field = field_table.find_field(path)
    bounds = (field.minimum, field.maximum) if field and field.kind == "number" else ()
    return bool(bounds) and car._core.get(path) in bounds


def _scattered(car: Car, path: str, spread: Given) -> Unknown:
    if _at_bound(car, path):
        raise ValueError(f"{path} stands at a bound of its field and cannot scatter about it")
    return unknown(car, path, doubt=spread)


def _shares(wanted: list[Unknown], first: np.ndarray, total: np.ndarray) -> tuple[Share, ...]:
    shares = [
        Share(
            each.path,
            each.doubt,
            float(np.clip(alone, 0.0, 1.0)),
            float(np.clip(together, 0.0, 1.0)),
        )
        for each, alone, together in zip(wanted, first, total, strict=True)
    ]
    return tuple(sorted(shares, key=lambda share: -share.with_others))
