"""Files of results and of what was learned: damage is told by name of the file, as one error."""

import contextlib
import os
from collections.abc import Iterator


@contextlib.contextmanager
def told_as_damage(path: str | os.PathLike[str], what: str) -> Iterator[None]:
    """Turn whatever a damaged file makes go wrong into a `ValueError` that names it.

    What fails in reading a file of arbitrary bytes is up to the libraries that read it, so no list
    of errors would be whole. That a file is not there, or may not be read, is no damage.

    Parameters
    ----------
    path
        The file.
    what
        What it is to be, without an article.

    Examples
    --------
    >>> with told_as_damage("old.nc", "result of layshaft"):
    ...     {}["setup"]
    Traceback (most recent call last):
    ValueError: old.nc is damaged, or no result of layshaft: 'setup' is missing
    """
    try:
        yield
    except (FileNotFoundError, PermissionError, IsADirectoryError, MemoryError):
        raise
    except Exception as error:
        reason = f"{error} is missing" if isinstance(error, KeyError) else str(error)
        reason = " ".join(reason.split()) or type(error).__name__
        name = os.fspath(path)
        text = f"{name} is damaged, or no {what}: {reason[:_LONGEST_REASON]}"
        raise ValueError(text) from None


_LONGEST_REASON = 200
