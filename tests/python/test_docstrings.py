"""The examples in the docstrings run and show what they say."""

import doctest
import importlib
import pkgutil

import layshaft
import pytest

MODULES = sorted(module.name for module in pkgutil.walk_packages(layshaft.__path__, "layshaft."))


@pytest.mark.parametrize("name", [name for name in MODULES if not name.endswith("__main__")])
def test_examples_run(name: str) -> None:
    module = importlib.import_module(name)
    assert doctest.testmod(module).failed == 0


def test_examples_are_found() -> None:
    assert {"layshaft.setup.car", "layshaft.quantities.units"} <= set(MODULES)
    finder = doctest.DocTestFinder()
    module = importlib.import_module("layshaft.setup.car")
    assert sum(bool(test.examples) for test in finder.find(module)) >= 4
