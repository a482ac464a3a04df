"""What was typed, read with its units, and said once more as it was understood."""

from layshaft.advice.choices import Between
from layshaft.cli import typed_values
from layshaft.cli.say import say
from layshaft.quantities import units
from layshaft.quantities.units import Given
from layshaft.setup import field_table

_MOST_LISTED = 6


class Asked:
    """Gathers what the options of one command mean, to be told before its results.

    Examples
    --------
    >>> asked = Asked()
    >>> asked.measured("--start-speed", "10 m/s", "m/s")
    10.0
    >>> asked.values("--over", "first.pinion", [16, 17])
    >>> asked.describe()
    'Understood: --start-speed 36 km/h; --over first.pinion 16, 17.'
    """

    def __init__(self) -> None:
        self._notes: list[str] = []

    def measured(self, option: str, text: str, si_unit: str, *, usual: str = "") -> float:
        """Read a number that must have its unit; only what is not the usual is told."""
        example = "" if usual.startswith("0 ") else usual
        number = typed_values.measured(option, text, si_unit, example)
        if text != usual:
            self.note(option, units.si_text(number, si_unit, _RUN_UNITS.get(si_unit)))
        return number

    def checked(self, option: str, text: str, si_unit: str, *, usual: str = "") -> Given:
        """Read a number as `measured` does; return it as it was typed, so that a fault shows it."""
        number = self.measured(option, text, si_unit, usual=usual)
        return text if isinstance(typed_values.plain(text), str) else number

    def values(self, option: str, path: str, given: object) -> None:
        """Take down what a field is to be: a value, a range, or a list."""
        if isinstance(given, Between):
            self.note(option, path, f"{_shown(path, given.low)} to {_shown(path, given.high)}")
        elif isinstance(given, list):
            shown = [_shown(path, value) for value in given]
            few = ", ".join(shown)
            many = f"{shown[0]} to {shown[-1]} in {len(shown)} values"
            self.note(option, path, few if len(shown) <= _MOST_LISTED else many)
        else:
            self.note(option, path, _shown(path, given))

    def note(self, *words: str) -> None:
        """Take down anything else."""
        text = " ".join(filter(None, words))
        if text not in self._notes:
            self._notes.append(text)

    def describe(self) -> str:
        """Return the sentence; empty where nothing was asked for."""
        return f"Understood: {'; '.join(self._notes)}." if self._notes else ""

    def echo(self) -> None:
        """Print the sentence."""
        if self._notes:
            say(self.describe())


#: A run's length is told in metres, whatever a part of the car is measured in.
_RUN_UNITS = {"m": "m"}


def _shown(path: str, value: object) -> str:
    field = field_table.find_field(path)
    if field is None:
        return str(value)
    try:
        return field_table.describe(field, field_table.to_number(field, value))
    except ValueError:
        return str(value)  # refused with its reason where it is used
