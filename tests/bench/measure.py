"""Work against error: every solver over its tolerances, turn by turn on the same settings."""

import itertools
import warnings
from dataclasses import dataclass, field
from time import process_time

import numpy as np
from bench_library import COMPILED, DO_SAME_WORK, LAUNCHES, Answer, BenchLibrary
from python_solvers import PYTHON_SOLVERS, Callbacks, run_course, run_python

#: Errors in time at which solvers are compared [s].
LEVELS = (1e-4, 1e-5, 1e-6, 1e-7)
TOLERANCES = tuple(10.0 ** (-0.5 * k) for k in range(5, 20))
#: Gap [m], slug [kg] and teeth of the first pinion; a problem without them runs once.
NO_SETTING = np.zeros((1, 3))
GAPS = {"earlier_launch": (4.5e-3, 5.4e-3), "launch": (4.2e-3, 4.9e-3)}


def grid(problem: str, gaps: int, slugs: int, pinions: int) -> np.ndarray:
    """Return settings that all shift within 60 m, in random order so that any part is like all."""
    if problem not in LAUNCHES:
        return NO_SETTING
    axes = (
        np.linspace(*GAPS.get(problem, GAPS["launch"]), gaps),
        np.linspace(0.0, 2e-3, slugs),
        np.linspace(15, 19, pinions).round(),
    )
    rows = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    return np.ascontiguousarray(np.random.default_rng(1).permutation(rows))


def same_changes(answer: Answer, exact: Answer) -> bool:
    """Whether part, from and to agree in the same order."""
    return np.array_equal(answer.changes[:, 1:], exact.changes[:, 1:])


def errors(answer: Answer, exact: Answer, problem: str) -> np.ndarray:
    """Return the errors of time to 60 m, contact and lock-up [s].

    A problem without them: the largest error of a change's time for all three, infinite where the
    list of changes is another.
    """
    if not answer.good:
        return np.full(3, np.inf)
    if problem in LAUNCHES:
        names = ("end_time", "shift_start", "shift_end")
        times = [abs(getattr(answer, name) - getattr(exact, name)) for name in names]
        return np.nan_to_num(np.array(times), nan=np.inf)
    if not same_changes(answer, exact):
        return np.full(3, np.inf)
    return np.full(3, float(np.abs(answer.changes[:, 0] - exact.changes[:, 0]).max()))


@dataclass(frozen=True, slots=True)
class Line:
    """One solver at one tolerance, over settings."""

    problem: str
    solver: str
    same_work: bool
    tolerance: float
    errors: np.ndarray  #: a row a setting, of the three times [s]
    cpu: np.ndarray  #: processor time of each setting [s]
    steps: float  #: median
    same_changes: int

    def error(self, part: slice = slice(None)) -> float:
        """Return the largest of the three median errors [s]."""
        return float(np.median(self.errors[part], axis=0).max())

    def time(self, part: slice = slice(None)) -> float:
        """Return the median processor time [s]."""
        return float(np.median(self.cpu[part]))


@dataclass
class Bench:
    """The library under test and its exact answers so far."""

    library: BenchLibrary
    calls: Callbacks
    exact: dict[tuple[str, bytes], Answer] = field(default_factory=dict)
    _heyoka: dict[float, object] = field(default_factory=dict)

    def exact_answer(self, problem: str, setting: np.ndarray) -> Answer:
        """Return the library's answer at tolerance 1e-12, worked out once."""
        key = problem, setting.tobytes()
        if key not in self.exact:
            timed = self.library.run_compiled("layshaft", setting, 1e-12, problem=problem)
            self.exact[key] = timed.answer
        return self.exact[key]

    def solve(
        self, problem: str, solver: str, setting: np.ndarray, tolerance: float, same_work: bool
    ) -> tuple[Answer, float]:
        """Return answer and processor time of one run [s]."""
        if solver in COMPILED:
            timed = self.library.run_compiled(
                solver, setting, tolerance, problem=problem, same_work=same_work
            )
            return timed.answer, timed.cpu
        if solver == "heyoka":
            return self._solve_heyoka(setting, tolerance)
        return run_python(solver, self.library, self.calls, setting, tolerance, problem)

    def _solve_heyoka(self, setting: np.ndarray, tolerance: float) -> tuple[Answer, float]:
        from heyoka_chain import heyoka_stretch

        if tolerance not in self._heyoka:
            self._heyoka[tolerance] = heyoka_stretch(self.library, tolerance)
        cpu = process_time()
        self.library.open_course(setting, "clutches")
        answer = run_course(self.library, self._heyoka[tolerance])
        return answer, process_time() - cpu

    def lines(
        self,
        problem: str,
        solvers: list[tuple[str, bool]],
        settings: np.ndarray,
        tolerances: tuple[float, ...] = TOLERANCES,
        rounds: int = 3,
    ) -> list[Line]:
        """Run all solvers, each with its kind of work, in turn; the least time of some rounds."""
        found = []
        for tolerance in tolerances:
            shape = len(solvers), len(settings)
            times, steps = np.full(shape, np.inf), np.full(shape, np.nan)
            wrong, same = np.full((*shape, 3), np.inf), np.zeros(shape, dtype=int)
            for i, setting in enumerate(settings):
                exact = self.exact_answer(problem, setting)
                for _, (k, (solver, work)) in itertools.product(range(rounds), enumerate(solvers)):
                    try:
                        answer, cpu = self.solve(problem, solver, setting, tolerance, work)
                    except (RuntimeError, ValueError) as failure:
                        warnings.warn(f"{solver} at {tolerance:g}: {failure}", stacklevel=1)
                        continue
                    times[k, i] = min(times[k, i], cpu)
                    steps[k, i] = answer.steps
                    wrong[k, i] = errors(answer, exact, problem)
                    same[k, i] = same_changes(answer, exact)
            found += [
                Line(
                    problem, solver, work, tolerance, wrong[k], times[k],
                    float(np.median(steps[k])), int(same[k].sum()),
                )
                for k, (solver, work) in enumerate(solvers)
            ]  # fmt: skip
        return found


def compiled_solvers() -> list[tuple[str, bool]]:
    """Return all that run in C++, those that can with the library's whole work as well."""
    raw = [(solver, False) for solver in COMPILED if solver != "rodas5p"]
    return raw + [(solver, True) for solver in DO_SAME_WORK]


def python_solvers(problem: str) -> list[tuple[str, bool]]:
    """Return those that are called from Python."""
    more = ["heyoka"] if problem == "clutches" else []
    return [(solver, False) for solver in (*PYTHON_SOLVERS, *more)]


def time_at(lines: list[Line], level: float, part: slice = slice(None)) -> float:
    """Interpolate the least processor time at which an error is kept, on logarithmic scales.

    NaN where no tolerance kept the error, or where every one did by far.
    """
    points = sorted((line.error(part), line.time(part)) for line in lines)
    points = [(error, time) for error, time in points if np.isfinite(error) and error > 0.0]
    # From the most exact on: a point counts where it is quicker than all that are more exact.
    front: list[tuple[float, float]] = []
    for error, time in points:
        if not front or time < front[-1][1]:
            front.append((error, time))
    if not front or front[0][0] > level:
        return np.nan
    known = np.log(np.array(front))
    return float(np.exp(np.interp(np.log(level), known[:, 0], known[:, 1])))


def measure_sweep(
    bench: Bench, problem: str, settings: np.ndarray, tolerances: tuple[float, ...], rounds: int
) -> list[Line]:
    """Sweep in one thread and the widest lanes; the time of a launch is that of all, shared out."""
    exact = [bench.exact_answer(problem, setting) for setting in settings]
    found = []
    for tolerance in tolerances:
        spent = []
        for _ in range(rounds):
            answers, cpu, _ = bench.library.run_sweep(settings, tolerance, 1, problem)
            spent.append(cpu / len(settings))
        names = ("end_time", "shift_start", "shift_end")
        wrong = np.array(
            [
                [abs(row[name] - getattr(true, name)) for name in names]
                for row, true in zip(answers, exact, strict=True)
            ]
        )
        same_for_all = np.full(len(settings), min(spent))
        wrong = np.nan_to_num(wrong, nan=np.inf)
        steps = float(np.median(answers["steps"]))
        found.append(Line(problem, "sweep", False, tolerance, wrong, same_for_all, steps, 0))
    return found
