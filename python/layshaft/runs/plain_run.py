"""The numbers of a run by name, without labels."""

from dataclasses import dataclass
from functools import cached_property

from layshaft import _core
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.samples import Variable, read_samples
from layshaft.setup.car import Car


@dataclass(frozen=True, eq=False)
class PlainRun:
    """All numbers of a run by name: what its labelled arrays are made of.

    Taking samples costs more than the run itself. So it is made without them, and once more with
    them when they are first asked for: they change no bit of it.
    """

    car: Car
    options: LaunchOptions
    scalars: dict[str, Variable]
    marks: dict[str, Variable]  #: with their coordinates `distance` and `speed`
    changes: dict[str, Variable]

    @cached_property
    def samples(self) -> dict[str, Variable]:
        """What went on, over `time`."""
        result = _core.launch(self.car._core, self.options.core())
        return read_samples(result, self.car["air.temperature"])
