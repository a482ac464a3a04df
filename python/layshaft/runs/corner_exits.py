"""What holds a car back, out of a corner and all along: the engine, or the tyres."""

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from layshaft.runs.lap_run import LapRun
    from layshaft.runs.launch_run import LaunchRun

_AFTER = 4.0  # of the foot going down [m]
#: Share of the throttle that the driver keeps back for the tyres' sake where these limit [-].
_HELD_BACK = 0.05
_FOOT_DOWN, _STICKS = 0, 1


def bogged_corners(run: "LapRun") -> tuple[int, ...]:
    """Return the corners, counted from 1, out of which the engine limits and not the tyres.

    A corner that `CornerPass.bogs` names is left out where the driver eases off for the slip of the
    tyres and the engine clutch holds: more power would only spin the wheels. A lap without samples
    cannot tell, and has all of them.

    Examples
    --------
    >>> import layshaft
    >>> bogged_corners(layshaft.lap(layshaft.demo_car(), "fast"))
    ()
    """
    weak = [number for number, corner in enumerate(run.corners, start=1) if corner.bogs]
    if not run.samples.sizes.get("distance", 0):
        return tuple(weak)
    return tuple(n for n in weak if not _tyres_limit(run, run.corners[n - 1].exit_distance))


def _tyres_limit(run: "LapRun", leaves: float) -> bool:
    samples = run.samples
    along = samples.distance.values
    after = (along >= leaves) & (along <= leaves + _AFTER) & (samples.foot.values == _FOOT_DOWN)
    if not after.any() or not np.all(samples.clutch_mode.values[after] == _STICKS):
        return False
    return bool(np.any(_held_back(run)[after]))


def tyre_share(run: "LapRun | LaunchRun") -> float:
    """Return the share of the time on the throttle in which the driver eases off for the tyres [-].

    Examples
    --------
    >>> import layshaft
    >>> 0.0 < tyre_share(layshaft.launch(layshaft.demo_car())) < 1.0
    True
    """
    samples = run.samples
    steps = np.gradient(samples.time.values)
    pressed = samples.brake_pedal.values == 0.0
    if "foot" in samples:
        pressed &= samples.foot.values == _FOOT_DOWN
    whole = float(steps[pressed].sum())
    return float(steps[pressed & _held_back(run)].sum()) / whole if whole > 0.0 else 0.0


def _held_back(run: "LapRun | LaunchRun") -> np.ndarray:
    """Tell where the driver keeps throttle back; see the equations of the driver."""
    slip = run.samples.rear_slip.values / run.car["driver.slip_target"]
    held: np.ndarray = 1.0 / (1.0 + slip * slip) < 1.0 - _HELD_BACK
    return held
