"""Samples of a lap over the distance, as labelled arrays."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.runs.samples import ACCOUNTS, AUXILIARIES, COUPLINGS, NODES, Label

if TYPE_CHECKING:
    import xarray

_AXLES = {
    "sample_tyre_forces": (
        Label("rear_tyre_force", "N", "Driving force of the rear tyres"),
        Label("front_tyre_force", "N", "Driving force of the front tyres"),
    ),
    "sample_axle_loads": (
        Label("rear_axle_load", "N", "Load on the rear axle"),
        Label("front_axle_load", "N", "Load on the front axle"),
    ),
}
_OWN = {
    "sample_times": Label("time", "s", "Time from the line"),
    "sample_lateral_acceleration": Label(
        "lateral_acceleration", "m/s^2", "Acceleration to the left"
    ),
    "sample_grip_taken": Label("grip_taken", "1", "Share of the grip used sideways"),
    "sample_aimed_speed": Label("aimed_speed", "m/s", "Speed aimed at"),
}


def read_lap_samples(run: _core.LapResult, air_temperature: float) -> "xarray.Dataset":
    """Label the samples of a lap.

    Parameters
    ----------
    run
        The core's result.
    air_temperature
        Of the track [K]; the core counts temperatures from it.

    Returns
    -------
    xarray.Dataset
        Over `distance` [m]; each variable with `units` and `long_name`, modes as small whole
        numbers with `flag_values` and `flag_meanings`.
    """
    import xarray

    variables: dict[str, tuple] = {}

    def add(label: Label, values: np.ndarray) -> None:
        attributes = {"units": label.unit, "long_name": label.meaning}
        variables[label.name] = ("distance", np.ascontiguousarray(values), attributes)

    def add_flags(name: str, values: np.ndarray, meaning: str, flags: tuple[str, ...]) -> None:
        attributes = {
            "units": "1",
            "long_name": meaning,
            "flag_values": np.arange(len(flags), dtype=np.int8),
            "flag_meanings": " ".join(flags),
        }
        variables[name] = ("distance", values.astype(np.int8), attributes)

    for table, label in _OWN.items():
        add(label, getattr(run, table)[:, 0])
    states, accounts, modes = run.sample_states, run.sample_accounts, run.sample_modes
    for column, name in enumerate(_core.node_names):
        add(NODES[name], states[:, column])
    for column, name in enumerate(_core.auxiliary_names, start=len(_core.node_names)):
        label = AUXILIARIES[name]
        add(label, states[:, column] + (air_temperature if label.unit == "K" else 0.0))
    at = len(_core.node_names) + len(_core.auxiliary_names)
    add(Label("brake_pedal", "1", "Brake pedal reached"), states[:, at + 1])
    for column, name in enumerate(_core.account_names):
        if name != "distance":
            add(ACCOUNTS[name], accounts[:, column])
    meaning = "Work of the tyres' drag in corners so far"
    add(Label("cornering_loss", "J", meaning), accounts[:, -1])
    for column, name in enumerate(_core.coupling_names):
        torque, slip, part = COUPLINGS[name]
        add(torque, run.sample_torques[:, column])
        add(slip, run.sample_slips[:, column])
        add_flags(f"{name}_mode", modes[:, column], f"{part}: what it does", _core.mode_names)
    for table, labels in _AXLES.items():
        for column, label in enumerate(labels):
            add(label, getattr(run, table)[:, column])
    switches = dict(zip(_core.track_switch_names, run.sample_switches.T, strict=True))
    for name in ("shoe_1", "shoe_2"):
        add_flags(f"{name}_out", switches[name], f"Shoe {name[-1]}: position", ("in", "out"))
    add_flags("foot", switches["foot"], "What the driver does", ("down", "aiming"))
    labels = {"units": "m", "long_name": "Distance from the line"}
    return xarray.Dataset(variables, coords={"distance": ("distance", states[:, at], labels)})
