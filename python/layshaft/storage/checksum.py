"""A checksum in every file of results: what was changed since is not taken for a result.

In a netCDF file it lies behind all else, in a JSON file it is one more name.
The library that reads netCDF does not notice a number of which a bit has changed, and one changed
elsewhere can keep it reading for ever; so a file is looked at before the library gets it. Readers
end at the length that the file itself states, and writers cut off what lies behind it.
"""

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path

_MARK = b"layshaft sha256 "
_LENGTH = len(_MARK) + hashlib.sha256().digest_size


def seal(path: Path) -> None:
    """Append the checksum of what a file holds."""
    with path.open("r+b") as file:
        told = hashlib.file_digest(file, "sha256")
        file.write(_MARK + told.digest())


def unsealed(content: bytes) -> tuple[bytes, bool]:
    """Return what lies before the checksum, and whether there is one.

    Raises
    ------
    ValueError
        If the checksum is that of something else.

    Examples
    --------
    >>> unsealed(b"another program's")
    (b"another program's", False)
    """
    whole, tail = content[:-_LENGTH], content[-_LENGTH:]
    if not tail.startswith(_MARK):
        return content, False
    if hashlib.sha256(whole).digest() != tail.removeprefix(_MARK):
        raise ValueError("its checksum is that of something else")
    return whole, True


def checksum_of(content: Mapping[str, object]) -> str:
    """Return the checksum of what a JSON file holds besides it.

    Examples
    --------
    >>> checksum_of({"a": 1.5, "b": "x"}) == checksum_of({"b": "x", "a": 1.5})
    True
    """
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()
