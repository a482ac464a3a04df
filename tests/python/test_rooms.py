"""The package is a house: a module imports from its own room and from the rooms below, no other."""

import ast
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

import layshaft
import pytest

FOLDER = Path(layshaft.__file__).parent

#: From the ground up.
ROOMS = (
    "quantities",
    "storage",
    "setup",
    "mounting",
    "tracks",
    "runs",
    "sweeps",
    "fitting",
    "advice",
    "logbook",
    "reports",
    "plots",
    "co_simulation",
    "page",
    "cli",
)
#: What stands in no room: the compiled core lies under all, the public names over all but `cli`.
CORE, PUBLIC = "layshaft._core", "layshaft"


def modules() -> dict[str, ast.Module]:
    """Return every module of the package by its full name; `lib` is what the build installs."""
    found = {}
    for file in sorted(set(FOLDER.rglob("*.py")) - set(FOLDER.glob("lib/**/*.py"))):
        parts = file.relative_to(FOLDER.parent).with_suffix("").parts
        name = ".".join(parts).removesuffix(".__init__")
        found[name] = ast.parse(file.read_text(encoding="utf-8"))
    return found


MODULES = modules()
#: A file past this many lines holds two ideas.
MOST_LINES = 300


def imported(tree: ast.Module) -> Iterator[str]:
    """Go through the package's modules that one imports, wherever in it the import stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names if within(each.name))
        elif isinstance(node, ast.ImportFrom) and within(node.module or ""):
            for each in node.names:
                inner = f"{node.module}.{each.name}"
                yield inner if inner in (*MODULES, CORE) else node.module


def within(name: str) -> bool:
    return name.partition(".")[0] == "layshaft"


def floor(module: str) -> int:
    """Count from the ground; the core is -1, the public names stand just below `cli`."""
    if module == CORE:
        return -1
    if module == PUBLIC:
        return 2 * ROOMS.index("cli") - 1
    return 2 * ROOMS.index(module.split(".")[1])


def faults(name: str, tree: ast.Module) -> list[str]:
    """List what a module imports from above it."""
    return [f"{name} imports {each}" for each in imported(tree) if floor(each) > floor(name)]


@pytest.mark.parametrize("name", [name for name in MODULES if name != PUBLIC])
def test_every_module_lies_in_a_room_and_imports_from_no_room_above(name: str) -> None:
    assert name.split(".")[1] in ROOMS
    assert faults(name, MODULES[name]) == []


def test_an_import_from_above_is_found() -> None:
    for line in (
        "from layshaft.sweeps.table import sweep",
        "from layshaft.sweeps import table",
        "import layshaft.sweeps.table",
        "def later():\n    from layshaft.sweeps.table import sweep",
        "import layshaft",
    ):
        assert len(faults("layshaft.runs.launch_run", ast.parse(line))) == 1
        assert faults("layshaft.cli.main", ast.parse(line)) == []


def test_imports_are_absolute() -> None:
    for name, tree in MODULES.items():
        froms = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
        assert all(node.level == 0 for node in froms), name


def test_no_module_imports_itself_by_way_of_others() -> None:
    arrows = {name: set(imported(tree)) for name, tree in MODULES.items() if name != PUBLIC}
    TopologicalSorter(arrows).prepare()  # raises `CycleError`, which names the way round


def test_a_module_holds_one_idea() -> None:
    lengths = {
        file.relative_to(FOLDER): len(file.read_text(encoding="utf-8").splitlines())
        for room in ROOMS
        for file in (FOLDER / room).glob("*.py")
    }
    assert len(lengths) > len(ROOMS)
    assert {file: n for file, n in lengths.items() if n > MOST_LINES} == {}


def test_no_room_has_the_name_of_something_public() -> None:
    assert set(ROOMS).isdisjoint(set(layshaft.__all__) - set(layshaft._MODULES))
