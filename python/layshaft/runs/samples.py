"""Samples of a run over time, with their labels."""

from typing import NamedTuple

import numpy as np

from layshaft import _core

#: Dimensions, values and attributes of a variable, in the form that `xarray.Dataset` takes.
Variable = tuple[tuple[str, ...], np.ndarray | float, dict[str, object]]


class Label(NamedTuple):
    """Name, SI unit and meaning of a sampled variable."""

    name: str
    unit: str
    meaning: str


#: By name of the core's node.
NODES = {
    "crank": Label("crank_speed", "rad/s", "Engine speed"),
    "bell": Label("bell_speed", "rad/s", "Speed of the clutch bell"),
    "shaft": Label("shaft_speed", "rad/s", "Speed of the two-speed shaft"),
    "rear": Label("rear_speed", "rad/s", "Speed of the rear axle"),
    "front": Label("front_speed", "rad/s", "Speed of the front axle"),
    "car": Label("car_speed", "m/s", "Speed of the car"),
}

#: By name of the core's coupling: its torque, its slip and what its mode is called.
COUPLINGS = {
    "clutch": (
        Label("clutch_torque", "N*m", "Torque of the engine clutch"),
        Label("clutch_slip", "rad/s", "Slip of the engine clutch, crank less bell"),
        "Engine clutch",
    ),
    "first": (
        Label("first_torque", "N*m", "Torque of first gear at the two-speed shaft"),
        Label("first_slip", "rad/s", "Slip of first gear's one-way bearing, at the shaft"),
        "First gear",
    ),
    "second": (
        Label("second_torque", "N*m", "Torque of the shoes on the drum"),
        Label("second_slip", "rad/s", "Slip of the drum on the shoes"),
        "Second gear",
    ),
    "rear_belt": (
        Label("rear_belt_torque", "N*m", "Torque of the rear belt at the axle"),
        Label("rear_belt_slip", "rad/s", "Slip of the rear belt at the axle"),
        "Rear belt",
    ),
    "front_belt": (
        Label("front_belt_torque", "N*m", "Torque of the front belt at the axle"),
        Label("front_belt_slip", "rad/s", "Slip of the front belt at the axle"),
        "Front belt",
    ),
    "brake": (
        Label("brake_torque", "N*m", "Torque of brake and bearing drag at the two-speed shaft"),
        Label("brake_slip", "rad/s", "Slip of brake and bearings, the shaft's own speed"),
        "Brake and bearing drag",
    ),
    "rolling": (
        Label("rolling_force", "N", "Rolling drag of all tyres"),
        Label("rolling_slip", "m/s", "Slip of the rolling drag, the car's own speed"),
        "Rolling drag",
    ),
}

#: By name of the core's auxiliary state.
AUXILIARIES = {
    "rear_strain": Label("rear_strain", "1", "Strain of the rear tyres' carcasses"),
    "front_strain": Label("front_strain", "1", "Strain of the front tyres' carcasses"),
    "rear_slip": Label("rear_slip", "1", "Slip of the rear tyres"),
    "front_slip": Label("front_slip", "1", "Slip of the front tyres"),
    "load_transfer": Label("load_transfer", "N", "Load moved from the front to the rear axle"),
    "throttle": Label("throttle", "1", "Throttle opening reached"),
    "clutch_surface": Label("clutch_lining_temperature", "K", "Temperature of the clutch lining"),
    "clutch_body": Label("clutch_bell_temperature", "K", "Temperature of the clutch bell"),
    "shoe_surface": Label("shoe_lining_temperature", "K", "Temperature of the shoe linings"),
    "shoe_body": Label("drum_temperature", "K", "Temperature of the drum"),
}

#: By name of the core's account: an integral that nothing depends on.
ACCOUNTS = {
    "distance": Label("car_distance", "m", "Distance covered by the car"),
    "fuel": Label("fuel", "kg", "Fuel burnt so far"),
    "engine_work": Label("engine_work", "J", "Work of the engine so far"),
    "clutch_loss": Label("clutch_loss", "J", "Slip heat of the engine clutch so far"),
    "shoe_loss": Label("shoe_loss", "J", "Slip heat of shoes and drum so far"),
    "mesh_loss": Label("mesh_loss", "J", "Loss of the gear meshes so far"),
    "belt_loss": Label("belt_loss", "J", "Loss of the belts so far"),
    "brake_loss": Label("brake_loss", "J", "Heat of brake and bearing drag so far"),
    "rolling_loss": Label("rolling_loss", "J", "Work against rolling drag so far"),
    "rear_tyre_loss": Label("rear_tyre_loss", "J", "Slip heat of the rear tyres so far"),
    "front_tyre_loss": Label("front_tyre_loss", "J", "Slip heat of the front tyres so far"),
    "tyre_stored": Label("tyre_stored", "J", "Elastic work held in the tyres"),
    "air_loss": Label("air_loss", "J", "Work against the air so far"),
    "grade_work": Label("grade_work", "J", "Work against the grade so far"),
}

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

#: Sampled positions of switches; the others are seen in the modes of their couplings.
_SHOES = {"shoe_1": "Shoe 1", "shoe_2": "Shoe 2"}


def read_samples(run: _core.LaunchResult, air_temperature: float) -> dict[str, Variable]:
    """Label the samples of a run.

    Parameters
    ----------
    run
        The core's result.
    air_temperature
        Of the track [K]; the core counts temperatures from it.

    Returns
    -------
    dict
        Over `time` [s]; each variable with `units` and `long_name`, modes as small whole numbers
        with `flag_values` and `flag_meanings`.
    """
    times = np.ascontiguousarray(run.sample_times[:, 0])
    variables: dict[str, Variable] = {
        "time": (("time",), times, {"units": "s", "long_name": "Time from the start"})
    }

    def add(label: Label, values: np.ndarray) -> None:
        attributes = {"units": label.unit, "long_name": label.meaning}
        variables[label.name] = (("time",), np.ascontiguousarray(values), attributes)

    def add_flags(name: str, values: np.ndarray, meaning: str, flags: tuple[str, ...]) -> None:
        attributes = {
            "units": "1",
            "long_name": meaning,
            "flag_values": np.arange(len(flags), dtype=np.int8),
            "flag_meanings": " ".join(flags),
        }
        variables[name] = (("time",), values.astype(np.int8), attributes)

    states = run.sample_states
    for column, name in enumerate(_core.node_names):
        add(NODES[name], states[:, column])
    for column, name in enumerate(_core.auxiliary_names, start=len(_core.node_names)):
        label = AUXILIARIES[name]
        add(label, states[:, column] + (air_temperature if label.unit == "K" else 0.0))
    for column, name in enumerate(_core.account_names):
        add(ACCOUNTS[name], run.sample_accounts[:, column])
    torques, slips, modes = run.sample_torques, run.sample_slips, run.sample_modes
    for column, name in enumerate(_core.coupling_names):
        torque, slip, part = COUPLINGS[name]
        add(torque, torques[:, column])
        add(slip, slips[:, column])
        add_flags(f"{name}_mode", modes[:, column], f"{part}: what it does", _core.mode_names)
    for table, labels in _AXLES.items():
        for column, label in enumerate(labels):
            add(label, getattr(run, table)[:, column])
    switches = run.sample_switches
    for column, name in enumerate(_core.switch_names):
        if name in _SHOES:
            add_flags(
                f"{name}_out", switches[:, column], f"{_SHOES[name]}: position", ("in", "out")
            )
    return variables
