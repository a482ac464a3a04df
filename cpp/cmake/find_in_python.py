"""Print where the interpreter's environment holds C++ packages, for CMake to search.

Each line is `prefix <name> <folder>` (a CMake prefix; its name has the version in it) or
`gtest <folder>` (GoogleTest's sources).
"""

import importlib.metadata
import sys
from pathlib import Path

#: Folders that are CMake prefixes, and the package whose version they are of.
PREFIXES = {
    "cmeel.prefix": "cmeel-eigen",
    "libboost_headers": "libboost-headers",
    "pybind11": "pybind11",
}
GTEST_PACKAGE = "ros-gtest-vendor"


def prefixes() -> dict[Path, str]:
    """List the CMake prefixes of installed packages in the order of `sys.path`, with a name."""
    candidates = (Path(folder or ".") / name for folder in sys.path for name in PREFIXES)
    found = dict.fromkeys(path.resolve() for path in candidates if path.is_dir())
    return {path: f"{number}-{named(path)}" for number, path in enumerate(found)}


def named(prefix: Path) -> str:
    """Name a prefix after its package and version."""
    package = PREFIXES[prefix.name]
    for distribution in importlib.metadata.distributions(name=package, path=[str(prefix.parent)]):
        return f"{package}-{distribution.version}"
    return package


def gtest_sources() -> Path | None:
    """Find the folder that holds `src/gtest-all.cc`."""
    try:
        files = importlib.metadata.files(GTEST_PACKAGE) or []
    except importlib.metadata.PackageNotFoundError:
        return None
    for file in files:
        found = Path(str(file.locate()))
        if found.name == "gtest-all.cc" and found.is_file():
            return found.resolve().parent.parent
    return None


for prefix, name in prefixes().items():
    print("prefix", name, prefix.as_posix())
if sources := gtest_sources():
    print("gtest", sources.as_posix())
