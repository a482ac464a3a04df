"""What is measured: errors over tolerances, times side by side, sweeps, mode changes."""

import os
import subprocess
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
from bench_library import COMPILED, Answer, BenchLibrary
from python_solvers import PYTHON_SOLVERS, Callbacks, run_course, run_python

# Largest median error of time to 60 m, shift start and shift end at which solvers are compared [s].
EQUAL_ERROR = 1e-5
DEFAULT_TOLERANCE = 1e-6  # of `layshaft::launch`
TOLERANCES = tuple(10.0 ** (-0.5 * k) for k in range(6, 21))
PYTHON_TOLERANCES = TOLERANCES[:11]
SLOW_STRIDE = 4  # solvers of Python run on every fourth setting
DEMO_SETTING = np.array([4.8e-3, 1e-3, 17.0])  # gap [m], slug [kg], teeth of the first pinion
LAUNCH_SOLVERS = tuple(s for s in COMPILED if s != "rodas5p") + PYTHON_SOLVERS
CHAIN_SOLVERS = (*LAUNCH_SOLVERS, "heyoka")


def grid(gaps: int, slugs: int, pinions: int) -> np.ndarray:
    """Return settings that all shift within 60 m, in random order so that any part is like all."""
    axes = (
        np.linspace(4.5e-3, 5.4e-3, gaps),
        np.linspace(0.0, 2e-3, slugs),
        np.linspace(15, 19, pinions).round(),
    )
    rows = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    return np.ascontiguousarray(np.random.default_rng(1).permutation(rows))


def errors(answer: Answer, exact: Answer, *, launch: bool) -> np.ndarray:
    """Return the errors of time to 60 m, shift start, shift end [s] and end speed.

    O1 has no such times: there the largest error of a switch time stands for all three, infinite
    where the list of switches is another.
    """
    speed = abs(answer.end_speed - exact.end_speed)
    if launch:
        names = ("end_time", "shift_start", "shift_end")
        times = [abs(getattr(answer, name) - getattr(exact, name)) for name in names]
        return np.nan_to_num(np.array([*times, speed]), nan=np.inf)
    worst = np.inf
    if same_changes(answer, exact):
        worst = float(np.abs(answer.changes[:, 0] - exact.changes[:, 0]).max())
    return np.array([worst, worst, worst, speed])


def same_changes(answer: Answer, exact: Answer) -> bool:
    """Whether part, from and to agree in the same order."""
    return np.array_equal(answer.changes[:, 1:], exact.changes[:, 1:])


@dataclass
class Line:
    """Work and error of one solver at one tolerance, medians over settings."""

    problem: str
    solver: str
    tolerance: float
    settings: int
    errors: np.ndarray  # of time to 60 m, shift start, shift end [s], end speed
    cpu: float  # [s]
    wall: float
    same_changes: int

    @property
    def error(self) -> float:
        """The largest of the three median errors in times [s]."""
        return float(self.errors[:3].max())


@dataclass
class Pair:
    """One solver against the library, each at its own tolerance of equal error."""

    line: Line
    ratio: float  # median over pairs of processor time over the library's
    low: float  # quartiles of that
    high: float
    wall_ratio: float


@dataclass
class Bench:
    """The library under test and what was measured of it so far."""

    library: BenchLibrary
    calls: Callbacks
    exact: dict[bytes, Answer] = field(default_factory=dict)
    _heyoka: dict[float, object] = field(default_factory=dict)

    def exact_answer(self, setting: np.ndarray, *, launch: bool) -> Answer:
        """Return the library's answer at tolerance 1e-12, worked out once."""
        key = setting.tobytes() if launch else b"chain"
        if key not in self.exact:
            timed = self.library.run_compiled("layshaft", setting, 1e-12, launch=launch)
            self.exact[key] = timed.answer
        return self.exact[key]

    def solve(
        self, solver: str, setting: np.ndarray, tolerance: float, *, launch: bool, repeats: int = 1
    ) -> tuple[Answer, float, float]:
        """Return answer, processor and wall time of one run [s]."""
        if solver in COMPILED:
            timed = self.library.run_compiled(
                solver, setting, tolerance, launch=launch, repeats=repeats
            )
            return timed.answer, timed.cpu, timed.wall
        if solver == "heyoka":
            return self._solve_heyoka(setting, tolerance)
        return run_python(solver, self.library, self.calls, setting, tolerance, launch=launch)

    def _solve_heyoka(self, setting: np.ndarray, tolerance: float) -> tuple[Answer, float, float]:
        from heyoka_chain import heyoka_stretch

        if tolerance not in self._heyoka:
            self._heyoka[tolerance] = heyoka_stretch(self.library, tolerance)
        cpu, wall = process_time(), perf_counter()
        self.library.open_course(setting, launch=False)
        answer = run_course(self.library, self._heyoka[tolerance])
        return answer, process_time() - cpu, perf_counter() - wall

    def line(self, solver: str, tolerance: float, settings: np.ndarray, *, launch: bool) -> Line:
        """Run all settings at one tolerance."""
        rows, cpus, walls, same = [], [], [], 0
        for setting in settings:
            exact = self.exact_answer(setting, launch=launch)
            try:
                answer, cpu, wall = self.solve(solver, setting, tolerance, launch=launch)
            except (RuntimeError, ValueError) as failure:
                warnings.warn(f"{solver} at {tolerance:g}: {failure}", stacklevel=1)
                rows.append(np.full(4, np.inf))
                continue
            rows.append(errors(answer, exact, launch=launch))
            cpus.append(cpu)
            walls.append(wall)
            same += same_changes(answer, exact)
        medians = [float(np.median(x)) if x else np.nan for x in (cpus, walls)]
        return Line(
            "launch" if launch else "o1", solver, tolerance, len(settings),
            np.median(np.array(rows), axis=0), *medians, same,
        )  # fmt: skip

    def loosest(
        self, solver: str, settings: np.ndarray, lines: list[Line], *, launch: bool
    ) -> Line:
        """Return the line with the largest tolerance that is as exact as asked, on all settings."""
        mine = [x for x in lines if x.solver == solver]
        for known in sorted(mine, key=lambda x: -x.tolerance):
            # A few settings may err the other way; look again one step around.
            if known.error > 2.0 * EQUAL_ERROR:
                continue
            line = known
            if known.settings < len(settings):
                line = self.line(solver, known.tolerance, settings, launch=launch)
            if line.error <= EQUAL_ERROR:
                return line
        raise RuntimeError(f"{solver} never reaches {EQUAL_ERROR} s")

    def pairs(
        self,
        chosen: list[Line],
        settings: np.ndarray,
        rounds: int,
        *,
        launch: bool,
        repeats: int = 1,
    ) -> list[Pair]:
        """Time all solvers turn by turn on each setting; the first is the library.

        Those of Python run on every fourth setting.
        """
        times = np.full((len(chosen), rounds * len(settings), 2), np.nan)
        for turn in range(rounds):
            for i, setting in enumerate(settings):
                for k, line in enumerate(chosen):
                    if line.solver in PYTHON_SOLVERS and i % SLOW_STRIDE != 0:
                        continue
                    _, *both = self.solve(
                        line.solver, setting, line.tolerance, launch=launch, repeats=repeats
                    )
                    times[k, turn * len(settings) + i] = both
        pairs = []
        for k, line in enumerate(chosen):
            ratios = times[k] / times[0]
            low, middle, high = np.nanquantile(ratios[:, 0], [0.25, 0.5, 0.75])
            cpu, wall = np.nanmedian(times[k], axis=0)
            timed = replace(line, cpu=cpu, wall=wall)
            pairs.append(Pair(timed, middle, low, high, float(np.nanmedian(ratios[:, 1]))))
        return pairs


def measure_changes(bench: Bench, settings: np.ndarray, tolerance: float) -> dict[str, float]:
    """Compare the lists of mode changes with those at tolerance 1e-12."""
    counts = {
        "settings": len(settings),
        "layshaft": 0,
        "cvode_bdf": 0,
        "checked": 0,
        "farthest": 0.0,
    }
    for i, setting in enumerate(settings):
        exact = bench.library.run_compiled("layshaft", setting, 1e-12).answer
        found = bench.library.run_compiled("layshaft", setting, tolerance).answer
        counts["layshaft"] += same_changes(found, exact)
        if i % 10 == 0:  # the reference itself, by another method
            other = bench.library.run_compiled("cvode_bdf", setting, 1e-12).answer
            counts["checked"] += 1
            counts["cvode_bdf"] += same_changes(other, exact)
            gap = errors(other, exact, launch=True)[:3].max()
            counts["farthest"] = max(counts["farthest"], float(gap))
    return counts


def measure_ensemble(
    bench: Bench, settings: np.ndarray, ours: Line, theirs: list[Line], chunk: int, sample: int
) -> dict[str, dict[str, float]]:
    """Time a sweep in one thread chunk by chunk, with the others in between.

    The sweep runs in the widest lanes and once more launch by launch. CVODE runs all settings;
    those of `theirs` past the first run a sample of each chunk.
    """
    names = [ours.solver, "layshaft_alone", *(line.solver for line in theirs)]
    seconds: dict[str, list[float]] = {name: [] for name in names}
    for begin in range(0, len(settings), chunk):
        part = settings[begin : begin + chunk]
        _, cpu, _ = bench.library.run_sweep(part, ours.tolerance, 1)
        seconds[ours.solver].append(cpu / len(part))
        with lanes_asked(1):
            _, cpu, _ = bench.library.run_sweep(part, ours.tolerance, 1)
        seconds["layshaft_alone"].append(cpu / len(part))
        for k, line in enumerate(theirs):
            some = part if k == 0 else part[:sample]
            spent = [bench.solve(line.solver, s, line.tolerance, launch=True)[1] for s in some]
            seconds[line.solver].append(float(np.mean(spent)))
    base = np.array(seconds[ours.solver])
    return {
        solver: {"cpu": float(np.mean(spent)), "ratio": float(np.median(np.array(spent) / base))}
        for solver, spent in seconds.items()
    }


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


def measure_size(library_path: Path, runs: int, tolerance: float) -> dict[str, float]:
    """Sweep in a process of its own: time per run, and memory over that of a tiny sweep [byte]."""
    command = [
        sys.executable,
        str(Path(__file__).with_name("run.py")),
        "--child",
        str(library_path),
    ]
    out = subprocess.run(
        [*command, str(runs), str(tolerance)], check=True, capture_output=True, text=True
    ).stdout.split()
    return {"runs": runs, "cpu": float(out[0]), "wall": float(out[1]), "memory": float(out[2])}


def size_child(library_path: str, runs: int, tolerance: float) -> None:
    """Print what `measure_size` reads."""
    library = BenchLibrary(Path(library_path))
    settings = np.resize(grid(50, 40, 5), (runs, 3))
    library.run_sweep(settings[:100], tolerance, 1)
    before = _peak_memory()
    _, cpu, wall = library.run_sweep(settings, tolerance, 1)
    print(cpu / runs, wall / runs, _peak_memory() - before)


def _peak_memory() -> float:
    # Not `getrusage`, which starts from the parent's peak.
    status = Path("/proc/self/status").read_text()
    return 1024.0 * float(status.split("VmHWM:")[1].split()[0])
