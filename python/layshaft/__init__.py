"""Drivetrain and two-speed simulation of 1/8-scale nitro on-road cars."""

from importlib import import_module
from typing import TYPE_CHECKING

from layshaft._core import version as _version

if TYPE_CHECKING:
    from layshaft import goals
    from layshaft.axle_lead import tyre_pairs
    from layshaft.car import Car, demo_car
    from layshaft.changes import Change
    from layshaft.choices import Between
    from layshaft.field_table import fields
    from layshaft.files import save
    from layshaft.gear_chart import mesh
    from layshaft.goal_front import trade_off
    from layshaft.lap_run import LapError, LapRun, lap
    from layshaft.launch_run import LaunchRun, RunError, launch
    from layshaft.learned import Learned, read_learned
    from layshaft.learning import learn
    from layshaft.logged_lap import lap_log, lap_times, read_lap_times
    from layshaft.logged_run import read_log, run_log
    from layshaft.next_observations import suggest
    from layshaft.observations import observe, read_observations
    from layshaft.parts_box import Parts, read_parts
    from layshaft.recommendation import recommend
    from layshaft.repeat import rerun
    from layshaft.scatter_study import scatter
    from layshaft.schema import setup_schema
    from layshaft.setup_file import SetupError, read_car, write_car
    from layshaft.stint_run import TyreWear, stint
    from layshaft.sweep_table import sweep
    from layshaft.track import Track
    from layshaft.track_file import demo_track, read_track
    from layshaft.track_gears import gear_map
    from layshaft.unknowns import unknown

__version__ = _version()

# Public name to the module that holds it; imported at first use, so that `import layshaft` is fast.
_MODULES = {
    "Between": "choices",
    "Car": "car",
    "Change": "changes",
    "LapError": "lap_run",
    "LapRun": "lap_run",
    "LaunchRun": "launch_run",
    "Learned": "learned",
    "Parts": "parts_box",
    "RunError": "launch_run",
    "SetupError": "setup_file",
    "Track": "track",
    "TyreWear": "stint_run",
    "demo_car": "car",
    "demo_track": "track_file",
    "fields": "field_table",
    "gear_map": "track_gears",
    "lap": "lap_run",
    "lap_log": "logged_lap",
    "lap_times": "logged_lap",
    "launch": "launch_run",
    "learn": "learning",
    "mesh": "gear_chart",
    "observe": "observations",
    "read_car": "setup_file",
    "read_lap_times": "logged_lap",
    "read_learned": "learned",
    "read_log": "logged_run",
    "read_observations": "observations",
    "read_parts": "parts_box",
    "read_track": "track_file",
    "recommend": "recommendation",
    "rerun": "repeat",
    "run_log": "logged_run",
    "save": "files",
    "scatter": "scatter_study",
    "setup_schema": "schema",
    "stint": "stint_run",
    "suggest": "next_observations",
    "sweep": "sweep_table",
    "trade_off": "goal_front",
    "tyre_pairs": "axle_lead",
    "unknown": "unknowns",
    "write_car": "setup_file",
}
#: Public modules, imported in the same way.
_PUBLIC_MODULES = ("goals",)

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
    "mesh",
    "observe",
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
    "trade_off",
    "tyre_pairs",
    "unknown",
    "write_car",
]


def __getattr__(name: str) -> object:
    if name in _PUBLIC_MODULES:
        return import_module(f"layshaft.{name}")
    if name not in _MODULES:
        raise AttributeError(f"module 'layshaft' has no attribute {name!r}", name=name)
    value = getattr(import_module(f"layshaft.{_MODULES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return [*globals(), *_MODULES, *_PUBLIC_MODULES]
