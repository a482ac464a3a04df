"""Samples of a run over time and of a lap over distance, with the labels of the core's outputs."""

from typing import TYPE_CHECKING, Any

import numpy as np

from layshaft import _core

if TYPE_CHECKING:
    import xarray

#: Dimensions, values and attributes of a variable, in the form that `xarray.Dataset` takes.
Variable = tuple[tuple[str, ...], np.ndarray, dict[str, Any]]

#: Name, SI unit, meaning and names of the values of an output of the core.
Output = tuple[str, str, str, tuple[str, ...]]


def row_of(name: str, outputs: tuple[Output, ...]) -> int:
    """Return the row of an output in a table of samples."""
    return [output[0] for output in outputs].index(name)


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
    variables = _labelled(run.sample_outputs(air_temperature), _core.outputs, "time")
    _, times, _ = variables.pop("stopwatch")
    labels: dict[str, Any] = {"units": "s", "long_name": "Time from the start"}
    return {"time": (("time",), times, labels)} | variables


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
        Over `distance` [m]; each variable labelled as those of `read_samples`.
    """
    import xarray

    variables: dict[str, Any] = _labelled(
        run.sample_outputs(air_temperature), _core.lap_outputs, "distance"
    )
    first = {name: variables.pop(name) for name in ("distance", "time")}
    return xarray.Dataset(first | variables).set_coords("distance")


def _labelled(
    table: np.ndarray, outputs: tuple[Output, ...], dimension: str
) -> dict[str, Variable]:
    variables: dict[str, Variable] = {}
    for values, (name, unit, meaning, choices) in zip(table, outputs, strict=True):
        labels: dict[str, Any] = {"units": unit, "long_name": meaning}
        if choices:
            labels["flag_values"] = np.arange(len(choices), dtype=np.int8)
            labels["flag_meanings"] = " ".join(choices)
        variables[name] = ((dimension,), values.astype(np.int8) if choices else values, labels)
    return variables
