"""Print where the interpreter's environment holds C++ packages, for CMake to search.

Each line is `prefix <folder>` (a CMake prefix) or `gtest <folder>` (GoogleTest's sources).
"""

import importlib.metadata
import sys
from pathlib import Path

PREFIXES = ("cmeel.prefix", "libboost_headers", "pybind11")
GTEST_PACKAGE = "ros-gtest-vendor"


def prefixes() -> list[Path]:
    """List the CMake prefixes of installed packages, in the order of `sys.path`."""
    candidates = (Path(folder or ".") / name for folder in sys.path for name in PREFIXES)
    return list(dict.fromkeys(path.resolve() for path in candidates if path.is_dir()))


def gtest_sources() -> Path | None:
    """Find the folder that holds `src/gtest-all.cc`."""
    try:
        files = importlib.metadata.files(GTEST_PACKAGE) or []
    except importlib.metadata.PackageNotFoundError:
        return None
    for file in files:
        if file.name == "gtest-all.cc" and file.locate().is_file():
            return Path(file.locate()).resolve().parent.parent
    return None


for prefix in prefixes():
    print("prefix", prefix.as_posix())
if sources := gtest_sources():
    print("gtest", sources.as_posix())
