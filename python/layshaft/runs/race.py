"""A race as it goes on: laps, stops for fuel, and gaps tried there."""

import math
from collections.abc import Mapping

import numpy as np

from layshaft import _core
from layshaft.mounting.axle_lead import tyre_pairs
from layshaft.mounting.gear_sets import rollout
from layshaft.mounting.setting_moves import turns_in
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.point_runs import PointRuns, run_points
from layshaft.runs.stint_result import Stint, Stop, TyreWear
from layshaft.setup import field_table
from layshaft.setup.car import Car

_GAP = "two_speed.gap"
#: Laps driven on one lap computed: its mass and tyres are those of the middle.
_BLOCK = 2
#: Gaps tried at a stop, to either side of the present one [m].
_REACH, _TRIED = 0.4e-3, 9
_MOST_LAPS = 2000
_SETTLED = 3.0  #: time constants after which a temperature counts as settled: 95 %


class Race:
    """The race as it goes on."""

    def __init__(
        self,
        car: Car,
        options: LapOptions,
        wear: TyreWear,
        *,
        duration: float,
        reserve: float,
        stop_time: float,
        turning_time: float,
    ) -> None:
        self._car, self._options, self._wear = car, options, wear
        self._duration, self._stop_time, self._turning_time = duration, stop_time, turning_time
        self._tank = car["fuel.tank_volume"] * _core.fuel_density(car._core)
        self._reserve = reserve
        self._usable = self._tank * (1.0 - reserve)
        self._half_burnt = 0.5 * self._usable  # gaps are judged with a tank so far burnt
        self._lost = np.array([car["rear_tyre.wear"], car["front_tyre.wear"]])
        self._burnt = 0.0
        self._elapsed = 0.0
        self._rows: list[dict[str, float]] = []
        self._stops: list[Stop] = []

    def driven(self) -> Stint:
        """Drive to the end."""
        first = self._runs([self._point(0.0, self._lost)])
        fuel, wear = float(first["fuel"][0]), self._wear_of(first, 0)
        if fuel > self._usable:
            tank, usable, lap = (
                f"{1e6 * mass / _core.fuel_density(self._car._core):.1f} cm3"
                for mass in (self._tank, self._usable, fuel)
            )
            raise ValueError(
                f"the tank does not last a lap, which takes {lap}: of {tank}, {usable} are used"
            )
        half = self._runs([self._point(self._half_burnt, self._lost)])
        self._wanted_shift = float(half["shift_speed"][0])
        while self._elapsed < self._duration and len(self._rows) < _MOST_LAPS:
            left = int((self._usable - self._burnt) / fuel)
            if left == 0:
                if self._elapsed + self._stop_time >= self._duration:
                    break  # nobody fills up for no lap
                self._stop()
                continue
            count = min(_BLOCK, left)
            middle = 0.5 * (count - 1)
            point = self._point(self._burnt + middle * fuel, self._lost + middle * wear)
            runs = self._runs([point])
            fuel, wear = float(runs["fuel"][0]), self._wear_of(runs, 0)
            for _ in range(count):
                if self._elapsed >= self._duration:
                    break
                self._lap(runs, fuel, wear)
        return self._result(first)

    def _lap(self, runs: PointRuns, fuel: float, wear: np.ndarray) -> None:
        self._elapsed += float(runs.time[0])
        self._burnt += fuel
        self._lost = self._lost + wear
        car = self._car.replace(self._point(self._burnt, self._lost))
        self._rows.append(
            {
                "lap_time": float(runs.time[0]),
                "elapsed": self._elapsed,
                "fuel_left": (self._tank - self._burnt) / self._tank,
                "rear_radius": _core.rear_axle(car._core).radius,
                "front_radius": _core.front_axle(car._core).radius,
                "rollout": rollout(car, _core.gear_ratios(car._core)[1]),
                "lead": tyre_pairs(car)[0].lead,
                "shift_speed": float(runs["shift_speed"][0]),
                "clutch_temperature": float(runs["peak_clutch_temperature"][0]),
                "shoe_temperature": float(runs["peak_shoe_temperature"][0]),
                "fuel": fuel / _core.fuel_density(self._car._core),
            }
        )

    def _stop(self) -> None:
        """Fill the tank; try gaps with the tyres as they are and the next tank half burnt."""
        left = (self._duration - self._elapsed) / self._rows[-1]["lap_time"]
        own = self._car[field_table.pairs()[_GAP][0]]
        gaps = own + np.linspace(-_REACH, _REACH, _TRIED)
        middle = self._point(self._half_burnt, self._lost)
        runs = self._runs([middle | self._gaps_at(float(gap)) for gap in gaps])
        best = int(np.nanargmin(runs.time))
        gain = float(runs.time[_TRIED // 2] - runs.time[best])
        shifts = runs["shift_speed"]
        wanted = _gap_at_shift(self._wanted_shift, shifts, gaps)
        self._stops.append(
            Stop(
                lap=len(self._rows),
                time=self._elapsed,
                gap=float(gaps[best]),
                turns=turns_in(self._car, own, float(gaps[best])),
                gain=gain,
                worth=gain * left > self._turning_time,
                gap_of_start=float(wanted),
                turns_of_start=turns_in(self._car, own, float(wanted)),
            )
        )
        self._elapsed += self._stop_time
        self._burnt = 0.0

    def _gaps_at(self, gap: float) -> dict[str, float]:
        """Return the shoes' gaps where shoe 1 has one; all screws turn alike."""
        paths = field_table.pairs()[_GAP]
        one, *others = (self._car[path] for path in paths)
        if set(others) == {one}:
            return {_GAP: gap}
        return dict(zip(paths, (gap, *(other + (gap - one) for other in others)), strict=True))

    def _point(self, burnt: float, lost: np.ndarray) -> dict[str, float]:
        return {
            "body.mass": self._car["body.mass"] - burnt,
            "rear_tyre.wear": float(lost[0]),
            "front_tyre.wear": float(lost[1]),
        }

    def _runs(self, points: list[Mapping[str, float]]) -> PointRuns:
        runs = run_points(self._car, points, self._options)
        if not np.isfinite(runs.time).any():
            raise ValueError(f"a lap of the stint failed: {runs.messages[0]}")
        return runs

    def _wear_of(self, runs: PointRuns, row: int) -> np.ndarray:
        front_share = self._car["body.front_share"]
        cornering = float(runs["cornering_loss"][row])
        rear = float(runs["rear_tyre_loss"][row]) + (1.0 - front_share) * cornering
        front = float(runs["front_tyre_loss"][row]) + front_share * cornering
        return np.array([self._wear.rear * rear, self._wear.front * front])

    def _result(self, first: PointRuns) -> Stint:
        import xarray

        count = len(self._rows)
        laps = xarray.Dataset(
            {
                name: ("lap", [row[name] for row in self._rows], {"units": unit, "long_name": what})
                for name, (unit, what) in _COLUMNS.items()
            },
            coords={"lap": ("lap", np.arange(1, count + 1), {"long_name": "Lap", "units": "1"})},
        )
        per_tank = (
            self._stops[0].lap
            if self._stops
            else int(self._usable / _core.fuel_density(self._car._core) / float(laps.fuel.mean()))
        )
        return Stint(
            car=self._car,
            options=self._options,
            duration=self._duration,
            laps=laps,
            stops=tuple(self._stops),
            reserve=self._reserve,
            laps_per_tank=per_tank,
            time_per_tank=per_tank * float(laps.lap_time[: max(per_tank, 1)].mean()),
            fuel_per_lap=float(laps.fuel.mean()),
            laps_to_settle={
                name: _laps_to_settle(self._car, section, float(first.time[0]))
                for name, section in (("clutch", "clutch.heat"), ("two_speed", "two_speed_heat"))
            },
        )


def _gap_at_shift(wanted: float, shifts: np.ndarray, gaps: np.ndarray) -> float:
    """Return the gap that shifts at a speed; not a number where none of those tried do."""
    known = np.isfinite(shifts)
    if not known.any():
        return math.nan
    order = np.argsort(shifts[known])
    return np.interp(wanted, shifts[known][order], gaps[known][order], math.nan, math.nan)


_COLUMNS = {
    "lap_time": ("s", "Time of the lap"),
    "elapsed": ("s", "Time since the start"),
    "fuel_left": ("1", "Share of the tank left after the lap"),
    "rear_radius": ("m", "Radius of the rear tyres"),
    "front_radius": ("m", "Radius of the front tyres"),
    "rollout": ("m", "Way of the car for one engine turn in second gear"),
    "lead": ("1", "Tread speed of the front over the rear, less 1"),
    "shift_speed": ("m/s", "Car speed at the first upshift of the lap"),
    "clutch_temperature": ("K", "Largest temperature of the clutch lining"),
    "shoe_temperature": ("K", "Largest temperature of the shoe lining"),
    "fuel": ("m^3", "Fuel burnt in the lap"),
}


def _laps_to_settle(car: Car, section: str, lap_time: float) -> int:
    """Return the laps until the slower part of a friction pair is warm to 95 %."""
    rates = [_core.cooling_rates(car._core, section, *rises) for rises in ((1.0, 0.0), (0.0, 1.0))]
    slowest = -float(np.max(np.linalg.eigvals(rates).real))
    return math.ceil(_SETTLED / slowest / lap_time) if slowest > 0.0 else _MOST_LAPS
