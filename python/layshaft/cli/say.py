"""Sentences on the terminal."""

import contextlib
import re
import shutil
import sys
import textwrap
from collections.abc import Iterator
from typing import Any

import typer
import typer.core

#: A word longer than any path was pasted in; its beginning tells which it was.
_LONG_WORD = re.compile(r"(\S{60})\S{300,}")

#: What does not fit a verb; newer Typers bring a Click of their own, and do not name it.
_UsageError: Any = typer.BadParameter.__base__


def say(*sentences: str, err: bool = False) -> None:
    """Print sentences; on a terminal broken between words, so that no number is torn apart."""
    stream = sys.stderr if err else sys.stdout
    for sentence in map(_shortened, sentences):
        if stream is not None and stream.isatty():
            width = shutil.get_terminal_size().columns
            text = textwrap.fill(sentence, width, break_long_words=False, break_on_hyphens=False)
            typer.echo(text, err=err)
        else:
            typer.echo(sentence, err=err)


class Verbs(typer.core.TyperGroup):
    """The verbs of the command line; what does not fit them is told as short as all else."""

    def make_context(self, *arguments: Any, **extra: Any) -> Any:
        """Read what was given to the command itself."""
        with _short_usage_errors():
            return super().make_context(*arguments, **extra)

    def invoke(self, ctx: Any) -> Any:
        """Read what was given to the verb, and run it."""
        with _short_usage_errors():
            return super().invoke(ctx)


@contextlib.contextmanager
def _short_usage_errors() -> Iterator[None]:
    try:
        yield
    except _UsageError as error:
        error.message = _shortened(error.message)
        raise


def _shortened(text: str) -> str:
    return _LONG_WORD.sub(r"\1...", text)
