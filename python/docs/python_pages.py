"""The Python reference by autodoc, and the help of the command line."""

import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from pathlib import Path

import layshaft
import typer.main
from text import fence, plain, toctree

#: What lies behind the command line is shown by its help.
_NOT_SHOWN = "layshaft.cli"

#: Modules whose names one meets first; the others follow by name.
_FIRST = (
    "setup.car",
    "setup.setup_file",
    "setup.setup_writing",
    "runs.launch_run",
    "sweeps.table",
    "runs.files",
    "sweeps.repeat",
)


def write_python(out: Path) -> None:
    """Write the page of the package's names and that of its other modules."""
    modules = {}
    for name, home in layshaft._HOMES.items():
        modules.setdefault(f"layshaft.{home}", []).append(name)
    parts = ["# Python\n", "All of these are names of the package: `layshaft.launch`.\n"]
    for module in sorted(modules, key=_place):
        parts += [f"## {_first_sentence(importlib.import_module(module))}\n"]
        parts += [_directive(name, getattr(layshaft, name)) for name in modules[module]]
    for name, home in layshaft._MODULES.items():
        module = importlib.import_module(f"layshaft.{home}")
        parts += [f"## layshaft.{name}: {_first_sentence(module)}\n"]
        own = (each for each in module.__all__ if each not in layshaft.__all__)
        parts += [_directive(f"{name}.{each}", getattr(module, each)) for each in own]
    parts.append(toctree(["python-modules"], hidden=True))
    (out / "python.md").write_text("\n".join(parts), encoding="utf-8")
    _write_modules(out)


def _place(module: str) -> tuple[int, str]:
    first = [f"layshaft.{name}" for name in _FIRST]
    return first.index(module) if module in first else len(first), module


def _directive(name: str, value: object) -> str:
    kind = "autoclass" if inspect.isclass(value) else "autofunction"
    members = "\n   :members:" if kind == "autoclass" else ""
    return fence("{eval-rst}", f".. {kind}:: layshaft.{name}{members}")


def _write_modules(out: Path) -> None:
    parts = [
        "# Further modules\n",
        "For notebooks and tools of one's own; these may change between versions.\n",
    ]
    found = pkgutil.walk_packages(layshaft.__path__, "layshaft.")
    for module in sorted(info.name for info in found):
        if module == "layshaft._core" or module.startswith(_NOT_SHOWN):
            continue
        loaded = importlib.import_module(module)
        shown = [name for name in _public(loaded) if _is_shown(name, loaded)]
        if len(shown) < len(_public(loaded)):
            hidden = ", ".join(shown)
            options = f"\n   :members:\n   :exclude-members: {hidden}"
            text = f".. automodule:: {module}{options}"
            parts += [f"## {module}\n", fence("{eval-rst}", text)]
    (out / "python-modules.md").write_text("\n".join(parts), encoding="utf-8")


def _is_shown(name: str, module: object) -> bool:
    """Whether a name stands on the page of the package's own."""
    modules = [getattr(layshaft, each) for each in layshaft._MODULES]
    public = [layshaft, *(each for each in modules if module.__name__.startswith(each.__name__))]
    return any(name in each.__all__ for each in public)


def _public(module: object) -> list[str]:
    return [
        name
        for name, value in vars(module).items()
        if not name.startswith("_") and getattr(value, "__module__", None) == module.__name__
    ]


def _first_sentence(module: object) -> str:
    sentence = inspect.getdoc(module).replace("\n", " ").partition(". ")[0].rstrip(".")
    return plain(sentence.partition(": ")[0])


def write_commands(out: Path) -> None:
    """Write the help of every verb."""
    import layshaft.cli.main

    group = typer.main.get_command(layshaft.cli.main.app)
    text = "# The command line\n\nEvery verb prints this with `--help`.\n\n"
    for name, command in _verbs(group):
        context = command.make_context(name, [], resilient_parsing=True, max_content_width=88)
        context.info_name = f"layshaft {name}"
        context.terminal_width = 88
        text += f"## {name}\n\n" + fence("text", command.get_help(context)) + "\n"
    (out / "commands.md").write_text(text, encoding="utf-8")


def _verbs(group: object, above: str = "") -> Iterator[tuple[str, object]]:
    """Go through all verbs, those of a group by its name and theirs."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from _verbs(command, f"{above}{name} ")
        else:
            yield f"{above}{name}", command
