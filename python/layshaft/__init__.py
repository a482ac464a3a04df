"""Drivetrain and two-speed simulation of 1/8-scale nitro on-road cars."""

from importlib import import_module
from typing import TYPE_CHECKING

from layshaft._core import version as _version
from layshaft.runs.launch_run import LaunchRun, RunError, launch
from layshaft.setup.car import Car, demo_car

if TYPE_CHECKING:
    from layshaft.advice import goals
    from layshaft.advice.choices import Between
    from layshaft.advice.goal_front import trade_off
    from layshaft.advice.recommendation import recommend
    from layshaft.advice.scatter_study import scatter
    from layshaft.co_simulation.export import write_fmu
    from layshaft.fitting.learned import Learned, read_learned
    from layshaft.fitting.learning import learn
    from layshaft.fitting.logged_lap import lap_log, lap_times, read_lap_times
    from layshaft.fitting.logged_run import read_log, run_log
    from layshaft.fitting.next_observations import suggest
    from layshaft.fitting.observations import observe, read_observations
    from layshaft.fitting.unknowns import unknown
    from layshaft.mounting.axle_lead import tyre_pairs
    from layshaft.mounting.gear_chart import mesh
    from layshaft.runs.changes import Change
    from layshaft.runs.files import load, save
    from layshaft.runs.lap_run import LapError, LapRun, lap
    from layshaft.runs.stint_run import TyreWear, stint
    from layshaft.setup.field_table import fields
    from layshaft.setup.parts_box import Parts, read_parts
    from layshaft.setup.schema import parts_schema, setup_schema, write_schemas
    from layshaft.setup.setup_file import SetupError, read_car, write_car
    from layshaft.sweeps.repeat import rerun, trace
    from layshaft.sweeps.table import sweep
    from layshaft.sweeps.track_gears import gear_map
    from layshaft.tracks.track import Track
    from layshaft.tracks.track_file import demo_track, read_track

__version__ = _version()

# Public name to the module that holds it; imported at first use, so that `import layshaft` is fast.
# What a launch needs is imported at once, so that the first one answers in a few milliseconds.
_MODULES = {
    "Between": "advice.choices",
    "Change": "runs.changes",
    "LapError": "runs.lap_run",
    "LapRun": "runs.lap_run",
    "Learned": "fitting.learned",
    "Parts": "setup.parts_box",
    "SetupError": "setup.setup_file",
    "Track": "tracks.track",
    "TyreWear": "runs.stint_run",
    "demo_track": "tracks.track_file",
    "fields": "setup.field_table",
    "gear_map": "sweeps.track_gears",
    "lap": "runs.lap_run",
    "lap_log": "fitting.logged_lap",
    "lap_times": "fitting.logged_lap",
    "learn": "fitting.learning",
    "load": "runs.files",
    "mesh": "mounting.gear_chart",
    "observe": "fitting.observations",
    "parts_schema": "setup.schema",
    "read_car": "setup.setup_file",
    "read_lap_times": "fitting.logged_lap",
    "read_learned": "fitting.learned",
    "read_log": "fitting.logged_run",
    "read_observations": "fitting.observations",
    "read_parts": "setup.parts_box",
    "read_track": "tracks.track_file",
    "recommend": "advice.recommendation",
    "rerun": "sweeps.repeat",
    "run_log": "fitting.logged_run",
    "save": "runs.files",
    "scatter": "advice.scatter_study",
    "setup_schema": "setup.schema",
    "stint": "runs.stint_run",
    "suggest": "fitting.next_observations",
    "sweep": "sweeps.table",
    "trace": "sweeps.repeat",
    "trade_off": "advice.goal_front",
    "tyre_pairs": "mounting.axle_lead",
    "unknown": "fitting.unknowns",
    "write_car": "setup.setup_file",
    "write_fmu": "co_simulation.export",
    "write_schemas": "setup.schema",
}
#: Public modules, imported in the same way.
_PUBLIC_MODULES = {"goals": "advice.goals"}

__all__ = [
    "Between",
    "Car",
    "Change",
    "LapError",
    "LapRun",
    "LaunchRun",
    "Learned",
    "Parts",
    "RunError",
    "SetupError",
    "Track",
    "TyreWear",
    "__version__",
    "demo_car",
    "demo_track",
    "fields",
    "gear_map",
    "goals",
    "lap",
    "lap_log",
    "lap_times",
    "launch",
    "learn",
    "load",
    "mesh",
    "observe",
    "parts_schema",
    "read_car",
    "read_lap_times",
    "read_learned",
    "read_log",
    "read_observations",
    "read_parts",
    "read_track",
    "recommend",
    "rerun",
    "run_log",
    "save",
    "scatter",
    "setup_schema",
    "stint",
    "suggest",
    "sweep",
    "trace",
    "trade_off",
    "tyre_pairs",
    "unknown",
    "write_car",
    "write_fmu",
    "write_schemas",
]


def __getattr__(name: str) -> object:
    if name in _PUBLIC_MODULES:
        return import_module(f"layshaft.{_PUBLIC_MODULES[name]}")
    if name not in _MODULES:
        raise AttributeError(f"module 'layshaft' has no attribute {name!r}", name=name)
    value = getattr(import_module(f"layshaft.{_MODULES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return [*globals(), *_MODULES, *_PUBLIC_MODULES]
