"""The bench refuses rivals that were compiled to run slowly."""

import importlib.util
import platform
import subprocess
from pathlib import Path
from types import ModuleType

import pytest

BENCH = Path(__file__).resolve().parents[1] / "bench"

#: Functions of whole numbers, of real ones, with a loop, and without any argument.
SOURCE = """
    double twice(double x) { return 2.0 * x; }
    int kept(int x, int* y) { *y = x; return x + 1; }
    long summed(const long* p, long n) { long s = 0; while (n--) s += p[n]; return s; }
    int seven(void) { return 7; }
"""


@pytest.fixture(scope="module")
def compiled_how() -> ModuleType:
    spec = importlib.util.spec_from_file_location("compiled_how", BENCH / "compiled_how.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.skipif(platform.machine() != "x86_64", reason="reads the code of this processor")
@pytest.mark.parametrize(
    ("flags", "optimised"),
    [("-O0", False), ("-O2", True), ("-O3", True), ("-O2 -fno-omit-frame-pointer", True)],
)
def test_a_library_shows_whether_it_was_compiled_with_optimisation(
    compiled_how: ModuleType, flags: str, optimised: bool, tmp_path: Path
) -> None:
    source, library = tmp_path / "some.cpp", tmp_path / "libsome.so"
    source.write_text(SOURCE)
    command = ["c++", *flags.split(), "-shared", "-fPIC", str(source), "-o", str(library), "-s"]
    subprocess.run(command, check=True)
    assert compiled_how.is_optimised(library) is optimised


def test_of_what_is_no_library_nothing_is_said(compiled_how: ModuleType, tmp_path: Path) -> None:
    (tmp_path / "text").write_text("no code")
    assert compiled_how.is_optimised(tmp_path / "text") is None
    assert compiled_how.is_optimised(tmp_path / "nowhere") is None
