"""Cars written as set-up files, in full, with marks on what was not measured, or line by line."""

import os
from collections.abc import Iterable

from layshaft import _core
from layshaft.setup import field_table
from layshaft.setup.car import Car, checked_car, demo_car
from layshaft.setup.handed_over import checked_names, checked_path
from layshaft.setup.toml_text import to_toml
from layshaft.storage.atomic import atomic_write


def write_car(
    car: Car, path: str | os.PathLike[str], *, measured: Iterable[str] | None = None
) -> None:
    """Write a car as a full set-up file: every field with its unit and meaning.

    The file is written aside and then moved into place, so that it is never half a file. Read back
    by `read_car` it gives the same car, bit for bit.

    Parameters
    ----------
    car
        The car.
    path
        File to write; one that is there is replaced.
    measured
        Paths of the settings that are this car's own; by default all. Of the others, those that
        the car shares with the demo car stand behind a `#=`, so that `measured_in` tells them
        apart.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "car.toml")
    ...     layshaft.write_car(layshaft.demo_car(), file)
    ...     layshaft.read_car(file) == layshaft.demo_car()
    True
    """
    text = checked_car(car).to_toml() if measured is None else _marked(car, measured)
    with atomic_write(checked_path("path", path)) as aside:
        aside.write_text(text, encoding="utf-8", newline="\n")


def _marked(car: Car, measured: Iterable[str]) -> str:
    values, demo = car.to_dict(), demo_car().to_dict()
    own = field_table.singles(checked_names("measured", measured))
    assumed = {path for path, value in values.items() if path not in own and value == demo[path]}
    return to_toml(values, assumed)


def write_lines(car: Car, path: str | os.PathLike[str]) -> None:
    """Write a car with one setting a line by its full path, numbers in SI units.

    This is a set-up file too, and the only form that the C interface reads.
    """
    with atomic_write(checked_path("path", path)) as aside:
        aside.write_text(_core.setup_text(checked_car(car)._core), encoding="utf-8", newline="\n")
