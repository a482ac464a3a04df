"""Build backend: scikit-build-core, after a look at what the machine must bring.

A front end asks here which packages a build needs before it downloads them and those that the
installed package needs. So a machine without compiler or Python's headers hears of it at once.
"""

import os
import shlex
import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Callable
from pathlib import Path

from scikit_build_core import build
from scikit_build_core.build import (
    build_sdist,
    get_requires_for_build_sdist,
    prepare_metadata_for_build_editable,
    prepare_metadata_for_build_wheel,
)

__all__ = [
    "build_editable",
    "build_sdist",
    "build_wheel",
    "get_requires_for_build_editable",
    "get_requires_for_build_sdist",
    "get_requires_for_build_wheel",
    "prepare_metadata_for_build_editable",
    "prepare_metadata_for_build_wheel",
]

_USUAL_COMPILERS = ("c++", "g++", "clang++")


def refuse_without_tools() -> None:
    """End with one message where compiler or headers are missing."""
    if sys.platform == "win32":
        return  # its compilers lie outside the path, where CMake finds them
    lacking, packages = [], []
    headers = Path(sysconfig.get_path("include"))
    if not (headers / "Python.h").is_file():
        lacking.append(f"Python's headers ({headers / 'Python.h'})")
        packages.append("python3-dev")
    if not _choose_compiler():
        lacking.append(f"a C++20 compiler ({', '.join(_candidates())})")
        packages.append("g++")
    if lacking:
        raise SystemExit(
            f"Layshaft needs what this machine lacks: {' and '.join(lacking)}.\n"
            f"Debian and Ubuntu: apt-get install {' '.join(packages)}"
        )


def _candidates() -> list[str]:
    """Name the compilers to try: the one that is asked for, or else Python's own and the usual."""
    if asked := os.environ.get("CXX"):
        return [asked]
    own = shlex.split(sysconfig.get_config_var("CXX") or "")[:1]
    return list(dict.fromkeys((*own, *_USUAL_COMPILERS)))


def _choose_compiler() -> bool:
    """Take the first compiler that reads C++20; Python's own may be one that is not there."""
    for name in _candidates():
        words = shlex.split(name)
        if shutil.which(words[0]) and _reads_the_standard(words):
            os.environ["CXX"] = name
            return True
    return False


def _reads_the_standard(command: list[str]) -> bool:
    words = [*command, "-std=c++20", "-fsyntax-only", "-x", "c++", "-"]
    told = subprocess.run(words, input="#include <concepts>\n", text=True, capture_output=True)
    return told.returncode == 0


def _after_a_look(hook: Callable) -> Callable:
    def looked(*arguments: object, **options: object) -> object:
        refuse_without_tools()
        return hook(*arguments, **options)

    return looked


get_requires_for_build_wheel = _after_a_look(build.get_requires_for_build_wheel)
get_requires_for_build_editable = _after_a_look(build.get_requires_for_build_editable)
build_wheel = _after_a_look(build.build_wheel)
build_editable = _after_a_look(build.build_editable)
