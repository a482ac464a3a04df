"""One run of a car, whichever its options ask for."""

from layshaft.runs.lap_options import LapOptions
from layshaft.runs.lap_run import LapRun, run_lap
from layshaft.runs.launch_options import RunOptions
from layshaft.runs.launch_run import LaunchRun, run_launch
from layshaft.setup.car import Car


def drive(car: Car, options: RunOptions | LapOptions) -> LaunchRun | LapRun:
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
