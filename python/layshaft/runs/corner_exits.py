"""What holds a car back all along: the engine, or the tyres."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.runs.launch_run import LaunchRun

if TYPE_CHECKING:
    from layshaft.runs.lap_run import LapRun

#: Share of the throttle that the driver keeps back for the tyres' sake where these limit [-].
_HELD_BACK = 0.05
_FOOT_DOWN = 0


def tyre_share(run: "LapRun | LaunchRun") -> float:
    """Return the share of the time on the throttle in which the driver eases off for the tyres [-].

    Examples
    --------
    >>> import layshaft
    >>> 0.0 < tyre_share(layshaft.launch(layshaft.demo_car())) < 1.0
    True
    """
    steps = np.gradient(_sampled(run, "time"))
    pressed = _sampled(run, "brake_pedal") == 0.0
    if not isinstance(run, LaunchRun):  # which has no foot
        pressed &= _sampled(run, "foot") == _FOOT_DOWN
    whole = float(steps[pressed].sum())
    return float(steps[pressed & _held_back(run)].sum()) / whole if whole > 0.0 else 0.0


def _sampled(run: "LapRun | LaunchRun", name: str) -> np.ndarray:
    if isinstance(run, LaunchRun):
        return run.plain.samples[name][1]
    values: np.ndarray = run.samples[name].values
    return values


def _held_back(run: "LapRun | LaunchRun") -> np.ndarray:
    """Tell where the driver keeps throttle back; see the equations of the driver."""
    slip = np.maximum(_sampled(run, "rear_slip"), 0.0) / run.car["driver.slip_target"]
    held: np.ndarray = 1.0 / (1.0 + slip * slip) < 1.0 - _HELD_BACK
    return held
