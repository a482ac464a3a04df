"""Names of files that a verb reads and writes, checked before any work is done."""

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TypeVar

_Out = TypeVar("_Out", Path, Path | None)
_PICTURES = (".png", ".pdf", ".svg")


def checked_files(
    out: _Out,
    usual: str,
    csv: Path | None = None,
    netcdf: Path | None = None,
    *,
    read: Mapping[str, object],
    written: Mapping[str, Path | None] | None = None,
    replaced: Mapping[str, Path | None] | None = None,
    dark: bool = False,
) -> _Out:
    """Check all names of a verb; return the picture's, or `None` where none is asked for.

    Parameters
    ----------
    out, usual
        Picture or folder for it, and the picture's usual name.
    csv, netcdf
        Tables.
    read
        Files that are read, by the option that names them.
    written
        Others that are written.
    replaced
        Those that may be written over on demand, even where they are read.
    dark
        Whether the picture is to be dark.
    """
    if dark and out is None:
        raise ValueError("--dark: there is no picture; --out names a file or a folder for it")
    for file, ending, option in ((csv, ".csv", "--csv"), (netcdf, ".nc", "--netcdf")):
        check_ending(option, file, ending)
    picture = out / usual if out is not None and out.is_dir() else out
    if picture is not None and picture.suffix not in _PICTURES:
        raise ValueError(f"--out {picture}: must be a folder or end in {', '.join(_PICTURES)}")
    tables = {"--out": picture, "--csv": csv, "--netcdf": netcdf}
    check_written(read, tables | dict(written or {}), replaced or {})
    return picture


def check_ending(option: str, file: Path | None, ending: str) -> None:
    """Refuse a file of another ending."""
    if file is not None and file.suffix != ending:
        raise ValueError(f"{option} {file}: the name must end in {ending}")


def check_written(
    read: Mapping[str, object],
    written: Mapping[str, Path | None],
    replaced: Mapping[str, Path | None],
) -> None:
    """Refuse to write where there is no folder, over what is read, or twice to one file."""
    names = {option: Path(str(file)) for option, file in read.items() if file is not None}
    taken = {_identity(file): option for option, file in names.items() if file.exists()}
    outputs: dict[object, str] = {}
    for option, file in (*written.items(), *replaced.items()):
        if file is None:
            continue
        if not file.parent.is_dir():
            raise ValueError(f"{file}: there is no folder {file.parent}")
        own = _identity(file)
        other = outputs.get(own) or (taken.get(own) if option in written else None)
        if other:
            raise ValueError(f"{option} {file}: is the file of {other} too; take another name")
        outputs[own] = option


def _identity(file: Path) -> object:
    """Return what two names of one file have in common, links or not."""
    if file.exists():
        found = file.stat()
        return found.st_dev, found.st_ino
    return os.path.realpath(file)
