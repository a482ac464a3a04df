"""Observations as plain data, for files: they are checked again when they are read."""

import json
from dataclasses import asdict
from typing import Any

from layshaft.fitting.observations import Observation, measure_unit
from layshaft.fitting.shown import check_shown
from layshaft.quantities.possible import check_error
from layshaft.runs.measures import plain_options
from layshaft.runs.run_options import options_from_json
from layshaft.setup.settings import as_written
from layshaft.sweeps.swept_values import axis_values


def plain_observation(observation: Observation) -> dict[str, Any]:
    """Return an observation as plain data; of own measures their names and units alone.

    Examples
    --------
    >>> from layshaft.fitting.observations import observe
    >>> heard = observe("shift_speed", "54 km/h", changes={"two_speed.gap": "4.6 mm"})
    >>> observation_of(plain_observation(heard)) == heard
    True
    """
    return asdict(observation) | {"options": plain_options(observation.options)}


def observation_of(content: dict[str, Any]) -> Observation:
    """Read what `plain_observation` gave.

    Raises
    ------
    KeyError
        If a part is missing.
    ValueError
        If one is not as it was written.
    """
    options = options_from_json(json.dumps(content["options"]))
    changes = tuple((path, float(value)) for path, value in content["changes"])
    for path, value in changes:
        axis_values(path, as_written({path: value})[path])
    measure = content["measure"]
    value, error = (float(content[name]) for name in ("value", "error"))
    check_shown(measure, value, measure_unit(measure, options), value, options)
    check_error(measure, error, error)
    return Observation(measure=measure, value=value, error=error, changes=changes, options=options)
