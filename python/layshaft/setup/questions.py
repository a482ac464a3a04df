"""The questions that begin a set-up file: what a mechanic knows or reads off in ten minutes."""

import re
from dataclasses import dataclass

from layshaft.quantities import units
from layshaft.setup import field_table
from layshaft.setup.car import Car
from layshaft.setup.field_table import Value

_HALF = 0.5  #: radius over diameter


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question, for one setting or a pair of them."""

    path: str
    words: str
    is_diameter: bool = False  #: asked for in place of the radius
    only_with: tuple[str, str] | None = None  #: asked where a choice is this one

    @property
    def factor(self) -> float:
        """The setting over what is asked for."""
        return _HALF if self.is_diameter else 1.0

    @property
    def unit(self) -> str:
        """Unit of a bare number; empty for a count, a ratio or a choice."""
        return units.QUANTITIES[field_table.field_of(self.path).unit].unit

    @property
    def bounds(self) -> str:
        """What the answer must be, in words."""
        field = field_table.field_of(self.path)
        if field.kind == "choice":
            return f"one of {', '.join(field.choices)}"
        if field.kind == "count":
            return f"a whole number from {field.minimum:g} to {field.maximum:g}"
        least, most = (
            units.bound_text(bound / self.factor, field.unit, is_minimum=is_minimum)
            for bound, is_minimum in ((field.minimum, True), (field.maximum, False))
        )
        return f"from {least} to {most}"

    def described(self, car: Car) -> str:
        """Write the car's own value as an answer to the question."""
        field = field_table.field_of(self.path)
        if field.kind != "number":
            return str(car[self.path])
        return units.si_text(car._core.get(field.path) / self.factor, field.unit)


#: In the order in which one walks round the car.
QUESTIONS = (
    Question(path="body.mass", words="The car on the scale, ready to race"),
    Question(path="rear_tyre.radius", words="Diameter of the rear tyres", is_diameter=True),
    Question(path="front_tyre.radius", words="Diameter of the front tyres", is_diameter=True),
    Question(path="front_axle", words="Front axle: what joins its wheels to the belt"),
    Question(path="first.pinion", words="Teeth of the pinion of first gear"),
    Question(path="first.spur", words="Teeth of the spur of first gear"),
    Question(path="second.pinion", words="Teeth of the pinion of second gear"),
    Question(path="second.spur", words="Teeth of the spur of second gear"),
    Question(path="belts.rear.in_teeth", words="Rear belt: teeth of its pulley on the shaft"),
    Question(path="belts.rear.out_teeth", words="Rear belt: teeth of its pulley on the axle"),
    Question(path="belts.front.in_teeth", words="Front belt: teeth of its driving pulley"),
    Question(path="belts.front.out_teeth", words="Front belt: teeth of its pulley on the axle"),
    Question(path="clutch.design", words="Engine clutch: which kind"),
    Question(
        path="clutch.axial.nut_turns",
        words="Clutch nut: turns in from where the spring is just touched",
        only_with=("clutch.design", "axial"),
    ),
    Question(path="two_speed.gap", words="Two-speed: what the caliper reads over the screws"),
    Question(path="two_speed.reading_direction", words="That reading, as a screw is turned in"),
    Question(path="two_speed.slug_mass", words="Two-speed: the weight put into each shoe"),
)


def read_answer(question: Question, text: str) -> Value:
    """Turn an answer as it was typed into the value of its setting.

    A bare number is in the question's unit.

    Raises
    ------
    ValueError
        Naming the setting, what was typed, and what it must be.

    Examples
    --------
    >>> gap = next(each for each in QUESTIONS if each.path == "two_speed.gap")
    >>> read_answer(gap, "4.6"), read_answer(gap, "4600 um")
    (0.0046, 0.0046)
    >>> read_answer(gap, "46")
    Traceback (most recent call last):
    ValueError: two_speed.gap = 46 must be from 1 mm to 10 mm
    """
    field = field_table.field_of(question.path)
    typed = text.strip()
    try:
        if field.kind == "choice":
            return field_table.as_stored(field, field_table.to_number(field, typed))
        if field.kind == "count":
            return field_table.as_stored(field, field_table.to_number(field, _count(typed)))
        number = units.to_si(f"{typed} {question.unit}" if _is_bare(typed) else typed, field.unit)
    except ValueError as error:
        why = re.search(r" \(.*\)$", str(error)) if field.kind == "number" else None
        must = f"{question.bounds}{why[0] if why else ''}"
        raise ValueError(f"{_name(question)} = {typed} must be {must}") from None
    value = number * question.factor
    if not field.minimum <= value <= field.maximum:
        raise ValueError(f"{_name(question)} = {typed} must be {question.bounds}")
    return value


def is_asked(question: Question, car: Car) -> bool:
    """Tell whether a question makes sense for a car."""
    return question.only_with is None or car[question.only_with[0]] == question.only_with[1]


def _name(question: Question) -> str:
    return f"diameter for {question.path}" if question.is_diameter else question.path


def _count(text: str) -> int | str:
    return int(text) if text.lstrip("+-").isdecimal() else text


def _is_bare(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
