"""What type checkers read is up to date, and they accept good scripts and find faults."""

import importlib.util
import os
import subprocess
import sys
from pathlib import Path

import layshaft
import pytest

SCRIPTS = Path(__file__).resolve().parents[1] / "typed"
MAKER = Path(__file__).resolve().parents[1] / "make_stubs.py"


def test_stubs_are_up_to_date() -> None:
    spec = importlib.util.spec_from_file_location("make_stubs", MAKER)
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    for path, text in maker.stubs().items():
        file = Path(layshaft.__file__).parent / path
        assert file.read_text(encoding="utf-8") == text, f"run tests/make_stubs.py for {path}"


@pytest.mark.slow
def test_the_package_keeps_its_own_types() -> None:
    settings = SCRIPTS.parents[1] / "pyproject.toml"
    command = [sys.executable, "-m", "mypy", "--cache-dir", os.devnull, "--config-file", settings]
    done = subprocess.run([*command, "-p", "layshaft"], capture_output=True, text=True, cwd=SCRIPTS)
    assert done.returncode == 0, done.stdout


CHECKERS = {
    "mypy": ["mypy", "--cache-dir"],
    "basedpyright": ["basedpyright", "--level", "error", "--pythonpath", sys.executable],
}


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return where mypy keeps what it read of the packages, for the next script."""
    return tmp_path_factory.mktemp("cache")


def check(checker: str, script: str, cache: Path) -> tuple[int, list[str]]:
    """Return the exit code of a checker and the lines that name a fault in a script."""
    where = [cache] if checker == "mypy" else []
    command = [sys.executable, "-m", *CHECKERS[checker], *where, script]
    done = subprocess.run(command, capture_output=True, text=True, cwd=SCRIPTS)
    return done.returncode, [line for line in done.stdout.splitlines() if "error:" in line]


@pytest.mark.slow
@pytest.mark.parametrize("checker", CHECKERS)
def test_a_good_script_passes(checker: str, cache: Path) -> None:
    assert check(checker, "good.py", cache) == (0, [])


@pytest.mark.slow
@pytest.mark.parametrize("checker", CHECKERS)
def test_every_fault_of_a_bad_script_is_found(checker: str, cache: Path) -> None:
    lines = (SCRIPTS / "bad.py").read_text(encoding="utf-8").splitlines()
    wanted = {number for number, line in enumerate(lines, start=1) if "# fault" in line}
    assert len(wanted) > 5
    code, faults = check(checker, "bad.py", cache)
    assert code == 1
    assert {int(fault.split("bad.py:")[1].split(":")[0]) for fault in faults} == wanted
