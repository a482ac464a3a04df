"""The compiled part of the benchmark: whole runs in C++, and the pieces of a run for Python."""

import ctypes
from dataclasses import dataclass
from pathlib import Path

import numpy as np

#: The problems, the library's own solvers and the rivals, in the order of the C++ side.
PROBLEMS = ("earlier_launch", "launch", "stiff_launch", "clutches", "springs", "stiff_springs")
LAUNCHES = PROBLEMS[:3]
OWN = ("layshaft", "rodas5p", "rodas4p", "dormand_prince")
RIVALS = (
    "cvode_bdf", "cvode_tuned", "cvode_adams", "esdirk", "sofroniou", "tsitouras",
    "gsl_rkck", "gsl_rkf45", "dopri5", "rodas", "hairer_rodas4p",
)  # fmt: skip
COMPILED = OWN + RIVALS
#: Those that can be made to do the library's whole work.
DO_SAME_WORK = ("cvode_bdf", "cvode_tuned", "cvode_adams", "dopri5", "rodas", "hairer_rodas4p")
MOST_CHANGES = 256
ANSWER_DTYPE = np.dtype(
    [
        (name, float)
        for name in ("end_time", "shift_start", "shift_end", "end_speed", "steps", "good")
    ]
)


@dataclass(frozen=True, slots=True)
class Answer:
    """What every solver is asked for; `changes` are rows of time, part, index, from, to."""

    end_time: float
    shift_start: float
    shift_end: float
    end_speed: float
    steps: float
    good: bool
    changes: np.ndarray


@dataclass(frozen=True, slots=True)
class Timed:
    """An answer with the processor and wall time of one run [s]."""

    answer: Answer
    cpu: float
    wall: float


def _pointer(array: np.ndarray) -> ctypes.c_void_p:
    return ctypes.c_void_p(array.ctypes.data)


class BenchLibrary:
    """Calls into the shared library; one course at a time for the solvers of Python."""

    def __init__(self, path: Path) -> None:
        self.native = ctypes.CDLL(str(path))
        double, integer, pointer = ctypes.c_double, ctypes.c_int, ctypes.c_void_p
        signatures = {
            "run": (
                integer,
                [
                    integer,
                    integer,
                    integer,
                    pointer,
                    double,
                    integer,
                    pointer,
                    pointer,
                    pointer,
                    integer,
                ],
            ),
            "sweep": (None, [integer, pointer, integer, double, ctypes.c_uint, pointer, pointer]),
            "lanes": (integer, []),
            "open": (None, [integer, pointer]),
            "size": (integer, []),
            "scale": (None, [pointer]),
            "begin": (integer, []),
            "time": (double, []),
            "stretch_end": (double, []),
            "state": (None, [pointer]),
            "rates": (None, [double, pointer, pointer]),
            "jacobian": (None, [double, pointer, pointer]),
            "guard_count": (integer, []),
            "guards": (None, [double, pointer, pointer]),
            "guard": (double, [double, pointer]),
            "stop": (integer, [double, pointer, integer]),
            "answer": (integer, [pointer, pointer, integer]),
        }
        for name, (result, arguments) in signatures.items():
            function = getattr(self.native, f"bench_{name}")
            function.restype, function.argtypes = result, arguments
            setattr(self, name, function)
        self._answer = np.zeros(1, ANSWER_DTYPE)
        self._changes = np.zeros((MOST_CHANGES, 5))

    def run_compiled(
        self,
        solver: str,
        setting: np.ndarray,
        tolerance: float,
        *,
        problem: str = "launch",
        same_work: bool = False,
        repeats: int = 1,
    ) -> Timed:
        """Run one of the solvers compiled into the library."""
        times = np.zeros(2)
        count = self.run(
            PROBLEMS.index(problem), COMPILED.index(solver), int(same_work), _pointer(setting),
            tolerance, repeats,
            _pointer(self._answer), _pointer(times), _pointer(self._changes), MOST_CHANGES,
        )  # fmt: skip
        return Timed(self._read(count), times[0], times[1])

    def run_sweep(
        self, settings: np.ndarray, tolerance: float, threads: int, problem: str = "launch"
    ) -> tuple[np.ndarray, float, float]:
        """Return answers, processor time of all threads and wall time of a whole sweep."""
        settings = np.ascontiguousarray(settings)
        answers = np.zeros(len(settings), ANSWER_DTYPE)
        times = np.zeros(2)
        self.sweep(
            PROBLEMS.index(problem),
            _pointer(settings),
            len(settings),
            tolerance,
            threads,
            _pointer(answers),
            _pointer(times),
        )
        return answers, times[0], times[1]

    def open_course(self, setting: np.ndarray, problem: str) -> None:
        """Make the course that rates, guards and stop belong to."""
        self.open(PROBLEMS.index(problem), _pointer(setting))

    def course_scale(self) -> np.ndarray:
        """Return the scale of each state."""
        out = np.zeros(self.size())
        self.scale(_pointer(out))
        return out

    def course_state(self) -> np.ndarray:
        """Return a copy of the state at the start of the present stretch."""
        out = np.empty(self.size())
        self.state(_pointer(out))
        return out

    def course_stop(self, time: float, state: np.ndarray, *, at_root: bool) -> bool:
        """Enter the next stretch; False where the run has ended."""
        state = np.ascontiguousarray(state, dtype=float)
        return bool(self.stop(time, _pointer(state), int(at_root)))

    def course_answer(self) -> Answer:
        """Return the answer of a course that has ended."""
        return self._read(
            self.answer(_pointer(self._answer), _pointer(self._changes), MOST_CHANGES)
        )

    def _read(self, count: int) -> Answer:
        row = self._answer[0]
        values = [float(row[name]) for name in ANSWER_DTYPE.names[:-1]]
        return Answer(
            *values, bool(row["good"] == 1.0), self._changes[: min(count, MOST_CHANGES)].copy()
        )
