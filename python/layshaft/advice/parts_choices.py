"""What may be mounted of the parts at hand: sets of gears, pulleys and tyres that go together."""

import itertools
from collections.abc import Mapping

from layshaft.advice.choices import Choices, read_choices
from layshaft.mounting.gear_sets import meshing_sets
from layshaft.setup.car import Car
from layshaft.setup.parts_at_hand import Parts, checked_parts
from layshaft.setup.settings import merged

_AXLES = ("rear", "front")


def read_all_choices(car: Car, over: Mapping[str, object], parts: Parts | None) -> Choices:
    """Read what may be chosen by name and out of the parts box.

    Parameters
    ----------
    car
        The car as it is now; what the box does not name stays as it is in the car.
    over
        As for `read_choices`.
    parts
        Parts at hand. Slugs are a list like any other, so that one finds a plateau over them; all
        else is a set: gears that mesh, pulleys and tyres, in every combination.

    Raises
    ------
    ValueError
        As `read_choices`, and if none of the gears mesh.

    Examples
    --------
    >>> import layshaft
    >>> box = layshaft.Parts(front_diameters=(0.068, 0.069), rear_in_teeth=(18, 19))
    >>> choices = read_all_choices(layshaft.demo_car(), {}, box)
    >>> [round(each["front_tyre.radius"], 6) for each in choices.sets]
    [0.034, 0.0345, 0.034, 0.0345]
    """
    if parts is None:
        return read_choices(over)
    checked_parts(parts)
    wanted = dict(over)
    if parts.slugs and "two_speed.slug_mass" not in wanted:
        wanted["two_speed.slug_mass"] = list(parts.slugs)
    return read_choices(wanted, part_sets(car, parts))


def part_sets(car: Car, parts: Parts) -> list[dict[str, float]]:
    """Return every set of gears, pulleys and tyres at hand; empty if there are none.

    A belt is taken to reach round any of the pulleys; tyres have the diameter that they have now.
    """
    gears: list[dict[str, float]] = meshing_sets(car, parts) or [{}]
    kinds = [gears]
    for axle, end in itertools.product(_AXLES, ("in", "out")):
        teeth = getattr(parts, f"{axle}_{end}_teeth")
        kinds.append([{f"belts.{axle}.{end}_teeth": float(each)} for each in teeth] or [{}])
    for axle in _AXLES:
        # The car's tyre law takes wear off the radius.
        wear = car[f"{axle}_tyre.wear"]
        diameters = getattr(parts, f"{axle}_diameters")
        kinds.append([{f"{axle}_tyre.radius": each / 2.0 + wear} for each in diameters] or [{}])
    sets = [merged(*each) for each in itertools.product(*kinds)]
    return sets if sets[0] else []
