"""How soon a user is answered: `python tests/bench/answers.py [--beside FOLDER]`.

Processor time, so that what else runs on the machine counts little: of commands with and without a
picture, of a launch from Python over its physics alone, and of whoever gathers the blocks of a
sweep into a file. FOLDER holds another installed `layshaft`, measured in turn with this one.
"""

import argparse
import contextlib
import json
import os
import platform
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

VERBS = ("launch", "sweep", "recommend", "scatter", "lap")
COMMAND = "from layshaft.cli.main import main; main()"
#: Runs of a block, and how many blocks; the cost of a file that is made and opened cancels.
SIZES, FEW, MANY = (50, 500, 2000), 4, 40
LAUNCHES = 60


def child(folder: Path | None, *words: str) -> tuple[float, str]:
    """Run Python with the layshaft of a folder; return its processor time [s] and its output."""
    path = {} if folder is None else {"PYTHONPATH": os.fspath(folder)}
    with tempfile.TemporaryDirectory() as empty:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(
            [sys.executable, *words],
            env=os.environ | path,
            cwd=empty,
            capture_output=True,
            text=True,
            check=True,
        )
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return used, done.stdout


def commands(folders: list[Path | None], repeats: int) -> Iterator[list[str]]:
    """Measure the commands, a row each [s]."""
    for verb in VERBS:
        for words in ([], ["--out", "."]):
            times: list[list[float]] = [[] for _ in folders]
            for _ in range(repeats):
                for folder, found in zip(folders, times, strict=True):
                    found.append(child(folder, "-c", COMMAND, verb, *words)[0])
            what = f"`layshaft {' '.join([verb, *words])}` [s]"
            yield [what, *(f"{statistics.median(found):.2f}" for found in times)]


def median_time(work: Callable[[], object]) -> float:
    """Return the median processor time of a call that was made before [s]."""
    work()
    times = []
    for _ in range(LAUNCHES):
        begin = time.process_time_ns()
        work()
        times.append((time.process_time_ns() - begin) * 1e-9)
    return statistics.median(times)


def measure_launch() -> dict[str, float]:
    """Measure a launch from Python, over what the core takes without samples."""
    import layshaft
    from layshaft import _core
    from layshaft.runs.launch_options import read_launch_options

    car = layshaft.demo_car()
    bare = read_launch_options(sample_interval=0.0).core()
    physics = median_time(lambda: _core.launch(car._core, bare))
    return {
        "physics of a launch to 60 m [ms]": physics * 1e3,
        "`layshaft.launch` over its physics": median_time(lambda: layshaft.launch(car)) / physics,
        "the same, and its samples as plain arrays": median_time(
            lambda: layshaft.launch(car).plain.samples
        )
        / physics,
        "the same, and its samples as a dataset": median_time(lambda: layshaft.launch(car).samples)
        / physics,
    }


def gathered(size: int, count: int) -> float:
    """Return the processor time of a sweep into a file, once its blocks are run [s]."""
    import layshaft
    import numpy as np

    begin = []

    def ready(function: Callable, blocks: Iterable) -> Iterator:
        results = [function(block) for block in blocks]
        begin.append(time.process_time())
        yield from results

    axes = {"two_speed.gap": np.linspace(0.0040, 0.0052, size * count)}
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "runs.nc")
        layshaft.sweep(
            layshaft.demo_car(), axes, file=file, map=ready, chunk=size, distance=0.05, speeds=[]
        )
        return time.process_time() - begin[0]


def measure_file() -> dict[str, float]:
    """Measure what a block and a launch cost whoever gathers them into a file."""
    import numpy as np

    warnings.simplefilter("ignore")
    gathered(10, 2)
    costs = []
    for size in SIZES:
        pairs = [(gathered(size, FEW), gathered(size, MANY)) for _ in range(3)]
        costs.append(statistics.median((many - few) / (MANY - FEW) for few, many in pairs))
    each, block = np.polyfit(SIZES, costs, 1)
    found = {f"block of {size} [ms]": cost * 1e3 for size, cost in zip(SIZES, costs, strict=True)}
    line = {"line through these: a block [ms]": block * 1e3, "and a launch [us]": each * 1e6}
    return {f"into a file, {what}": number for what, number in (found | line).items()}


PARTS = {"launch": measure_launch, "file": measure_file}


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--beside", type=Path, metavar="FOLDER")
    parser.add_argument("--repeats", type=int, default=9)
    parser.add_argument("--part", choices=PARTS, help="only this, as JSON, in this process")
    given = parser.parse_args()
    if given.part is not None:
        sys.stdout.write(json.dumps(PARTS[given.part]()))
        return
    folders = [None] if given.beside is None else [given.beside.resolve(), None]
    before = os.getloadavg()[0]
    rows = list(commands(folders, given.repeats))
    for part in PARTS:
        found = [json.loads(child(each, __file__, "--part", part)[1]) for each in folders]
        rows += [[what, *(f"{each[what]:.2f}" for each in found)] for what in found[0]]
    print(f"Python {platform.python_version()}, load {before:.1f} before, {os.getloadavg()[0]:.1f}")
    print("after; medians, of commands of", given.repeats)
    heads = ["what", *(["beside"] if given.beside else []), "here"]
    for row in [heads, ["---"] * len(heads), *rows]:
        print(f"| {' | '.join(row)} |")


if __name__ == "__main__":
    with contextlib.suppress(KeyboardInterrupt):
        main()
