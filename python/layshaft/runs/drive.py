"""One run of a car, whichever its options ask for."""

import numpy as np

from layshaft import _core
from layshaft.runs.lap_options import LapOptions
from layshaft.runs.lap_run import LapRun, run_lap
from layshaft.runs.launch_run import LaunchRun, run_launch
from layshaft.runs.run_options import Drive
from layshaft.runs.samples import row_of
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


def output_along(name: str, car: Car, options: Drive) -> tuple[np.ndarray, np.ndarray]:
    """Drive, and return where each sample was taken with the output of that name there.

    Returns
    -------
    along, values
        Times [s], of a lap distances [m]; the output in its SI unit. Both are empty where the run
        failed.
    """
    core = car._core
    if isinstance(options, LapOptions):
        lap = _core.lap(core, options.core())
        failed, outputs, along = bool(lap.message), _core.lap_outputs, "distance"
        table = lap.sample_outputs(0.0)
    else:
        launch = _core.launch(core, options.core())
        failed, outputs, along = launch.end == "early", _core.outputs, "stopwatch"
        table = launch.sample_outputs(0.0)
    table = table[:, : 0 if failed else None]
    return table[row_of(along, outputs)], table[row_of(name, outputs)]
