"""Results as pictures. Each draws on the axes it is given and returns them, or a new figure."""

from layshaft.quantities.late_names import late_names

#: The public names, each with the module that holds it; for type checkers they stand in
#: `__init__.pyi`, which a test compares.
_HOMES = {
    "car_speed": "launch_plots",
    "energy_sinks": "launch_plots",
    "engine_shares": "lap_plots",
    "engine_speed": "launch_plots",
    "engine_speeds": "sweep_plots",
    "engine_trace": "lap_plots",
    "fuel": "stint_plots",
    "gear_band": "lap_plots",
    "gear_map_picture": "track_gear_plots",
    "gear_speeds": "gear_plots",
    "goal_curve": "advice_plots",
    "hand_over": "sweep_plots",
    "lap_story": "lap_plots",
    "lap_times": "stint_plots",
    "launch_story": "launch_plots",
    "learned_band": "learned_plots",
    "learned_figure": "learned_plots",
    "live": "notebook",
    "misfits": "learned_plots",
    "modes": "launch_plots",
    "pedal_trace": "lap_plots",
    "picture": "notebook",
    "plateau_figure": "advice_plots",
    "scatter_shares": "advice_plots",
    "setting_curve": "sweep_plots",
    "setting_map": "map_plots",
    "setup_card": "card",
    "shift_curve": "advice_plots",
    "shift_drift": "stint_plots",
    "shift_speed": "sweep_plots",
    "shift_speeds": "launch_plots",
    "speed_trace": "lap_plots",
    "stint_story": "stint_plots",
    "temperatures": "stint_plots",
    "time_lost": "sweep_plots",
    "torques": "launch_plots",
    "track_map": "lap_plots",
    "track_outline": "lap_plots",
    "trade_front": "advice_plots",
    "tyre_slip": "launch_plots",
    "tyres": "stint_plots",
}
__all__ = sorted(_HOMES)

__getattr__ = late_names(__name__, _HOMES, globals())


def __dir__() -> list[str]:
    return list(__all__)
