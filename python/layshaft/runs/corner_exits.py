"""What holds a car back out of a corner: the engine, or the tyres."""

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from layshaft.runs.lap_run import LapRun

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
    # As the driver eases off; see the equations of the driver.
    slip = float(np.max(samples.rear_slip.values[after])) / run.car["driver.slip_target"]
    return 1.0 / (1.0 + slip * slip) < 1.0 - _HELD_BACK
