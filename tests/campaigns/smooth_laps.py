"""Sweep one setting after the other over its range on both demo tracks: are laps smooth.

    python tests/campaigns/smooth_laps.py --points 49 --track club --only body

A real change is smooth: between true changes of the shifts the lap time follows the setting
without jumps, and goes the way that is argued in `SETTINGS`. The shifts of two laps are others
where one comes or goes, or one happens elsewhere on the track: much further on or back than it
moves from lap to lap in the whole sweep. Within each stretch with the same shifts a cubic is
fitted to every seven laps in a row; the largest residual is printed as the roughness. `against` is
the most that the time goes the wrong way from one lap to the next in such a stretch. The exit code
is 1 where one of both is above its bound.
"""

import argparse
import itertools
import sys
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import layshaft
import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

#: Most of both [s]: a hundredth of a second is what timing gear prints.
ROUGH, AGAINST = 0.010, 0.010
#: So many laps in a row make a piece of a curve.
LAPS = 7
#: A shift that moves by more than this [m], and by more than so many times what it moves by
#: usually, happens elsewhere.
ELSEWHERE, OFTEN = 3.0, 3.0

#: Of a lap: what kind of shift, its corner, and where it happens [m].
Shifts = tuple[tuple[str, int, float], ...]


class Setting(NamedTuple):
    """A range of a field in SI units; which way the lap time goes as it rises, and why."""

    path: str
    low: float
    high: float
    sign: int  #: 1 slower, -1 quicker, 0 either way
    why: str


SETTINGS = (
    Setting("engine.power_scale", 0.8, 1.2, -1, "more push, the same car"),
    Setting("engine.idle_speed", 600.0, 1400.0, 0, "bites sooner, but pushes into corners"),
    Setting("engine.drag_slope", 1e-5, 1.6e-4, 0, "helps the brake; the curve is net of it"),
    Setting("engine.inertia", 8e-6, 3e-5, 0, "dearer to speed up, gives it back at the shift"),
    Setting("engine.displacement", 2e-6, 5e-6, 0, "has no part in it"),
    Setting("engine.efficiency", 0.08, 0.2, 0, "fuel alone"),
    Setting("fuel.nitromethane", 0.0, 0.5, 0, "fuel alone: power is the measured curve's"),
    Setting("clutch.bell_inertia", 2e-6, 2e-5, 1, "more to speed up"),
    Setting("clutch.axial.nut_turns", 1.2, 3.2, 0, "bites later where the engine pulls more"),
    Setting("clutch.axial.friction", 0.28, 0.39, 0, "carries more, pulls the engine down"),
    Setting("clutch.axial.flyweight_mass", 0.0009, 0.0018, 0, "as friction"),
    Setting("clutch.axial.spring_rate", 35e3, 60e3, 0, "as the nut"),
    Setting("two_speed.gap", 0.0040, 0.0056, 0, "earlier or later"),
    Setting("two_speed.slug_mass", 0.0005, 0.0016, 0, "as the gap"),
    Setting("two_speed.friction", 0.22, 0.34, 0, "a quicker hand-over, at another speed"),
    Setting("two_speed.spring_rate", 1.0e5, 1.4e5, 0, "as the gap"),
    Setting("two_speed.zero_preload_reading", 0.0058, 0.0065, 0, "as the gap"),
    Setting("two_speed.clearance", 1e-4, 6e-4, 0, "as the gap"),
    Setting("two_speed.detent_ratio", 0.5, 1.0, 0, "shifts down earlier or later"),
    Setting("two_speed.screw_arm", 0.0072, 0.0088, 0, "as the gap"),
    Setting("two_speed.drum_radius", 0.018, 0.022, 0, "a quicker hand-over"),
    Setting("shafts.first_spur_inertia", 2e-6, 2e-5, 1, "more to speed up"),
    Setting("shafts.drum_inertia", 8e-6, 4e-5, 1, "more to speed up"),
    Setting("shafts.shaft_inertia", 6e-6, 4e-5, 1, "more to speed up"),
    Setting("shafts.drag", 0.0, 0.04, 1, "holds back; brakes are strong enough without"),
    Setting("belts.rear.tension", 30.0, 120.0, 0, "the jump alone while the loss is given"),
    Setting("belts.rear.efficiency", 0.95, 1.0, -1, "less lost"),
    Setting("belts.front.efficiency", 0.95, 1.0, -1, "less lost"),
    Setting("first.friction", 0.02, 0.2, 1, "more lost"),
    Setting("second.friction", 0.02, 0.2, 1, "more lost"),
    Setting("rear_tyre.wear", 0.0, 0.004, 0, "shorter gearing, a later shift"),
    Setting("front_tyre.wear", 0.0, 0.002, 0, "less or more pull of the front axle"),
    Setting("rear_tyre.friction_peak", 1.4, 1.9, -1, "more grip"),
    Setting("front_tyre.friction_peak", 1.35, 1.85, -1, "more grip"),
    Setting("rear_tyre.load_sensitivity", 0.0, 0.2, 0, "holds at the reference load"),
    Setting("rear_tyre.stiffness_factor", 20.0, 45.0, -1, "less slip for the same pull"),
    Setting("rear_tyre.cornering_stiffness", 8.0, 25.0, -1, "less drag in corners"),
    Setting("front_tyre.cornering_stiffness", 8.0, 25.0, -1, "less drag in corners"),
    Setting("rear_tyre.rolling_resistance", 0.01, 0.06, 1, "holds back"),
    Setting("rear_tyre.inertia", 3e-5, 2e-4, 1, "more to speed up"),
    Setting("rear_tyre.growth", 0.0, 1e-9, 0, "taller gearing"),
    Setting("brake.torque", 1.5, 5.0, 0, "the foot finds the grip all the same"),
    Setting("body.mass", 2.3, 2.9, 1, "less pull and no more grip for each kilogram"),
    Setting("body.wheelbase", 0.26, 0.32, 0, "moves less load"),
    Setting("body.centre_height", 0.02, 0.05, 0, "moves more load"),
    Setting("body.front_share", 0.40, 0.48, 0, "the axle with less grip limits"),
    Setting("body.drag_area", 0.005, 0.03, 1, "holds back"),
    Setting("body.downforce_area", 0.0, 0.1, -1, "more grip, no more mass"),
    Setting("body.downforce_front_share", 0.3, 0.6, 0, "the axle with less grip limits"),
    Setting("body.yaw_inertia", 0.01, 0.04, 0, "takes grip at one axle, gives at the other"),
    Setting("body.load_transfer_time", 0.02, 0.2, 0, "moves load sooner or later"),
    Setting("air.temperature", 278.0, 313.0, 1, "less charge"),
    Setting("air.pressure", 85e3, 105e3, -1, "more charge"),
    Setting("driver.response_time", 0.03, 0.2, 1, "a slower hand"),
    Setting("driver.slip_target", 0.12, 0.4, 0, "less easing, more spin"),
)


class Curve(NamedTuple):
    """What came of one sweep; times in seconds, not a number where a lap failed."""

    values: np.ndarray
    times: np.ndarray
    shifts: list[Shifts]

    def stretches(self) -> list[slice]:
        """Return where the shifts stay the same; a lap that failed parts them too."""
        pairs = list(itertools.pairwise(self.shifts))
        moves = [moved for before, after in pairs for moved in _moves(before, after) or ()]
        usual = float(np.median(moves)) if moves else 0.0
        furthest = max(ELSEWHERE, OFTEN * usual)

        def others(before: Shifts, after: Shifts) -> bool:
            moves = _moves(before, after)
            return moves is None or max(moves, default=0.0) > furthest

        breaks = [place + 1 for place, pair in enumerate(pairs) if others(*pair)]
        ends = sorted({0, len(self.times), *breaks})
        parts = [slice(begin, end) for begin, end in itertools.pairwise(ends)]
        return [part for part in parts if np.isfinite(self.times[part.start])]

    def long_stretches(self) -> list[slice]:
        """Return those that make a curve."""
        return [part for part in self.stretches() if part.stop - part.start >= LAPS]

    @property
    def roughness(self) -> float:
        """Largest residual of cubics through some laps in a row of the long stretches."""
        x = np.linspace(-1.0, 1.0, LAPS)
        cubics = np.vander(x, 4)
        off_cubic = np.eye(LAPS) - cubics @ np.linalg.pinv(cubics)
        pieces = [
            sliding_window_view(self.times[part], LAPS) @ off_cubic
            for part in self.long_stretches()
        ]
        return max((float(np.abs(piece).max()) for piece in pieces), default=0.0)

    def against(self, sign: int) -> float:
        """Return the most that the time goes the other way between two laps of a stretch."""
        steps = [-sign * np.diff(self.times[part]) for part in self.stretches()]
        return max([0.0, *(float(each.max()) for each in steps if len(each))]) if sign else 0.0


def _moves(before: Shifts, after: Shifts) -> list[float] | None:
    """Return how far each shift moved [m]; None where they are others."""
    if [shift[:2] for shift in before] != [shift[:2] for shift in after]:
        return None
    return [abs(then[2] - now[2]) for then, now in zip(before, after, strict=True)]


def swept(car: layshaft.Car, setting: Setting, track: str, points: int) -> Curve:
    """Drive a lap with each value."""

    def drive(value: float) -> tuple[float, Shifts]:
        try:
            run = layshaft.lap(car.replace({setting.path: value}), track, sample_spacing=0.0)
        except (layshaft.LapError, ValueError):  # no lap, or no car
            return float("nan"), ()
        gears = [each for each in run.events if each.kind in ("upshift", "downshift")]
        return run.time, tuple((each.kind, each.corner, each.distance) for each in gears)

    values = np.linspace(setting.low, setting.high, points)
    with ThreadPoolExecutor() as pool:
        times, shifts = zip(*pool.map(drive, values.tolist()), strict=True)
    return Curve(values, np.asarray(times), list(shifts))


def main() -> int:
    """Sweep and print a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--points", type=int, default=49)
    parser.add_argument("--track", choices=("club", "fast"), action="append")
    parser.add_argument("--only", default="", help="settings whose path begins so")
    parser.add_argument("--times", action="store_true", help="print every lap too")
    arguments = parser.parse_args()
    car, bad = layshaft.demo_car(), 0
    for track in arguments.track or ("club", "fast"):
        for setting in SETTINGS:
            if not setting.path.startswith(arguments.only):
                continue
            curve = swept(car, setting, track, arguments.points)
            rough, against = curve.roughness, curve.against(setting.sign)
            failed = int(np.isnan(curve.times).sum())
            note = "" if rough <= ROUGH and against <= AGAINST else " <--"
            bad += bool(note)
            counts = [
                sum(shift[0] == "upshift" for shift in curve.shifts[part.start])
                for part in curve.stretches()
            ]
            fitted = sum(part.stop - part.start for part in curve.long_stretches())
            span = float(np.nanmax(curve.times) - np.nanmin(curve.times))
            print(
                f"{track:5s} {setting.path:32s} range {span:6.3f} s, rough {1e3 * rough:5.1f} ms"
                f" over {fitted} laps, against {1e3 * against:5.1f} ms, upshifts {counts},"
                f" failed {failed}{note}",
                flush=True,
            )
            if arguments.times:
                for value, time, shifts in zip(*curve, strict=True):
                    told = " ".join(f"{kind[0]}{at:.0f}" for kind, _, at in shifts)
                    print(f"      {value:12.6g}  {time:8.4f} s  {told}")
    print(f"{bad} sweeps are rougher than {ROUGH} s or go {AGAINST} s the wrong way")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
