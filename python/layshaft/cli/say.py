"""Sentences on the terminal."""

import re
import shutil
import sys
import textwrap

import typer

#: A word longer than any path was pasted in; its beginning tells which it was.
_LONG_WORD = re.compile(r"(\S{60})\S{300,}")


def say(*sentences: str, err: bool = False) -> None:
    """Print sentences; on a terminal broken between words, so that no number is torn apart."""
    stream = sys.stderr if err else sys.stdout
    for sentence in (_LONG_WORD.sub(r"\1...", each) for each in sentences):
        if stream.isatty():
            width = shutil.get_terminal_size().columns
            text = textwrap.fill(sentence, width, break_long_words=False, break_on_hyphens=False)
            typer.echo(text, err=err)
        else:
            typer.echo(sentence, err=err)
