"""The public names are all that a user's script or notebook needs."""

import ast
import inspect
import re
import subprocess
import sys
from pathlib import Path

import layshaft
import pytest

FOLDER = Path(layshaft.__file__).parent
NOTEBOOKS = sorted((Path(__file__).resolve().parents[2] / "notebooks").glob("[0-9]*.py"))


def is_function(value: object) -> bool:
    """Whether a value is called for a result; one that keeps its results is no routine."""
    return callable(value) and not inspect.isclass(value)


FUNCTIONS = [name for name in layshaft.__all__ if is_function(getattr(layshaft, name))]


def classes() -> dict[str, list[ast.ClassDef]]:
    """Return the package's classes by name, but those that begin with an underscore."""
    found: dict[str, list[ast.ClassDef]] = {}
    for file in FOLDER.rglob("*.py"):
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found.setdefault(node.name, []).append(node)
    return found


CLASSES = classes()


def named(annotation: object) -> set[str]:
    """Return the package's classes that an annotation names."""
    text = getattr(annotation, "__name__", None) or str(annotation)
    return set(re.findall(r"\w+", text)) & set(CLASSES)


def given_by(name: str) -> set[str]:
    """Return the classes that a class's fields, properties and methods give."""
    found = set()
    for node in (node for each in CLASSES[name] for node in each.body):
        if isinstance(node, ast.AnnAssign):
            found |= named(ast.unparse(node.annotation))
        elif isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and node.returns:
            found |= named(ast.unparse(node.returns))
    return found


def test_what_functions_return_is_public_and_so_is_what_it_holds() -> None:
    waiting = {each for name in FUNCTIONS for each in named(returned(name))}
    waiting |= {name for name in layshaft.__all__ if name in CLASSES}
    assert len(waiting) > 20
    known: set[str] = set()
    while waiting - known:
        known |= waiting
        waiting = {each for name in known for each in given_by(name)}
    assert sorted(known - set(layshaft.__all__)) == []


def returned(name: str) -> object:
    return inspect.signature(getattr(layshaft, name)).return_annotation


def public_functions() -> list[tuple[str, object]]:
    """Return the functions of the package and of its public modules, by their full names."""
    modules = [layshaft, layshaft.goals, layshaft.plots, layshaft.reports]
    found = []
    for module in modules:
        for name in module.__all__:
            value = getattr(module, name)
            if is_function(value):
                found.append((f"{module.__name__}.{name}", value))
    return found


def says_what_it_returns(function: object) -> bool:
    """Whether a docstring has a section that names what is returned and says something of it."""
    text = inspect.getdoc(function) or ""
    return bool(re.search(r"^Returns\n-------\n\S.*\n    \S", text, flags=re.MULTILINE))


def test_every_public_function_says_what_it_returns() -> None:
    functions = public_functions()
    assert len(functions) > 80
    missing = [
        name
        for name, function in functions
        if inspect.signature(function).return_annotation not in (None, "None")
        and not says_what_it_returns(function)
    ]
    assert missing == []


def test_a_docstring_without_the_section_is_found() -> None:
    assert says_what_it_returns(layshaft.sweep)
    assert not says_what_it_returns(says_what_it_returns)


def test_no_two_public_classes_have_one_name() -> None:
    assert [name for name in layshaft.__all__ if len(CLASSES.get(name, ())) > 1] == []


def private_names(text: str) -> list[str]:
    """List what a script uses of the package that is not public."""
    used = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            used += [each.name for each in node.names]
        elif isinstance(node, ast.ImportFrom):
            used += [f"{node.module}.{each.name}" for each in node.names]
        elif isinstance(node, ast.Attribute):
            used.append(re.sub(r"^(?=(goals|plots|reports)\.)", "layshaft.", ast.unparse(node)))
    ours = (name for name in used if re.fullmatch(r"layshaft(\.\w+)+", name))
    return [name for name in ours if not is_public(name)]


def is_public(name: str) -> bool:
    """Whether a dotted name is one of the package's own or of its public modules."""
    _, first, *others = name.split(".")
    known = first in layshaft.__all__
    if first in layshaft._MODULES and others:
        return known and others[0] in getattr(layshaft, first).__all__
    return known


@pytest.mark.parametrize("file", NOTEBOOKS, ids=lambda file: file.stem)
def test_notebooks_use_public_names_alone(file: Path) -> None:
    assert private_names(file.read_text(encoding="utf-8")) == []


def test_a_private_name_is_found() -> None:
    for line in (
        "import layshaft.setup.car",
        "from layshaft.setup.section import Section",
        "from layshaft import setup",
        "layshaft.setup.car.Section",
        "plots.style.palette('light')",
        "layshaft.plots.lap_plots",
    ):
        assert private_names(line), line
    assert (
        private_names("from layshaft import goals\nplots.live()\nlayshaft.launch(car).times") == []
    )


@pytest.mark.parametrize("name", ["goals", "plots", "reports"])
def test_public_modules_need_no_import_of_their_own(name: str) -> None:
    code = f"import layshaft; print(layshaft.{name}.__name__)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith(name)
