"""Front against rear: which axle pulls the other, and what circulates through the belts for it."""

import itertools
from dataclasses import dataclass

from layshaft import _core
from layshaft.setup.car import Car, checked_car
from layshaft.setup.parts_at_hand import Parts, checked_parts

_AXLES = {"rear": _core.rear_axle, "front": _core.front_axle}


@dataclass(frozen=True, slots=True, kw_only=True)
class TyrePair:
    """Tyres and belts that join them; SI units."""

    rear_diameter: float  #: as they stand on the car, wear taken off [m]
    front_diameter: float  #: [m]
    rear_ratio: float  #: shaft turns per wheel turn [-]
    front_ratio: float
    lead: float  #: tread speed of the front over the rear, less 1 [-]; above 0 the front pulls
    force: float  #: circulating while the car coasts straight on [N]; 0 where the front freewheels
    loss_per_metre: float  #: work lost to it per metre of way [J/m]
    text: str


def tyre_pairs(car: Car, parts: Parts | None = None) -> list[TyrePair]:
    """List pairs of tyres and belt pulleys by their lead, the least first.

    Both axles turn with the shaft, so that tyres of unequal tread speed slip against each other:
    the force is where rear slip and front slip, each times its stiffness, balance. Stiffness is
    that of small slip at the weight at rest; the force does not exceed the grip of either axle.

    Parameters
    ----------
    car
        The car.
    parts
        Tyres and pulleys at hand; those of the car where none are named.

    Returns
    -------
    list of TyrePair
        Diameters [m], lead [-], force [N] and loss [J/m] of each, the least lead first.

    Examples
    --------
    >>> import layshaft
    >>> pair, = tyre_pairs(layshaft.demo_car())
    >>> 0.0 < pair.lead < 0.02
    True
    """
    parts = Parts() if parts is None else parts
    checked_car(car)
    parts = None if parts is None else checked_parts(parts)
    rear, front = (_diameters(car, parts, axle) for axle in ("rear", "front"))
    rear_ratios, front_ratios = (_ratios(car, parts, axle) for axle in ("rear", "front"))
    pairs = [
        _pair(car, *each) for each in itertools.product(rear, front, rear_ratios, front_ratios)
    ]
    return sorted(pairs, key=lambda pair: abs(pair.lead))


def _pair(car: Car, rear: float, front: float, rear_ratio: float, front_ratio: float) -> TyrePair:
    lead = _core.front_lead(front / 2.0, front_ratio, rear / 2.0, rear_ratio)
    freewheels = car["front_axle"] == "one_way" and lead < 0.0
    axles = _core.rear_axle(car._core), _core.front_axle(car._core)
    give = sum(1.0 / axle.stiffness for axle in axles)
    force = 0.0 if freewheels else min(abs(lead) / give, *(axle.grip for axle in axles))
    share = f"{abs(lead):.1%}"
    if freewheels:
        text = f"front {share} slower: its one-way lets it run free"
    elif lead > 0.0:
        text = f"front {share} faster: it pulls, the rear holds back"
    elif lead < 0.0:
        text = f"rear {share} faster: it pushes, the front holds back"
    else:
        text = "both alike"
    return TyrePair(
        rear_diameter=rear,
        front_diameter=front,
        rear_ratio=rear_ratio,
        front_ratio=front_ratio,
        lead=lead,
        force=force,
        loss_per_metre=force * abs(lead),
        text=text,
    )


def _diameters(car: Car, parts: Parts, axle: str) -> tuple[float, ...]:
    return getattr(parts, f"{axle}_diameters") or (2.0 * _AXLES[axle](car._core).radius,)


def _ratios(car: Car, parts: Parts, axle: str) -> list[float]:
    """Return the shaft turns per wheel turn of all belts to an axle that may be mounted."""
    into = getattr(parts, f"{axle}_in_teeth") or (car[f"belts.{axle}.in_teeth"],)
    out = getattr(parts, f"{axle}_out_teeth") or (car[f"belts.{axle}.out_teeth"],)
    paths = f"belts.{axle}.in_teeth", f"belts.{axle}.out_teeth"
    changes = (
        list(zip(paths, map(float, teeth), strict=True)) for teeth in itertools.product(into, out)
    )
    return sorted({_AXLES[axle](car._core.replace(each)).ratio for each in changes})
