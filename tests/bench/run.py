"""Measure Layshaft against general solvers, side by side in one run.

    python tests/bench/run.py            # everything, within twelve minutes on an idle machine
    python tests/bench/run.py --resume   # takes up a run that was stopped after its last whole part
    python tests/bench/run.py --quick    # a tenth of it, to see that all works

Compiles what it needs into build/bench, prints and writes results.csv and results.md here and the
picture of work against error into notebooks/pictures. It needs SUNDIALS compiled with optimisation,
cmake, ninja, Eigen and Boost headers as the library does, and
`pip install numpy scipy numba scikit-sundae CyRK heyoka matplotlib`. Not part of the tests: nothing
here is asserted.

Debian 12's package of SUNDIALS was compiled without optimisation and is refused. Its source, from
`apt-get source sundials`, is built and found so:

    cmake -S sundials-6.4.1 -B made -DCMAKE_BUILD_TYPE=Release -DCMAKE_INSTALL_PREFIX=$PWD/fast
    cmake --build made && cmake --install made
    CMAKE_PREFIX_PATH=$PWD/fast python tests/bench/run.py
"""

import argparse
import os
import pickle
import subprocess
import sys
import time
from pathlib import Path

import measure
from bench_library import BenchLibrary
from compiled_how import is_optimised
from measure import (
    CHAIN_SOLVERS,
    DEFAULT_TOLERANCE,
    DEMO_SETTING,
    LAUNCH_SOLVERS,
    PYTHON_TOLERANCES,
    SLOW_STRIDE,
    TOLERANCES,
    Bench,
    Line,
)
from python_solvers import PYTHON_SOLVERS, Callbacks
from report import Results, write_report

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
BUILD = ROOT / "build" / "bench"
LIBRARY = "liblayshaft_bench.so"
SAVED = BUILD / "results.pickle"


def build() -> Path:
    """Compile the benchmark's library with the project's flags."""
    configure = ["cmake", "-S", str(HERE), "-B", str(BUILD), "-G", "Ninja"]
    ended_well([*configure, f"-DPython_EXECUTABLE={sys.executable}"])
    refuse_unoptimised((BUILD / "sundials.txt").read_text().splitlines())
    ended_well(["cmake", "--build", str(BUILD)])
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
            sys.exit(
                f"{name} was compiled without optimisation; build SUNDIALS as said in {__file__}"
            )
        if optimised is None:
            say(f"not seen whether {name} was compiled with optimisation")


def say(text: str) -> None:
    """Print with the time since the start."""
    print(f"[{time.process_time():6.0f} s] {text}", flush=True)


def work_and_error(bench: Bench, results: Results, quick: bool) -> None:
    """Run all solvers over all tolerances; those of Python on every eighth setting."""
    settings = measure.grid(8, 4, 3)[:: 8 if quick else 1]
    lines: dict[str, list[Line]] = {"launch": [], "o1": []}
    results.lines = lines
    for problem, solvers in (("launch", LAUNCH_SOLVERS), ("o1", CHAIN_SOLVERS)):
        launch = problem == "launch"
        for solver in solvers:
            slow = solver in PYTHON_SOLVERS
            some = settings[:: 8 if slow else 1] if launch else DEMO_SETTING[None].repeat(5, axis=0)
            bench.line(solver, 1e-4, some[:1], launch=launch)  # compiled and warm before it counts
            for tolerance in (PYTHON_TOLERANCES if slow else TOLERANCES)[:: 2 if quick else 1]:
                lines[problem].append(bench.line(solver, tolerance, some, launch=launch))
            say(f"{problem}: {solver} over its tolerances")


def side_by_side(bench: Bench, results: Results, quick: bool) -> None:
    """Choose each solver's tolerance of equal error, then time all turn by turn."""
    settings = measure.grid(8, 4, 3)[:: 8 if quick else 1]
    demo = DEMO_SETTING[None]
    lines = results.lines
    chosen = [
        bench.loosest(
            s,
            settings[:: SLOW_STRIDE if s in PYTHON_SOLVERS else 1],
            lines["launch"],
            launch=True,
        )
        for s in LAUNCH_SOLVERS
    ]
    results.pairs["launch, 96 settings"] = bench.pairs(
        chosen, settings, 1 if quick else 3, launch=True
    )
    chosen = [bench.line(x.solver, x.tolerance, demo, launch=True) for x in chosen]
    results.pairs["launch, demo car"] = bench.pairs(chosen, demo, 5 if quick else 30, launch=True)
    chain = [bench.loosest(s, demo, lines["o1"], launch=False) for s in CHAIN_SOLVERS]
    results.pairs["O1"] = bench.pairs(chain, demo, 5 if quick else 30, launch=False, repeats=5)


def ensemble(bench: Bench, results: Results, quick: bool) -> None:
    """Sweep against the other solvers on one thread."""
    by_name = {p.line.solver: p.line for p in results.pairs["launch, 96 settings"]}
    others = [by_name[s] for s in ("cvode_bdf", "dormand_prince", "cyrk_lsoda", "scipy_lsoda")]
    settings = measure.grid(50, 40, 5)[: 1000 if quick else None]
    results.sweep_lanes = bench.library.lanes()
    results.ensemble = measure.measure_ensemble(
        bench, settings, by_name["layshaft"], others, 500, 5
    )


def changes(bench: Bench, results: Results, quick: bool) -> None:
    """Compare mode changes at the default tolerance with the reference."""
    settings = measure.grid(20, 10, 5)[:: 10 if quick else 1]
    results.changes = measure.measure_changes(bench, settings, DEFAULT_TOLERANCE)


def threads_and_lanes(bench: Bench, results: Results, quick: bool) -> None:
    """Sweep on two threads, and in lanes."""
    settings = measure.grid(50, 40, 5)[:2000]
    tolerance = results.pairs["launch, 96 settings"][0].line.tolerance
    results.threads = measure.measure_threads(bench, settings, tolerance, 3 if quick else 9)
    results.lanes = measure.measure_lanes(bench, settings, tolerance, 3 if quick else 5)


def sizes(bench: Bench, results: Results, quick: bool) -> None:
    """Sweep over more and more settings."""
    tolerance = results.pairs["launch, 96 settings"][0].line.tolerance
    for runs in (1000, 10_000) if quick else (1000, 10_000, 100_000):
        results.sizes = [x for x in results.sizes if x["runs"] != runs]
        results.sizes.append(measure.measure_size(BUILD / LIBRARY, runs, tolerance))
        save(results)


def save(results: Results) -> None:
    """Keep what is measured so far."""
    SAVED.write_bytes(pickle.dumps(results))


PARTS = (work_and_error, side_by_side, ensemble, changes, threads_and_lanes, sizes)


def main() -> None:
    """Build, measure, write."""
    parser = argparse.ArgumentParser(description="Measure Layshaft against general solvers.")
    parser.add_argument("--quick", action="store_true", help="a tenth of the work; writes nothing")
    parser.add_argument("--resume", action="store_true", help="take up a run that was stopped")
    parser.add_argument("--child", nargs=3, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if arguments.child:
        path, runs, tolerance = arguments.child
        measure.size_child(path, int(runs), float(tolerance))
        return
    library = BenchLibrary(build())
    bench = Bench(library, Callbacks(library))
    results = Results(load_before=os.getloadavg()[0])
    if arguments.resume and SAVED.exists():
        results = pickle.loads(SAVED.read_bytes())
    for part in PARTS:
        if part.__name__ in results.done:
            continue
        part(bench, results, arguments.quick)
        results.done.append(part.__name__)
        save(results)
        say(f"{part.__name__} done")
    results.load_after = os.getloadavg()[0]
    folder = BUILD if arguments.quick else HERE
    pictures = BUILD if arguments.quick else ROOT / "notebooks" / "pictures"
    print(write_report(results, folder, pictures))


if __name__ == "__main__":
    main()
