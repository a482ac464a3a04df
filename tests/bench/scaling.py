"""What a sweep does with threads, lanes and size, and whether lists of changes are right."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from bench_library import BenchLibrary
from measure import Bench, errors, grid, same_changes

DEFAULT_TOLERANCE = 1e-6  # of `layshaft::launch`


def measure_changes(bench: Bench, problem: str, settings: np.ndarray) -> dict[str, float]:
    """Compare the lists of mode changes at the default tolerance with those at 1e-12."""
    counts = {"settings": len(settings), "layshaft": 0, "other": 0, "checked": 0, "farthest": 0.0}
    run = bench.library.run_compiled
    for i, setting in enumerate(settings):
        exact = run("layshaft", setting, 1e-12, problem=problem).answer
        found = run("layshaft", setting, DEFAULT_TOLERANCE, problem=problem).answer
        counts["layshaft"] += same_changes(found, exact)
        if i % 10 == 0:  # the reference itself, by another method
            other = run("cvode_bdf", setting, 1e-12, problem=problem).answer
            counts["checked"] += 1
            counts["other"] += same_changes(other, exact)
            gap = float(errors(other, exact, problem).max())
            counts["farthest"] = max(counts["farthest"], gap)
    return counts


@contextmanager
def lanes_asked(width: int) -> Iterator[None]:
    """Let sweeps run in at most so many lanes."""
    before = os.environ.get("LAYSHAFT_LANES")
    os.environ["LAYSHAFT_LANES"] = str(width)
    try:
        yield
    finally:
        del os.environ["LAYSHAFT_LANES"]
        if before is not None:
            os.environ["LAYSHAFT_LANES"] = before


def measure_threads(
    bench: Bench, settings: np.ndarray, tolerance: float, rounds: int
) -> dict[str, float]:
    """Compare one thread with two, turn by turn."""
    walls, cpus = [], []
    for _ in range(rounds):
        one, two = (bench.library.run_sweep(settings, tolerance, threads) for threads in (1, 2))
        walls.append(one[2] / two[2])
        cpus.append(two[1] / one[1])
        if one[0].tobytes() != two[0].tobytes():
            raise RuntimeError("two threads gave other bits than one")
    return {
        "ratio": float(np.median(walls)),
        "best": float(np.max(walls)),
        "cpu": float(np.median(cpus)),
    }


def measure_lanes(
    bench: Bench, settings: np.ndarray, tolerance: float, rounds: int
) -> dict[int, float]:
    """Compare launches in lanes with launches one by one."""
    times: dict[int, list[float]] = {}
    for _ in range(rounds):
        for width in (1, 2, 4, 8):
            with lanes_asked(width):
                if bench.library.lanes() == width:
                    spent = bench.library.run_sweep(settings, tolerance, 1)[1]
                    times.setdefault(width, []).append(spent)
    base = np.array(times[1])
    return {w: float(np.median(base / np.array(t))) for w, t in times.items() if w > 1}


def measure_size(library_path: Path, runs: int) -> dict[str, float]:
    """Sweep in a process of its own: time per run, and memory over that of a tiny sweep [byte]."""
    command = [sys.executable, str(Path(__file__).with_name("run.py")), "--child"]
    out = subprocess.run(
        [*command, str(library_path), str(runs)], check=True, capture_output=True, text=True
    ).stdout.split()
    return {"runs": runs, "cpu": float(out[0]), "wall": float(out[1]), "memory": float(out[2])}


def size_child(library_path: str, runs: int) -> None:
    """Print what `measure_size` reads."""
    library = BenchLibrary(Path(library_path))
    settings = np.resize(grid("launch", 50, 40, 5), (runs, 3))
    library.run_sweep(settings[:100], DEFAULT_TOLERANCE, 1)
    before = _peak_memory()
    _, cpu, wall = library.run_sweep(settings, DEFAULT_TOLERANCE, 1)
    print(cpu / runs, wall / runs, _peak_memory() - before)


def _peak_memory() -> float:
    # Not `getrusage`, which starts from the parent's peak.
    status = Path("/proc/self/status").read_text()
    return 1024.0 * float(status.split("VmHWM:")[1].split()[0])
