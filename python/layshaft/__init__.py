"""Drivetrain and two-speed simulation of 1/8-scale nitro on-road cars."""

from importlib import import_module
from typing import TYPE_CHECKING

from layshaft._core import version as _version
from layshaft.car import Car, demo_car
from layshaft.launch_run import LaunchRun, RunError, launch

if TYPE_CHECKING:
    from layshaft import goals
    from layshaft.axle_lead import tyre_pairs
    from layshaft.changes import Change
    from layshaft.choices import Between
    from layshaft.field_table import fields
    from layshaft.files import load, save
    from layshaft.gear_chart import mesh
    from layshaft.goal_front import trade_off
    from layshaft.lap_run import LapError, LapRun, lap
    from layshaft.learned import Learned, read_learned
    from layshaft.learning import learn
    from layshaft.logged_lap import lap_log, lap_times, read_lap_times
    from layshaft.logged_run import read_log, run_log
    from layshaft.next_observations import suggest
    from layshaft.observations import observe, read_observations
    from layshaft.parts_box import Parts, read_parts
    from layshaft.recommendation import recommend
    from layshaft.repeat import rerun, trace
    from layshaft.scatter_study import scatter
    from layshaft.schema import parts_schema, setup_schema, write_schemas
    from layshaft.setup_file import SetupError, read_car, write_car
    from layshaft.stint_run import TyreWear, stint
    from layshaft.sweep_table import sweep
    from layshaft.track import Track
    from layshaft.track_file import demo_track, read_track
    from layshaft.track_gears import gear_map
    from layshaft.unit_export import write_fmu
    from layshaft.unknowns import unknown

__version__ = _version()

# Public name to the module that holds it; imported at first use, so that `import layshaft` is fast.
# What a launch needs is imported at once, so that the first one answers in a few milliseconds.
_MODULES = {
    "Between": "choices",
    "Change": "changes",
    "LapError": "lap_run",
    "LapRun": "lap_run",
    "Learned": "learned",
    "Parts": "parts_box",
    "SetupError": "setup_file",
    "Track": "track",
    "TyreWear": "stint_run",
    "demo_track": "track_file",
    "fields": "field_table",
    "gear_map": "track_gears",
    "lap": "lap_run",
    "lap_log": "logged_lap",
    "lap_times": "logged_lap",
    "learn": "learning",
    "load": "files",
    "mesh": "gear_chart",
    "observe": "observations",
    "parts_schema": "schema",
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
    "trace": "repeat",
    "trade_off": "goal_front",
    "tyre_pairs": "axle_lead",
    "unknown": "unknowns",
    "write_car": "setup_file",
    "write_fmu": "unit_export",
    "write_schemas": "schema",
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
        return import_module(f"layshaft.{name}")
    if name not in _MODULES:
        raise AttributeError(f"module 'layshaft' has no attribute {name!r}", name=name)
    value = getattr(import_module(f"layshaft.{_MODULES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return [*globals(), *_MODULES, *_PUBLIC_MODULES]
