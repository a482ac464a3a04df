"""A progress bar on the terminal's error stream, so that tables can be piped."""

import contextlib
from collections.abc import Callable, Iterator

#: What all of it takes; on less the bar and the rate go, so that no number is cut.
_LEAST_WIDTH = 90


@contextlib.contextmanager
def progress_bar(what: str) -> Iterator[Callable[[int, int], None]]:
    """Show a bar with the rate and the time left; give the function that moves it.

    Parameters
    ----------
    what
        What is counted, in the plural.

    Examples
    --------
    >>> with progress_bar("runs") as report:
    ...     report(5, 10)
    """
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        ProgressColumn,
        TextColumn,
        TimeRemainingColumn,
    )

    console = Console(stderr=True)
    rate = TextColumn("{task.description}, {task.fields[rate]:.0f} per second, left:")
    columns: tuple[ProgressColumn, ...] = (
        BarColumn(),
        MofNCompleteColumn(),
        rate,
        TimeRemainingColumn(),
    )
    if console.width < _LEAST_WIDTH:
        columns = (MofNCompleteColumn(), TextColumn("left:"), TimeRemainingColumn())
    with Progress(*columns, TimeRemainingColumn(), console=console, transient=True) as bar:
        task = bar.add_task(what, total=None, rate=0.0)

        def report(done: int, total: int) -> None:
            bar.update(task, completed=done, total=total, rate=bar.tasks[task].speed or 0.0)

        yield report
