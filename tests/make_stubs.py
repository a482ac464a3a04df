"""What type checkers read of the installed package: the core, the public names, a car's fields.

Without arguments they are written into the source; a test compares them.
"""

import itertools
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import layshaft
from layshaft import _core
from layshaft.setup import field_table

PACKAGE = Path(__file__).resolve().parents[1] / "python" / "layshaft"


def stubs() -> dict[str, str]:
    """Return the text of each stub by its path in the package."""
    return {
        "_core.pyi": core_stub(),
        "__init__.pyi": public_stub(),
        "plots/__init__.pyi": late_stub(layshaft.plots),
        "reports/__init__.pyi": late_stub(layshaft.reports),
        "setup/car_fields.pyi": "\n".join(field_lines()) + "\n",
    }


def core_stub() -> str:
    """Let pybind11-stubgen write that of the compiled core."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "pybind11_stubgen", "layshaft._core", "-o", folder]
        subprocess.run([*command, "--exit-code"], check=True, capture_output=True)
        text = Path(folder, "layshaft", "_core.pyi").read_text(encoding="utf-8")
    return f"# Written by tests/make_stubs.py.\n{text}"


def public_stub() -> str:
    """Import every public name from where it is held."""
    lines = ['"""The public names of layshaft; written by tests/make_stubs.py."""', ""]
    for name, home in layshaft._MODULES.items():
        room, _, module = f"layshaft.{home}".rpartition(".")
        lines.append(f"from {room} import {module} as {name}")
    for name, home in layshaft._HOMES.items():
        lines.append(f"from layshaft.{home} import {name} as {name}")
    return "\n".join([*lines, "", "__version__: str", ""])


def late_stub(package: ModuleType) -> str:
    """Import every name of a package from the module in it that holds it."""
    lines = [f'"""{package.__doc__} Written by tests/make_stubs.py."""', ""]
    for name, home in package._HOMES.items():
        lines.append(f"from {package.__name__}.{home} import {name} as {name}")
    return "\n".join([*lines, ""])


def field_lines() -> Iterator[str]:
    """Write the sections of a car as classes, and the type of each field by its path."""
    yield '"""Fields of a car by section and by path; written by tests/make_stubs.py."""'
    yield from ("", "from typing import Any, Literal, overload", "")
    yield "from layshaft.setup.section import Section"
    yield "from layshaft.setup.field_table import Points"
    for section, members in field_table.sections().items():
        if not section:
            continue
        yield from ("", f"class {class_name(section)}(Section):")
        yield from itertools.chain.from_iterable(map(member, members.items()))
    yield from ("", "class CarFields:")
    yield from itertools.chain.from_iterable(map(member, field_table.sections()[""].items()))
    by_type: dict[str, list[str]] = {}
    paths = [*field_table.positions(), *field_table.pairs(), field_table.CURVE]
    sections = [section for section in field_table.sections() if section]
    for path in [*paths, *sections]:
        by_type.setdefault(type_of(path), []).append(path)
    for kind, names in by_type.items():
        yield "    @overload"
        yield f"    def __getitem__(self, path: Literal{names!r}) -> {kind}: ..."
    yield from ("    @overload", "    def __getitem__(self, path: str) -> Any: ...")


def member(each: tuple[str, str]) -> Iterator[str]:
    """Write one field or section of a section."""
    name, path = each
    yield "    @property"
    yield f"    def {name}(self) -> {type_of(path)}:"
    yield f'        """{meaning(path)}"""'


def class_name(section: str) -> str:
    """Return the name of a section's class.

    Examples
    --------
    >>> class_name("two_speed.shoe_1")
    'TwoSpeedShoe1'
    """
    return "".join(word.capitalize() for word in section.replace(".", "_").split("_"))


def type_of(path: str) -> str:
    """Return the type of what a path holds."""
    field = field_table.find_field(path)
    if path == field_table.CURVE:
        return "Points"
    if field is None:
        return class_name(path)
    if field.kind == "choice":
        return f"Literal{list(field.choices)!r}"
    return {"number": "float", "count": "int"}[field.kind]


def meaning(path: str) -> str:
    """Return what a path holds, with its unit."""
    field = field_table.find_field(path)
    if path == field_table.CURVE:
        curve = _core.torque_curve_field()
        return f"{curve.meaning} [{curve.x_unit}, {curve.y_unit}]."
    if field is None:
        return f"Section `{path}`."
    unit = f" [{'-' if field.unit == '1' else field.unit}]" if field.kind == "number" else ""
    return f"{field.meaning}{unit}."


if __name__ == "__main__":
    for path, text in stubs().items():
        (PACKAGE / path).write_text(text, encoding="utf-8")
