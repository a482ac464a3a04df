"""A network of bodies and couplings described as data: for problems with known answers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from layshaft import _core


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeLaw:
    """`constant + slope t + amplitude sin(2 pi frequency t + phase)`."""

    constant: float = 0.0
    slope: float = 0.0  #: [1/s]
    amplitude: float = 0.0
    frequency: float = 0.0  #: [Hz]
    phase: float = 0.0  #: [rad]


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A turning [kg*m^2, rad/s, N*m] or moving [kg, m/s, N] body."""

    inertia: float  #: > 0
    speed: float = 0.0  #: at the start
    angle: float = 0.0  #: at the start
    torque: TimeLaw = field(default_factory=TimeLaw)
    drag: float = 0.0  #: torque per square of speed, >= 0
    stiffness: float = 0.0  #: of a spring between the body and its base, >= 0
    base_speed: float = 0.0  #: speed of that base; the angle is counted from it


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling:
    """What joins bodies: it slides at a limit of its torque, or holds them without slip.

    It presses from `closed_from` on, while pressure + speed_gain * speed^2 is above 0; that is the
    torque it slides with.
    """

    slip: Mapping[str, float]  #: body to its factor: slip is the sum of factor times speed
    pressure: TimeLaw = field(default_factory=TimeLaw)  #: [N*m] or [N]
    speed_gain: float = 0.0  #: per square of the speed of `speed_of`
    speed_of: str | None = None
    hold_ratio: float = 1.0  #: torque held at rest over the sliding torque, >= 1
    closed_from: float = 0.0  #: [s]
    rigid: bool = False  #: without limit
    one_way: bool = False  #: carries positive torque only
    efficiency: float = 1.0  #: power out over power in, > 0, <= 1
    driver: str | None = None  #: body that pays for the loss; by default the first of `slip`


class CouplingChange(NamedTuple):
    """One change of what a coupling does, by the names of its modes."""

    time: float  #: [s]
    coupling: str
    was: str
    now: str


@dataclass(frozen=True, slots=True, eq=False)
class NetworkRun:
    """What a network did; the arrays hold one value for each time asked for."""

    status: str  #: `finished`, or why it stopped early
    changes: tuple[CouplingChange, ...]
    times: np.ndarray  #: [s]
    speeds: dict[str, np.ndarray]  #: by body
    angles: dict[str, np.ndarray]  #: by body
    losses: dict[str, np.ndarray]  #: by coupling, since the start [J]


def run_described(
    bodies: Mapping[str, Body],
    couplings: Mapping[str, Coupling],
    *,
    times: Sequence[float],
    tolerance: float = 1e-9,
) -> NetworkRun:
    """Run a network from time 0 to the last of some times.

    Parameters
    ----------
    bodies, couplings
        By name; at most eight each.
    times
        Where speeds, angles and losses are taken [s], ascending, >= 0.
    tolerance
        Of an integration step, relative [-].

    Raises
    ------
    ValueError
        For values out of bounds and for names that are no body.

    Examples
    --------
    Two inertias and a clutch of 2 N m lock at 40 rad/s after 0.6 s.

    >>> run = run_described(
    ...     {"in": Body(inertia=0.02, speed=100.0), "out": Body(inertia=0.03)},
    ...     {"clutch": Coupling(slip={"in": 1, "out": -1}, pressure=TimeLaw(constant=2.0))},
    ...     times=[1.0],
    ... )
    >>> [(round(change.time, 9), change.now) for change in run.changes]
    [(0.6, 'stuck')]
    >>> round(float(run.speeds["out"][0]), 9), round(float(run.losses["clutch"][0]), 9)
    (40.0, 60.0)
    """
    names = list(bodies)
    described = _core.DescribedNetwork(
        bodies=[_core_body(body) for body in bodies.values()],
        couplings=[_core_coupling(coupling, names) for coupling in couplings.values()],
    )
    run = _core.run_described(described, list(times), tolerance)
    parts = list(couplings)
    return NetworkRun(
        status=run.status,
        changes=tuple(
            CouplingChange(**row | {"coupling": parts[row["coupling"]]}) for row in run.changes
        ),
        times=np.asarray(times, dtype=float)[: len(run.speeds)],
        speeds={name: run.speeds[:, k] for k, name in enumerate(names)},
        angles={name: run.angles[:, k] for k, name in enumerate(names)},
        losses={name: run.losses[:, k] for k, name in enumerate(parts)},
    )


def _core_law(law: TimeLaw) -> _core.TimeLaw:
    return _core.TimeLaw(
        constant=law.constant,
        slope=law.slope,
        amplitude=law.amplitude,
        frequency=law.frequency,
        phase=law.phase,
    )


def _core_body(body: Body) -> _core.DescribedBody:
    return _core.DescribedBody(
        inertia=body.inertia,
        speed=body.speed,
        angle=body.angle,
        torque=_core_law(body.torque),
        drag=body.drag,
        stiffness=body.stiffness,
        base_speed=body.base_speed,
    )


def _core_coupling(coupling: Coupling, names: list[str]) -> _core.DescribedCoupling:
    def position(body: str) -> int:
        if body not in names:
            raise ValueError(f"coupling on {body!r}, which is none of the bodies {names}")
        return names.index(body)

    row = [0.0] * len(names)
    for body, factor in coupling.slip.items():
        row[position(body)] = float(factor)
    first = next(iter(coupling.slip))
    return _core.DescribedCoupling(
        slip=row,
        driver=position(coupling.driver or first),
        efficiency=coupling.efficiency,
        pressure=_core_law(coupling.pressure),
        speed_gain=coupling.speed_gain,
        speed_body=position(coupling.speed_of or first),
        hold_ratio=coupling.hold_ratio,
        closed_from=coupling.closed_from,
        rigid=coupling.rigid,
        one_way=coupling.one_way,
    )
