"""Why some of many runs gave nothing: each reason once, with how often it was."""

import re
from collections.abc import Iterable

from layshaft.runs.run_options import Drive

_MOST_REASONS = 3
_NUMBER = re.compile(r"[-+]?\d[\d.,]*(?:e[-+]?\d+)?")


class Reasons:
    """Reasons as they gather; those that differ in numbers alone are alike.

    Examples
    --------
    >>> Reasons(["stopped at 1.2 s", "no shift", "stopped at 1.3 s"]).describe()
    '2 runs: stopped at 1.2 s, and the like; 1 run: no shift'
    """

    def __init__(self, reasons: Iterable[str] = ()) -> None:
        self._counts: dict[str, int] = {}
        self._examples: dict[str, dict[str, None]] = {}  # in order
        self.add(reasons)

    def add(self, reasons: Iterable[str]) -> None:
        """Take in the reasons of some runs; an empty one is none."""
        for reason in filter(None, reasons):
            kind = _NUMBER.sub("#", reason)
            self._counts[kind] = self._counts.get(kind, 0) + 1
            examples = self._examples.setdefault(kind, {})
            if len(examples) < 2:
                examples[reason] = None

    def describe(self) -> str:
        """Say each with its count, the most frequent first; a single one without."""
        if len(self._counts) == 1:
            return self._example(*self._counts)
        kinds = sorted(self._counts, key=lambda kind: -self._counts[kind])
        parts = [
            f"{_runs(self._counts[kind])}: {self._example(kind)}" for kind in kinds[:_MOST_REASONS]
        ]
        if len(kinds) > _MOST_REASONS:
            left = sum(self._counts[kind] for kind in kinds[_MOST_REASONS:])
            parts.append(f"{_runs(left)}: other reasons")
        return "; ".join(parts)

    def _example(self, kind: str) -> str:
        example, *others = self._examples[kind]
        return f"{example.removesuffix('.')}{', and the like' if others else ''}"


def out_of_time(options: Drive) -> str:
    """Say that a run has ended before its distance.

    Examples
    --------
    >>> from layshaft.runs.run_options import read_options
    >>> out_of_time(read_options())
    '60 m not reached in 20 s'
    """
    return f"{options.distance:g} m not reached in {options.longest_time:g} s"


def _runs(count: int) -> str:
    return "1 run" if count == 1 else f"{count} runs"
