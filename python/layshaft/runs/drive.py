"""One run of a car, whichever its options ask for."""

import numpy as np

from layshaft import _core
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.lap_run import LapRun, run_lap
from layshaft.runs.launch_run import LaunchRun, run_launch
from layshaft.runs.run_options import Drive
from layshaft.setup.car import Car


def drive(car: Car, options: Drive) -> LaunchRun | LapRun:
    """Drive a lap where the options are those of a lap, else a launch; return it however it ends.

    Examples
    --------
    >>> import layshaft
    >>> from layshaft.runs.run_options import read_options
    >>> drive(layshaft.demo_car(), read_options(distance=5.0)).status
    'finished'
    """
    if isinstance(options, LapOptions):
        return run_lap(car, options)
    return run_launch(car, options, "return")


def states_along(car: Car, options: Drive) -> tuple[np.ndarray, np.ndarray]:
    """Drive, and return where each sample was taken with the core's states there.

    Returns
    -------
    along, states
        Times [s], of a lap distances [m]; samples x states. Both are empty where the run failed.
    """
    if isinstance(options, LapOptions):
        lap = _core.lap(car._core, options.core())
        at = len(_core.node_names) + len(_core.auxiliary_names)
        states = lap.sample_states if not lap.message else lap.sample_states[:0]
        return states[:, at], states
    run = _core.launch(car._core, options.core())
    end = len(run.sample_times) if run.end != "early" else 0
    return run.sample_times[:end, 0], run.sample_states[:end]
