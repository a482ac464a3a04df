"""Results of a sweep where nothing is kept of them: the part of a dataset that reports need.

Importing xarray takes longer than most sweeps that are typed. So what reads a table for sentences
and pictures asks no more of it than this, under the names that an `xarray.Dataset` has for it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np


@dataclass(frozen=True, eq=False)
class PlainArray:
    """Values along named dimensions.

    Examples
    --------
    >>> times = PlainArray(("gap", "distance"), np.array([[1.0, 2.0], [3.0, 4.0]]), {})
    >>> times.isel(distance=-1).values.tolist(), times.transpose("distance", "gap").shape
    ([2.0, 4.0], (2, 2))
    """

    dims: tuple[str, ...]
    values: np.ndarray
    attrs: Mapping[str, Any]

    @property
    def shape(self) -> tuple[int, ...]:
        """Length of each dimension."""
        return self.values.shape

    @property
    def dtype(self) -> np.dtype:
        """Kind of the values."""
        return self.values.dtype

    def isel(self, **places: int) -> "PlainArray":
        """Return what lies at a place of some dimensions."""
        at = tuple(places.get(name, slice(None)) for name in self.dims)
        left = tuple(name for name in self.dims if name not in places)
        return PlainArray(left, self.values[at], self.attrs)

    def transpose(self, *dims: str) -> "PlainArray":
        """Return the same with its dimensions in another order."""
        order = [self.dims.index(name) for name in dims]
        return PlainArray(dims, self.values.transpose(order), self.attrs)


class PlainTable:
    """Arrays by name, those of the axes and the marks too.

    Examples
    --------
    >>> table = PlainTable({"gap": (["gap"], np.array([0.004]), {"units": "m"})}, {})
    >>> table.gap.values.tolist(), table["gap"].attrs["units"], "status" in table
    ([0.004], 'm', False)
    """

    def __init__(self, variables: Mapping[str, tuple], attrs: Mapping[str, Any]) -> None:
        self.variables = {
            name: PlainArray((dims,) if isinstance(dims, str) else tuple(dims), values, labels)
            for name, (dims, values, labels) in variables.items()
        }
        self.attrs = attrs

    @property
    def data_vars(self) -> dict[str, PlainArray]:
        """All but the axes and the marks."""
        return {name: each for name, each in self.variables.items() if each.dims != (name,)}

    @property
    def sizes(self) -> dict[str, int]:
        """Length of each axis."""
        return {
            name: len(each.values) for name, each in self.variables.items() if name in each.dims
        }

    def __contains__(self, name: str) -> bool:
        return name in self.variables

    def __getitem__(self, name: str) -> PlainArray:
        return self.variables[name]

    def __getattr__(self, name: str) -> PlainArray:
        if name == "variables" or name not in self.variables:  # the first while it is unpickled
            raise AttributeError(f"the table has no {name!r}", name=name)
        return self.variables[name]
