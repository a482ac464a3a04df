"""The version stands once and reaches the wheel, the core and Python."""

import importlib.metadata

import layshaft


def test_wheel_core_and_package_have_one_version() -> None:
    assert layshaft.__version__ == importlib.metadata.version("layshaft")
