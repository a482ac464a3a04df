"""Results as pictures. Each draws on the axes it is given and returns them, or a new figure."""

from layshaft.plots.advice_plots import (
    goal_curve,
    plateau_figure,
    scatter_shares,
    shift_curve,
    trade_front,
)
from layshaft.plots.card import setup_card
from layshaft.plots.gear_plots import gear_speeds
from layshaft.plots.lap_plots import (
    engine_shares,
    engine_trace,
    gear_band,
    lap_story,
    pedal_trace,
    speed_trace,
    track_map,
    track_outline,
)
from layshaft.plots.launch_plots import (
    car_speed,
    energy_sinks,
    engine_speed,
    launch_story,
    modes,
    shift_speeds,
    torques,
    tyre_slip,
)
from layshaft.plots.learned_plots import learned_band, learned_figure, misfits
from layshaft.plots.map_plots import setting_map
from layshaft.plots.notebook import live, picture
from layshaft.plots.stint_plots import (
    fuel,
    lap_times,
    shift_drift,
    stint_story,
    temperatures,
    tyres,
)
from layshaft.plots.sweep_plots import (
    engine_speeds,
    hand_over,
    setting_curve,
    shift_speed,
    time_lost,
)
from layshaft.plots.track_gear_plots import gear_map_picture

__all__ = [
    "car_speed",
    "energy_sinks",
    "engine_shares",
    "engine_speed",
    "engine_speeds",
    "engine_trace",
    "fuel",
    "gear_band",
    "gear_map_picture",
    "gear_speeds",
    "goal_curve",
    "hand_over",
    "lap_story",
    "lap_times",
    "launch_story",
    "learned_band",
    "learned_figure",
    "live",
    "misfits",
    "modes",
    "pedal_trace",
    "picture",
    "plateau_figure",
    "scatter_shares",
    "setting_curve",
    "setting_map",
    "setup_card",
    "shift_curve",
    "shift_drift",
    "shift_speed",
    "shift_speeds",
    "speed_trace",
    "stint_story",
    "temperatures",
    "time_lost",
    "torques",
    "track_map",
    "track_outline",
    "trade_front",
    "tyre_slip",
    "tyres",
]
