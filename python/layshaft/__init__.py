"""Drivetrain and two-speed simulation of 1/8-scale nitro on-road cars."""

from layshaft._core import version as _version

__version__ = _version()

__all__ = ["__version__"]
