"""What to do with the hands: from the present setting to another, one line a part."""

from collections.abc import Mapping
from dataclasses import dataclass

from layshaft import _core
from layshaft.quantities import units
from layshaft.setup import field_table
from layshaft.setup.car import Car

_LEAST_TURN = 0.005  #: less is no turn of a screw
_PARTS = {
    "first.pinion": "first pinion",
    "first.spur": "first spur",
    "second.pinion": "second pinion",
    "second.spur": "second spur",
    "belts.rear.in_teeth": "driving pulley for the rear belt",
    "belts.rear.out_teeth": "rear axle pulley",
    "belts.front.in_teeth": "driving pulley for the front belt",
    "belts.front.out_teeth": "front axle pulley",
}
_TYRES = {"rear_tyre": "rear tyres", "front_tyre": "front tyres"}


@dataclass(frozen=True, slots=True)
class Move:
    """One thing to do."""

    path: str  #: field it changes
    was: float
    becomes: float
    turns: float | None  #: of a screw or nut; positive is in
    text: str


def moves_to(car: Car, settings: Mapping[str, float]) -> tuple[Move, ...]:
    """List what to do to bring a car to other settings; what stays is left out.

    Parameters
    ----------
    car
        The car as it is now.
    settings
        Path of a field, or of a pair, to its stored number.

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.Car({"two_speed.gap": "4.5 mm", "two_speed.screw_pitch": "0.5 mm"})
    >>> [move.text for move in moves_to(car, {"two_speed.gap": 0.0044, "first.pinion": 16})]
    ['turn both screws 0.20 in, from 4.50 to 4.40 mm', 'fit a first pinion of 16 teeth, now 17']
    """
    moves: list[Move] = []
    for path, value in settings.items():
        singles = field_table.pairs().get(path, (path,))
        each = [_move(car, single, value) for single in singles]
        if len(each) > 1 and len({move.was for move in each}) == 1:
            each = [_both(path, each[0])]
        moves += [move for move in each if not _is_nothing(move)]
    return tuple(moves)


def turns_in(car: Car, was: float, becomes: float) -> float:
    """Return the turns of a set screw between two caliper readings [m]; positive is in."""
    return _core.turns_in(car._core, was, becomes)


def turns_text(turns: float) -> str:
    """Say turns of a screw with their direction.

    Examples
    --------
    >>> turns_text(0.25), turns_text(-1.0), turns_text(0.0)
    ('0.25 in', '1.00 out', '0')
    """
    hundredths = round(turns, 2)
    if hundredths == 0:
        return "0"
    return f"{abs(hundredths):.2f} {'in' if turns > 0 else 'out'}"


def _move(car: Car, path: str, becomes: float) -> Move:
    was = car._core.get(path)
    field = field_table.field_of(path)
    section, _, name = path.rpartition(".")
    number = section.rpartition("_")[2]
    if name == "gap":
        turns = turns_in(car, was, becomes)
        text = f"turn screw {number} {turns_text(turns)}, from {_mm(was)} to {_mm(becomes)} mm"
        return Move(path, was, becomes, turns, text)
    if path == "clutch.axial.nut_turns":
        turns = becomes - was
        text = f"turn the clutch nut {turns_text(turns)}, to {becomes:.2f} turns"
        return Move(path, was, becomes, turns, text)
    if name == "slug_mass" and "shoe" in section:
        text = f"put a slug of {becomes * 1e3:.3g} g into shoe {number}, now {was * 1e3:.3g} g"
    elif path in _PARTS:
        text = f"fit a {_PARTS[path]} of {becomes:g} teeth, now {was:g}"
    elif section in _TYRES and name == "radius":
        wear = car[f"{section}.wear"]
        new, old = (f"{2e3 * (radius - wear):.4g}" for radius in (becomes, was))
        text = f"fit {_TYRES[section]} of {new} mm diameter, now {old}"
    else:
        text = f"set {path} to {_plain(field, becomes)}, now {_plain(field, was)}"
    return Move(path, was, becomes, None, text)


def _both(path: str, move: Move) -> Move:
    text = (
        move.text.replace("screw 1", "both screws")
        .replace("a slug", "slugs")
        .replace("into shoe 1", "into both shoes")
    )
    return Move(path, move.was, move.becomes, move.turns, text)


def _is_nothing(move: Move) -> bool:
    if move.turns is not None:
        return abs(move.turns) < _LEAST_TURN
    return move.was == move.becomes


def _mm(length: float) -> str:
    return f"{length * 1e3:.2f}"


def _plain(field: _core.Field, value: float) -> str:
    stored = field_table.as_stored(field, value)
    if isinstance(stored, str) or field.unit == "1":
        return f"{stored:.4g}" if isinstance(stored, float) else str(stored)
    unit = units.QUANTITIES[field.unit].unit
    return f"{units.from_si(value, field.unit, unit):.4g} {unit}"
