"""What went wrong in writing a netCDF file, of which the library says little."""

import contextlib
import errno
import os
import shutil
from collections.abc import Iterator

#: A disk with less room is full: no file of results is smaller by much [byte].
_NO_ROOM = 1 << 20


@contextlib.contextmanager
def told_as_oserror(name: str | os.PathLike[str]) -> Iterator[None]:
    """Re-raise a failed write as `OSError` that names the file; a full disk by its name.

    Of that the library says that permission is denied, or that there was an error.
    """
    try:
        yield
    except (RuntimeError, PermissionError) as error:
        folder = os.path.dirname(os.path.realpath(name))
        if shutil.disk_usage(folder).free < _NO_ROOM:
            told = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), os.fspath(name))
        elif isinstance(error, OSError):
            raise
        else:
            told = OSError(errno.EIO, f"cannot be written ({error})", os.fspath(name))
        raise told from None
