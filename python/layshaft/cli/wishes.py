"""Options of the advice commands, read: goals, limits, choices, and what was seen.

Each takes down in `Asked` what it understood.
"""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import layshaft
from layshaft.cli import typed_values
from layshaft.cli.asked import Asked
from layshaft.cli.options import loss_of
from layshaft.mounting.gaps import usual_gaps
from layshaft.quantities import units
from layshaft.quantities.pit_units import run_text
from layshaft.quantities.units import Given
from layshaft.runs.point_runs import scalar_unit

if TYPE_CHECKING:
    from layshaft.advice.goals import Goal
    from layshaft.fitting.logs import Log
    from layshaft.fitting.observations import Observation
    from layshaft.setup.car import Car

USUAL_ERROR = "2 km/h"  #: of a shift speed heard
_SHIFT_GOAL = "shift-at"


def read_goal(text: str, way: dict[str, Any], within: str | None, asked: Asked) -> "Goal":
    """Read a goal, with the loss that counts as none in its own unit."""
    from layshaft.advice import goals

    makers: dict[str, tuple[Callable[..., goals.Goal], str]] = {
        "quickest": (goals.quickest, "s"),
        "cool-shoes": (goals.coolest_shoes, "K"),
        "cool-clutch": (goals.coolest_clutch, "K"),
    }
    name, _, value = (part.strip() for part in text.partition("="))
    if name != _SHIFT_GOAL and (name not in makers or value):
        raise ValueError(f"--goal {text}: must be {', '.join(makers)} or {_SHIFT_GOAL}=SPEED")
    if name == _SHIFT_GOAL and not value:
        raise ValueError(
            f"--goal {text}: must be {_SHIFT_GOAL}=SPEED, such as {_SHIFT_GOAL}=50km/h"
        )
    maker, unit = makers.get(name, (goals.shift_at, "m/s"))
    if within is not None:
        way = way | {"within": _goal_loss(within, unit, asked)}
    if name != _SHIFT_GOAL:
        return maker(**way)
    typed_values.measured(f"--goal {name}", value, unit)
    found = maker(value, **way)
    asked.note("--goal", found.name)
    return found


def _goal_loss(text: str, unit: str, asked: Asked) -> float:
    if unit != "K":
        return loss_of(text, unit, asked)
    # A difference: a scale whose zero is elsewhere does not have it.
    if not text.strip().endswith("K"):
        raise ValueError(f'--within {text}: must be a difference of temperature such as "2 K"')
    loss = units.to_si(text, unit)
    asked.note("--within", units.si_text(loss, unit, "K"))
    return loss


def read_choices(over: list[str] | None, asked: Asked) -> dict[str, Any] | None:
    """Read what may change; `None` where nothing is named."""
    choices: dict[str, Any] = {}
    for path, values in map(typed_values.read_choice, over or []):
        if path in choices:
            raise ValueError(f"{path} is to vary twice; write all its values at once")
        choices[path] = values
        asked.values("--over", path, values)
    return choices or None


def read_limit(text: str, asked: Asked) -> tuple[str, Given]:
    """Read an upper limit of a scalar of a run."""
    name, value = _pair(text, "--limit", "NAME=MOST")
    unit = scalar_unit(name)
    most = typed_values.measured(f"--limit {name}", value, unit)
    asked.note("--limit", name, "at most", " ".join(run_text(most, unit)).strip())
    return name, value if isinstance(typed_values.plain(value), str) else most


def read_spread(text: str, asked: Asked) -> tuple[str, object]:
    """Read how far a field scatters."""
    path, value = _pair(text, "--spread", "PATH=SPREAD")
    spread = typed_values.check_unit("--spread", path, typed_values.plain(value))
    asked.note("--spread", path, value)
    return path, spread


def usual_range(present: "Car") -> dict[str, Any]:
    """Return the range of the gap that is tried when nothing is named."""
    gaps = usual_gaps(present)
    return {"two_speed.gap": layshaft.Between(gaps[0], gaps[-1])}


def _pair(text: str, option: str, form: str) -> tuple[str, str]:
    name, equals, value = (part.strip() for part in text.partition("="))
    if not (name and equals and value):
        raise ValueError(f"{option} {text}: must read {form}")
    return name, value


def read_evidence(
    shift: list[str] | None,
    error: str,
    seen: Path | None,
    log: Path | None,
    log_error: str | None,
    laps: Sequence[str],
    track: str | None,
    asked: Asked,
) -> "list[Observation | Log]":
    """Read what was heard, seen and logged."""
    evidence: list[Observation | Log] = []
    spread = asked.checked("--error", error, "m/s", usual=USUAL_ERROR)
    for text in shift or []:
        gap, speed = _pair(text, "--shift", "GAP=SPEED, such as 4.6mm=56km/h")
        typed_values.measured("--shift", gap, "m")
        heard = typed_values.measured("--shift", speed, "m/s")
        setting = {"two_speed.gap": gap}
        seen_then = layshaft.observe("shift_speed", speed, changes=setting, error=spread)
        evidence.append(seen_then)
        ((_, stored),) = seen_then.changes
        told = units.si_text(heard, "m/s"), units.si_text(stored, "m")
        asked.note("--shift", " at ".join(told))
    if laps and track is None:
        raise ValueError("--lap needs --track: a track file, club or fast")
    if track is not None and not laps:
        raise ValueError(f"--track {track}: there is no --lap that it could belong to")
    for text in laps:
        gap, time = _pair(text, "--lap", "GAP=TIME, such as 4.6mm=21.7s")
        typed_values.measured("--lap", gap, "m")
        typed_values.measured("--lap", time, "s")
        driven = layshaft.observe(
            "lap_time", time, changes={"two_speed.gap": gap}, track=str(track), sample_spacing=0.0
        )
        evidence.append(driven)
        asked.note("--lap", f"{driven.value:g} s at {gap}")
    logs = read_run_log(log, log_error)
    if seen is not None:
        evidence += layshaft.read_observations(seen)
    evidence += logs
    if log_error is not None:
        asked.note("--log-error", log_error)
    if not evidence:
        raise ValueError("nothing was seen: give --shift, --lap, --seen or --log")
    return evidence


def read_run_log(
    log: Path | None, log_error: str | None, changes: dict[str, Any] | None = None
) -> "list[Log]":
    """Read the log of a run with its error; without one there is none."""
    if log is None:
        if log_error is not None:
            raise ValueError(f"--log-error {log_error}: there is no --log that it could belong to")
        return []
    if log_error is None or not isinstance(typed_values.plain(log_error), str):
        given = "" if log_error is None else f", not {log_error}"
        raise ValueError(f"--log needs --log-error with its unit, such as 300rpm{given}")
    return [layshaft.read_log(log, error=log_error, changes=changes)]


def read_unknowns(present: "Car", texts: list[str] | None, asked: Asked) -> list[list[Any]]:
    """Return what is to be learned as the last argument of `learn`; nothing for the usual."""
    if not texts:
        return []
    wanted: list[Any] = []
    for text in texts:
        path, _, doubt = (part.strip() for part in text.partition("="))
        written = typed_values.plain(doubt)
        given: Any = typed_values.check_unit("--unknown", path, written) if doubt else None
        wanted.append(layshaft.unknown(present, path, doubt=given))
        asked.note("--unknown", path, doubt)
    return [wanted]
