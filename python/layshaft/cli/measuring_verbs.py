"""Commands for measuring: how each setting is got."""

from typing import Annotated

import typer

from layshaft.cli.options import plain_errors
from layshaft.cli.say import say


def sheet(
    names: Annotated[
        list[str] | None,
        typer.Argument(metavar="[NAME]...", help="Settings or parts, such as two_speed; else all."),
    ] = None,
) -> None:
    """Say how each setting is measured, how well, and how far a guess may be out."""
    with plain_errors():
        from layshaft.reports import measuring_report

        say(*measuring_report.sheet_sentences(names or []))
