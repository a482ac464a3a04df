"""Programs in other languages use the installed library and get the time of the native launch."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import layshaft
import pytest
from layshaft import _core
from layshaft.advice.choices import read_choices
from layshaft.advice.setting_search import search

TOP = Path(__file__).resolve().parents[2]
CONSUMERS = TOP / "tests" / "consumers"
PACKAGE = Path(_core.__file__).parent


#: A wheel is also tested where there is none.
compiled = pytest.mark.skipif(
    not all(map(shutil.which, ("g++", "cc", "nm"))), reason="needs a compiler"
)


def run(*words: object, **options: object) -> str:
    shown = subprocess.run([str(word) for word in words], capture_output=True, text=True, **options)
    assert shown.returncode == 0, f"{words}\n{shown.stdout}\n{shown.stderr}"
    return shown.stdout


@pytest.fixture(scope="module")
def native_time() -> float:
    return layshaft.launch(layshaft.demo_car()).times.sel(distance=60.0).item()


def build(source: Path, folder: Path, *options: str) -> Path:
    """Configure and build a project; return its build folder."""
    found = (f"-DPython_EXECUTABLE={sys.executable}", "-DCMAKE_BUILD_TYPE=Release", *options)
    run("cmake", "-S", source, "-B", folder, "-G", "Ninja", *found)
    run("cmake", "--build", folder)
    return folder


@compiled
@pytest.mark.parametrize("link", ["static", "shared"])
def test_cpp_projects_find_the_package_of_the_wheel(
    link: str, tmp_path: Path, native_time: float
) -> None:
    prefix = run(Path(sys.executable).with_name("layshaft"), "prefix").strip()
    folder = build(CONSUMERS / "cpp", tmp_path, f"-DCMAKE_PREFIX_PATH={prefix}", f"-DLINK={link}")
    # Where it looked for headers is none of the project's paths.
    assert f"CMAKE_PREFIX_PATH is {prefix}\n" in (folder / "paths.txt").read_text()
    assert float(run(folder / "consumer")) == native_time
    assert float(run(folder / "launch")) == native_time
    linked = run("readelf", "-d", folder / "consumer")
    assert ("liblayshaft.so" in linked) == (link == "shared")
    expect_winch(run(folder / "winch"))


def expect_winch(shown: str) -> None:
    """Hold what a plant made of other parts did against the closed forms beside it."""
    happened = {}
    for line in shown.splitlines():
        value, expected, what = line.split()
        # The integration's tolerance is 1e-9.
        assert float(value) == pytest.approx(float(expected), rel=1e-8), what
        happened[what] = float(value)
    assert list(happened) == ["engages", "lifts", "turns"]
    # The motor lifts with 20 N m at the drum, so this is the most that the load can turn.
    assert 0.0 < happened["turns"] < (20.0 - 15.0) / 0.5 * 6.0


@compiled
def test_a_package_moved_after_its_installation_is_found(tmp_path: Path) -> None:
    moved = tmp_path / "moved" / "layshaft"
    shutil.copytree(PACKAGE / "lib", moved / "lib")
    shutil.copytree(PACKAGE / "include", moved / "include")
    prefix = f"-DCMAKE_PREFIX_PATH={moved.parent}"
    folder = build(CONSUMERS / "c", tmp_path / "build", prefix)
    assert str(moved) in run("ldd", folder / "consumer")
    files = [*moved.rglob("*.cmake"), *moved.rglob("*.pc")]
    assert len(files) >= 6
    for file in files:
        for place in (TOP, PACKAGE):
            assert str(place) not in file.read_text(encoding="utf-8"), file


@compiled
def test_a_c_program_gets_the_time_through_a_saved_state(
    tmp_path: Path, native_time: float
) -> None:
    folder = build(CONSUMERS / "c", tmp_path, f"-DCMAKE_PREFIX_PATH={PACKAGE.parent}")
    time, event, refusal = run(folder / "consumer").splitlines()
    assert float(time) == native_time
    when, part, *_ = event.split()
    last = layshaft.launch(layshaft.demo_car()).changes[-1]
    assert (float(when), part) == (last.time, last.part)
    assert refusal == "throttle = 2 must be from 0 to 1"


def test_ctypes_gets_the_time(native_time: float) -> None:
    library = PACKAGE / "lib" / "liblayshaft_c.so"
    assert float(run(sys.executable, CONSUMERS / "with_ctypes.py", library)) == native_time


def blocks(language: str) -> list[str]:
    text = (TOP / "README.md").read_text(encoding="utf-8")
    return re.findall(rf"```{language}\n(.*?)```", text, re.DOTALL)


def test_the_programs_of_the_readme_are_those_that_run() -> None:
    (program,) = blocks("cpp")
    assert program in (CONSUMERS / "cpp/main.cpp").read_text(encoding="utf-8")
    (script,) = blocks("py")
    options = {"distance": 500.0, "longest_time": 2.0, "pedals": [(0.0, 1.0, 0.0)]}
    native = layshaft.launch(layshaft.Car({"two_speed.gap": "4.6 mm"}), **options)
    assert float(run(sys.executable, "-c", script).split()[0]) == native.scalars.end_speed


@compiled
def test_pkg_config_builds_against_the_package(tmp_path: Path, native_time: float) -> None:
    eigen = next(Path(folder) / "cmeel.prefix" for folder in sys.path if _has_eigen(folder))
    places = [PACKAGE / "lib/pkgconfig", *eigen.rglob("pkgconfig")]
    surroundings = os.environ | {"PKG_CONFIG_PATH": os.pathsep.join(map(str, places))}

    def flags(*words: str) -> list[str]:
        return run(sys.executable, "-m", "pkgconf", *words, env=surroundings).split()

    program = tmp_path / "consumer"
    compiled = ["g++", "-std=c++20", CONSUMERS / "cpp/main.cpp", "-o", program]
    run(*compiled, *flags("--cflags", "--libs", "layshaft"), f"-Wl,-rpath,{PACKAGE / 'lib'}")
    assert float(run(program)) == native_time
    assert flags("--modversion", "layshaft-c") == [layshaft.__version__]


def _has_eigen(folder: str) -> bool:
    return (Path(folder) / "cmeel.prefix/include/eigen3").is_dir()


@compiled
def test_a_scikit_build_core_project_finds_the_package(tmp_path: Path, native_time: float) -> None:
    options = ("--no-build-isolation", "--no-deps", "--quiet", "--target", tmp_path / "installed")
    folder = f"build-dir={tmp_path / 'build'}"
    run(sys.executable, "-m", "pip", "install", *options, "-C", folder, CONSUMERS / "scikit")
    assert float(run(tmp_path / "installed/layshaft_consumer/consumer")) == native_time


@compiled
@pytest.mark.parametrize("components", ["shared;static", "pascal"])
def test_components_that_there_are_not_are_refused(components: str, tmp_path: Path) -> None:
    project = (
        "cmake_minimum_required(VERSION 3.25)\nproject(refused LANGUAGES NONE)\n"
        f"find_package(layshaft CONFIG COMPONENTS {components})\n"
        'if(layshaft_FOUND)\nmessage(FATAL_ERROR "found")\nendif()\n'
    )
    (tmp_path / "CMakeLists.txt").write_text(project)
    words = ("cmake", "-S", tmp_path, "-B", tmp_path / "build", "-G", "Ninja")
    run(*words, f"-DCMAKE_PREFIX_PATH={PACKAGE.parent}")


#: What the program says that learns.
KINDS = ("believed", "learned", "best")

#: A project that finds nothing outside of the paths that it names.
SECLUDED = """
cmake_minimum_required(VERSION 3.25)
project(secluded LANGUAGES CXX)
set(CMAKE_DISABLE_FIND_PACKAGE_Eigen3 ON)
set(CMAKE_DISABLE_FIND_PACKAGE_Python ON)
set(CMAKE_FIND_USE_CMAKE_SYSTEM_PATH OFF)
set(CMAKE_FIND_USE_SYSTEM_ENVIRONMENT_PATH OFF)
"""


@compiled
def test_a_launch_needs_no_other_librarys_headers(tmp_path: Path, native_time: float) -> None:
    (tmp_path / "CMakeLists.txt").write_text(
        f"{SECLUDED}find_package(layshaft CONFIG REQUIRED)\n"
        f"add_executable(launch {CONSUMERS / 'cpp/launch.cpp'})\n"
        "target_link_libraries(launch PRIVATE layshaft::layshaft)\n"
    )
    folder = build(tmp_path, tmp_path / "build", f"-DCMAKE_PREFIX_PATH={PACKAGE.parent}")
    assert float(run(folder / "launch")) == native_time


@compiled
def test_a_program_with_the_core_alone_learns_and_advises_as_python_does(tmp_path: Path) -> None:
    (tmp_path / "CMakeLists.txt").write_text(
        f"{SECLUDED}find_package(layshaft CONFIG REQUIRED)\n"
        f"add_executable(learn {CONSUMERS / 'cpp/learn.cpp'})\n"
        "target_link_libraries(learn PRIVATE layshaft::layshaft)\n"
    )
    folder = build(tmp_path, tmp_path / "build", f"-DCMAKE_PREFIX_PATH={PACKAGE.parent}")
    car = layshaft.demo_car()
    heard = {"4.2 mm": "67 km/h", "4.5 mm": "63 km/h", "4.8 mm": "57 km/h"}
    seen = [
        layshaft.observe("shift_speed", speed, changes={"two_speed.gap": gap}, error="2 km/h")
        for gap, speed in heard.items()
    ]
    found = layshaft.learn(car, seen)
    words = [f"{each.path}={each.doubt!r}" for each in found.unknowns]
    lines = [line.split() for line in run(folder / "learn", *words).splitlines()]
    numbers = {
        kind: [[*map(float, rest)] for name, *rest in lines if name == kind] for kind in KINDS
    }
    launched = [speed for (speed,) in numbers["believed"]]
    assert launched == pytest.approx(found.shown_before, rel=1e-9)
    assert len(numbers["learned"]) == len(found.values) == 3
    spreads = found.covariance.diagonal() ** 0.5
    for (value, spread), own, own_spread in zip(
        numbers["learned"], found.values, spreads, strict=True
    ):
        assert value == pytest.approx(own, rel=0.0, abs=1e-6 * own_spread)
        assert spread == pytest.approx(own_spread, rel=1e-6)
    ((gap, speed),) = numbers["best"]
    over = read_choices({"two_speed.gap": layshaft.Between("3.6 mm", "5.2 mm")})
    best = search(found.car, over, layshaft.goals.shift_at("68 km/h"), {}).found[0]
    assert gap == pytest.approx(best.settings["two_speed.gap"], rel=1e-6)
    assert abs(speed - 68.0 / 3.6) == pytest.approx(best.cost, abs=1e-6)


@compiled
def test_plants_name_all_that_is_missing_at_once(tmp_path: Path) -> None:
    (tmp_path / "CMakeLists.txt").write_text(
        f"{SECLUDED}find_package(layshaft CONFIG REQUIRED COMPONENTS plants)\n"
    )
    words = ["cmake", "-S", str(tmp_path), "-B", str(tmp_path / "build"), "-G", "Ninja"]
    words.append(f"-DCMAKE_PREFIX_PATH={PACKAGE.parent}")
    shown = subprocess.run(words, capture_output=True, text=True)
    assert shown.returncode != 0
    said = " ".join(shown.stderr.split())
    assert "the headers of plants need Eigen >= 3.4: " in said
    assert "; and Boost's headers: " in said


@compiled
def test_the_c_library_shows_its_interface_and_nothing_else() -> None:
    shown = run("nm", "-D", "--defined-only", PACKAGE / "lib/liblayshaft_c.so").splitlines()
    names = [line.split()[-1].partition("@")[0] for line in shown]
    listed = (CONSUMERS / "c/symbols.txt").read_text(encoding="utf-8").split()
    assert names == listed


@compiled
def test_the_unit_library_shows_the_standards_functions_and_nothing_else() -> None:
    shown = run("nm", "-D", "--defined-only", PACKAGE / "fmi/layshaft_fmi.so").splitlines()
    names = [line.split()[-1] for line in shown]
    assert "fmi2DoStep" in names
    assert "fmi3DoStep" in names
    assert [name for name in names if not name.startswith(("fmi2", "fmi3"))] == []


def test_the_version_of_the_package_is_that_of_the_project() -> None:
    text = (PACKAGE / "lib/cmake/layshaft/layshaft-config-version.cmake").read_text()
    assert f'set(PACKAGE_VERSION "{layshaft.__version__}")' in text
