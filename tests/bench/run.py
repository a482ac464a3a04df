"""Measure Layshaft against the strongest general solvers, side by side in one run.

    python tests/bench/run.py            # everything, about half an hour on an idle machine
    python tests/bench/run.py --resume   # takes up a run that was stopped after its last whole part
    python tests/bench/run.py --quick    # a part of it, to see that all works; writes nothing here

Fetches the rivals (`rivals.py`), compiles what it needs into build/bench, prints and writes
results.csv and results.md here and the picture of work against error into notebooks/pictures. It
needs g++, `apt install gfortran libgsl-dev`, Eigen and Boost headers as the library does, and
`pip install cmake ninja unearth numpy scipy numba scikit-sundae CyRK heyoka matplotlib`. Not part
of the tests: nothing here is asserted. A rival compiled without optimisation is refused.
"""

import argparse
import os
import pickle
import subprocess
import sys
import time
from pathlib import Path

import measure
import rivals
import scaling
from bench_library import LAUNCHES, PROBLEMS, BenchLibrary
from compiled_how import is_optimised
from measure import Bench, grid
from python_solvers import Callbacks
from report import Results, write_report

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
BUILD = ROOT / "build" / "bench"
LIBRARY = "liblayshaft_bench.so"
SAVED = BUILD / "results.pickle"
#: Tolerances of the solvers called from Python, which take long.
FEW_TOLERANCES = measure.TOLERANCES[1:9]


def build() -> Path:
    """Fetch the rivals and compile the benchmark's library with the project's flags."""
    folder = BUILD / "rivals"
    rivals.fetch(folder)
    configure = ["cmake", "-S", str(HERE), "-B", str(BUILD), "-G", "Ninja"]
    ended_well([*configure, f"-DPython_EXECUTABLE={sys.executable}", f"-DLAYSHAFT_RIVALS={folder}"])
    ended_well(["cmake", "--build", str(BUILD)])
    refuse_unoptimised((BUILD / "rivals.txt").read_text().splitlines())
    return BUILD / LIBRARY


def ended_well(command: list[str]) -> None:
    """Run a command; end with what it said if it fails."""
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(done.stdout + done.stderr)


def refuse_unoptimised(libraries: list[str]) -> None:
    """End where a rival was compiled without optimisation: a comparison with it says nothing."""
    for name in libraries:
        optimised = is_optimised(Path(name))
        if optimised is False:
            sys.exit(f"{name} was compiled without optimisation")
        if optimised is None:
            say(f"not seen whether {name} was compiled with optimisation")


def say(text: str) -> None:
    """Print with the processor time since the start."""
    print(f"[{time.process_time():6.0f} s] {text}", flush=True)


def compiled(bench: Bench, results: Results, quick: bool) -> None:
    """Run all that is compiled over all problems and tolerances."""
    tolerances = measure.TOLERANCES[:: 2 if quick else 1]
    for problem in PROBLEMS:
        if problem in results.lines:
            continue
        settings = grid(problem, 8, 4, 3)[
            :: 12 if quick else 1 if problem == "earlier_launch" else 4
        ]
        results.lines[problem] = bench.lines(
            problem, measure.compiled_solvers(), settings, tolerances, 2
        )
        save(results)
        say(f"{problem}: compiled solvers over their tolerances")


def from_python(bench: Bench, results: Results, quick: bool) -> None:
    """Run the solvers of Python on a few settings, with the library beside them."""
    for problem in ("earlier_launch", "clutches"):
        settings = grid(problem, 8, 4, 3)[:: 96 if quick else 12]
        solvers = [("layshaft", False), *measure.python_solvers(problem)]
        bench.lines(problem, solvers, settings[:1], (1e-4,), 1)  # compiled before it counts
        tolerances = FEW_TOLERANCES[:: 4 if quick else 1]
        results.python_lines[problem] = bench.lines(problem, solvers, settings, tolerances, 1)
        say(f"{problem}: solvers of Python over their tolerances")


def sweeps(bench: Bench, results: Results, quick: bool) -> None:
    """Sweep in one thread over tolerances."""
    for problem in LAUNCHES[:2]:
        settings = grid(problem, 12, 8, 5)[:: 8 if quick else 1]
        results.sweeps[problem] = measure.measure_sweep(
            bench, problem, settings, measure.TOLERANCES[:: 2 if quick else 1], 3
        )
        say(f"{problem}: sweeps over their tolerances")


def changes(bench: Bench, results: Results, quick: bool) -> None:
    """Compare mode changes at the default tolerance with the reference."""
    for problem in LAUNCHES[:2]:
        settings = grid(problem, 20, 10, 5)[:: 20 if quick else 1]
        results.changes[problem] = scaling.measure_changes(bench, problem, settings)


def threads_and_lanes(bench: Bench, results: Results, quick: bool) -> None:
    """Sweep on two threads, and in lanes."""
    settings = grid("launch", 50, 40, 5)[:2000]
    rounds = 2 if quick else 5
    results.sweep_lanes = bench.library.lanes()
    for tolerance in (1e-4, scaling.DEFAULT_TOLERANCE):
        results.threads[tolerance] = scaling.measure_threads(bench, settings, tolerance, rounds)
        results.lanes[tolerance] = scaling.measure_lanes(bench, settings, tolerance, rounds)


def sizes(bench: Bench, results: Results, quick: bool) -> None:
    """Sweep over more and more settings."""
    for runs in (1000, 10_000) if quick else (1000, 10_000, 100_000):
        results.sizes.append(scaling.measure_size(BUILD / LIBRARY, runs))


def save(results: Results) -> None:
    """Keep what is measured so far."""
    SAVED.write_bytes(pickle.dumps(results))


PARTS = (compiled, from_python, sweeps, changes, threads_and_lanes, sizes)


def main() -> None:
    """Build, measure, write."""
    parser = argparse.ArgumentParser(description="Measure Layshaft against general solvers.")
    parser.add_argument("--quick", action="store_true", help="a part of the work; writes nothing")
    parser.add_argument("--resume", action="store_true", help="take up a run that was stopped")
    parser.add_argument("--child", nargs=2, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.child:
        path, runs = arguments.child
        scaling.size_child(path, int(runs))
        return
    library = BenchLibrary(build())
    bench = Bench(library, Callbacks(library))
    results = Results(loads=[os.getloadavg()[0]])
    if arguments.resume and SAVED.exists():
        results = pickle.loads(SAVED.read_bytes())
    for part in PARTS:
        if part.__name__ in results.done:
            continue
        part(bench, results, arguments.quick)
        results.done.append(part.__name__)
        results.loads.append(os.getloadavg()[0])
        save(results)
        say(f"{part.__name__} done")
    folder = BUILD if arguments.quick else HERE
    pictures = BUILD if arguments.quick else ROOT / "notebooks" / "pictures"
    print(write_report(results, folder, pictures))


if __name__ == "__main__":
    main()
