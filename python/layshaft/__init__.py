"""Drivetrain and two-speed simulation of 1/8-scale nitro on-road cars."""

from importlib import import_module

from layshaft._core import version as _version

# What a launch needs is imported at once, so that the first one answers in a few milliseconds.
from layshaft.runs.launch_run import launch as launch

__version__ = _version()

#: The public names, each with the module that holds it; imported at first use, so that
#: `import layshaft` is fast. For type checkers they stand in `__init__.pyi`, which a test compares.
_HOMES = {
    "Advised": "logbook.entries",
    "Between": "advice.choices",
    "Car": "setup.car",
    "Change": "runs.changes",
    "Comparison": "logbook.comparison",
    "CornerPass": "runs.lap_events",
    "CostLine": "advice.cost_lines",
    "Confidence": "advice.confidence",
    "Doubt": "advice.doubts",
    "Doubts": "advice.doubts",
    "Day": "logbook.entries",
    "Difference": "logbook.comparison",
    "Effect": "advice.recommendation",
    "Facts": "runs.car_facts",
    "Fault": "setup.setup_file",
    "Field": "setup.field_table",
    "Found": "advice.setting_search",
    "GearFacts": "runs.car_facts",
    "Goal": "advice.goals",
    "Interval": "fitting.learned",
    "LapError": "runs.lap_run",
    "LapEvent": "runs.lap_events",
    "LapOptions": "runs.lap_options",
    "LapRun": "runs.lap_run",
    "LaunchOptions": "runs.launch_options",
    "LaunchRun": "runs.launch_run",
    "Learned": "fitting.learned",
    "Line": "tracks.track",
    "Log": "fitting.logs",
    "Logbook": "logbook.book",
    "LoggedRun": "logbook.entries",
    "Measure": "runs.measures",
    "Moment": "runs.lap_events",
    "Move": "mounting.setting_moves",
    "Observation": "fitting.observations",
    "Parts": "setup.parts_at_hand",
    "Piece": "tracks.track",
    "PlainRun": "runs.plain_run",
    "PointRuns": "runs.point_runs",
    "Recommendation": "advice.recommendation",
    "RunError": "runs.launch_run",
    "Scatter": "advice.scatter_study",
    "Season": "logbook.season",
    "SeasonDay": "logbook.season",
    "Section": "setup.section",
    "SettingAdvice": "advice.setting_advice",
    "SetupError": "setup.setup_file",
    "Share": "advice.scatter_study",
    "Spared": "advice.needed_moves",
    "Stint": "runs.stint_result",
    "Stop": "runs.stint_result",
    "Suggestion": "fitting.next_observations",
    "Track": "tracks.track",
    "TradeOff": "advice.goal_front",
    "TyrePair": "mounting.axle_lead",
    "TyreWear": "runs.stint_result",
    "Unknown": "fitting.unknowns",
    "Way": "fitting.measuring_sheet",
    "best_gears": "sweeps.track_gears",
    "best_setting": "advice.setting_advice",
    "compare_setups": "logbook.comparison",
    "demo_car": "setup.car",
    "demo_track": "tracks.track_file",
    "doubts": "advice.doubts",
    "facts": "runs.car_facts",
    "export_season": "logbook.export",
    "fields": "setup.field_table",
    "friction_left": "runs.stint_run",
    "gear_map": "sweeps.track_gears",
    "lap": "runs.lap_run",
    "lap_log": "fitting.logs",
    "lap_times": "fitting.lap_timer",
    "launch": "runs.launch_run",
    "learn": "fitting.learning",
    "learn_season": "logbook.season",
    "load": "runs.files",
    "measured_in": "setup.setup_file",
    "measuring_sheet": "fitting.measuring_sheet",
    "mesh": "sweeps.gear_chart",
    "observe": "fitting.observations",
    "open_logbook": "logbook.book",
    "parts_schema": "setup.schema",
    "pendulum_inertia": "fitting.swing_and_spin",
    "read_car": "setup.setup_file",
    "read_lap_times": "fitting.lap_timer",
    "read_learned": "fitting.learned_file",
    "read_log": "fitting.logs",
    "read_observations": "fitting.observation_file",
    "read_parts": "setup.parts_at_hand",
    "read_track": "tracks.track_file",
    "recommend": "advice.recommendation",
    "rerun": "sweeps.repeat",
    "run_cases": "sweeps.cases",
    "run_log": "fitting.logs",
    "save": "runs.files",
    "scatter": "advice.scatter_study",
    "season_table": "logbook.export",
    "setup_schema": "setup.schema",
    "spin_down_slope": "fitting.swing_and_spin",
    "spin_down_torque": "fitting.swing_and_spin",
    "stint": "runs.stint_run",
    "suggest": "fitting.next_observations",
    "sweep": "sweeps.table",
    "trace": "sweeps.repeat",
    "trade_off": "advice.goal_front",
    "tyre_pairs": "mounting.axle_lead",
    "unknown": "fitting.unknowns",
    "write_car": "setup.setup_writing",
    "write_fmu": "co_simulation.export",
    "write_page": "page.page_file",
    "write_schemas": "setup.schema",
}
#: Public modules, imported in the same way.
_MODULES = {"goals": "advice.goals", "plots": "plots", "reports": "reports"}
__all__ = sorted([*_HOMES, *_MODULES, "__version__"])


def __getattr__(name: str) -> object:
    if name in _MODULES:
        value = import_module(f"layshaft.{_MODULES[name]}")
    elif name in _HOMES:
        value = getattr(import_module(f"layshaft.{_HOMES[name]}"), name)
    else:
        raise AttributeError(f"module 'layshaft' has no attribute {name!r}", name=name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return list(__all__)
