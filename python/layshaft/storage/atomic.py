"""A file is written aside and moved into place: whoever reads it finds the old or the new, whole.

Whatever cuts a write short - an error, a full disk, an interrupt, a killed process - leaves the old
file as it was; only a killed process leaves the unfinished one beside it, hidden by its dot.
"""

import contextlib
import os
import secrets
import shutil
from collections.abc import Iterator
from pathlib import Path


@contextlib.contextmanager
def atomic_write(path: str | os.PathLike[str]) -> Iterator[Path]:
    """Give a path beside `path` to write to; move it into place if nothing is raised.

    Parameters
    ----------
    path
        File to write; one that is there is replaced and hands on its permissions.

    Raises
    ------
    FileNotFoundError
        If its folder is not there.
    OSError
        If it cannot be written; it names `path`.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with atomic_write(pathlib.Path(folder, "note.txt")) as aside:
    ...         _ = aside.write_text("whole")
    ...     pathlib.Path(folder, "note.txt").read_text()
    'whole'
    """
    target = Path(os.path.realpath(path))  # a link stays a link
    if not target.parent.is_dir():
        raise FileNotFoundError(f"{os.fspath(path)}: there is no folder {target.parent}")
    # The ending stays: writers go by it.
    aside = target.with_name(f".{secrets.token_hex(4)}.{target.name}")
    try:
        yield aside
        with aside.open("rb") as file:
            os.fsync(file.fileno())
        if target.exists():
            shutil.copymode(target, aside)
        aside.replace(target)
    except OSError as error:
        if error.strerror and error.filename in (None, aside, os.fspath(aside)):
            error.filename = os.fspath(path)  # the name that the caller knows
        raise
    finally:
        aside.unlink(missing_ok=True)
