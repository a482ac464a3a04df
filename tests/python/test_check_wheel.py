"""The look into wheel and archive finds what is missing and what is astray."""

import importlib.util
import tarfile
import zipfile
from pathlib import Path
from types import ModuleType

import pytest

TOP = Path(__file__).resolve().parents[2]
TRACKED = {"python/layshaft/car.py", "cpp/include/layshaft/version.hpp", "README.md"}
WHOLE = (
    "layshaft/car.py",
    "layshaft/_core.cpython-311-x86_64-linux-gnu.so",
    "layshaft/include/layshaft/version.hpp",
    "layshaft-0.1.0.dist-info/METADATA",
)


@pytest.fixture
def check(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    spec = importlib.util.spec_from_file_location("check_wheel", TOP / "tests" / "check_wheel.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    monkeypatch.setattr(module, "tracked", lambda: TRACKED)
    return module


@pytest.mark.parametrize(
    ("names", "faults"),
    [
        (WHOLE, []),
        ((*WHOLE, "layshaft/notes.txt"), ["w.whl holds layshaft/notes.txt"]),
        ((*WHOLE, "build/x.o"), ["w.whl holds build/x.o"]),
        (WHOLE[1:], ["w.whl lacks layshaft/car.py"]),
        ((WHOLE[0], *WHOLE[2:]), ["w.whl must hold one module layshaft/_core.*.so"]),
    ],
)
def test_of_a_wheel(
    check: ModuleType, tmp_path: Path, names: tuple[str, ...], faults: list[str]
) -> None:
    with zipfile.ZipFile(tmp_path / "w.whl", "w") as file:
        for name in names:
            file.writestr(name, "x")
    assert check.wheel_faults(tmp_path / "w.whl") == faults


def test_of_an_archive(check: ModuleType, tmp_path: Path) -> None:
    for name in ("README.md", "stray.log", "PKG-INFO", "python/layshaft/car.py"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("x")
    with tarfile.open(tmp_path / "a.tar.gz", "w:gz") as file:
        for name in ("README.md", "stray.log", "PKG-INFO", "python/layshaft/car.py"):
            file.add(tmp_path / name, f"layshaft-0.1.0/{name}")
    assert check.archive_faults(tmp_path / "a.tar.gz") == [
        "a.tar.gz holds stray.log, which is not tracked",
        "a.tar.gz lacks cpp/include/layshaft/version.hpp",
    ]
