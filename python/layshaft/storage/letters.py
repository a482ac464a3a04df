"""Texts in a netCDF variable as letters along its last dimension, so that each has its place."""

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import netCDF4


def to_letters(texts: np.ndarray, count: int) -> np.ndarray:
    """Return texts as so many letters each, along a last dimension; what is longer is cut.

    Examples
    --------
    >>> to_letters(np.array(["shaft", "on"]), 4).tolist()
    [[b's', b'h', b'a', b'f'], [b'o', b'n', b'', b'']]
    """
    coded = [str(text).encode()[:count].decode(errors="ignore").encode() for text in texts.flat]
    return np.array(coded, dtype=f"S{count}").view("S1").reshape(*texts.shape, count)


def write_texts(variable: "netCDF4.Variable", region: tuple[slice, ...], texts: np.ndarray) -> None:
    """Write texts to a part of a variable."""
    variable.set_auto_chartostring(False)
    variable[(*region, slice(None))] = to_letters(texts, variable.shape[-1])


def write_everywhere(variable: "netCDF4.Variable", text: str) -> None:
    """Write one text to the whole of a variable."""
    letters = to_letters(np.array(text), variable.shape[-1])
    variable[:] = np.broadcast_to(letters, variable.shape)


def read_texts(variable: "netCDF4.Variable", region: tuple[slice, ...]) -> np.ndarray:
    """Read texts back."""
    variable.set_auto_chartostring(False)
    letters = np.ascontiguousarray(variable[(*region, slice(None))])
    return np.char.decode(letters.view(f"S{letters.shape[-1]}")[..., 0], "utf-8")
