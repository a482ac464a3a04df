"""Solvers of Python on the same stretches: SciPy, scikit-sundae, CyRK; heyoka for O1.

Right-hand side, Jacobian and guards are the compiled ones of the library, called from functions
that Numba has compiled beforehand, so that no interpreted Python runs inside them. All guards of a
stretch are one event: the least of them, which falls through zero where the first of them does.
"""

import warnings
from collections.abc import Callable
from time import process_time

import numpy as np
from bench_library import Answer, BenchLibrary

LONGEST_STEP = 0.1  # [s], as in the library
PYTHON_SOLVERS = (
    "scipy_rk45", "scipy_radau", "scipy_lsoda", "sundae_bdf",
    "cyrk_rk45", "cyrk_lsoda", "cyrk_radau",
)  # fmt: skip
# What is left to run of a stretch, to a root or to its end: new time, new state, at a root.
Stretch = Callable[[float, float, np.ndarray], tuple[float, np.ndarray, bool]]


class Callbacks:
    """Compiled functions in the forms the solvers ask for."""

    def __init__(self, library: BenchLibrary) -> None:
        import numba

        native_rates = library.native.bench_rates
        native_jacobian = library.native.bench_jacobian
        native_guard = library.native.bench_guard

        @numba.njit
        def fill_rates(t, y, out):
            native_rates(t, y.ctypes, out.ctypes)

        @numba.njit
        def rates(t, y):
            out = np.empty(y.size)
            native_rates(t, y.ctypes, out.ctypes)
            return out

        @numba.njit
        def fill_rates_first(out, t, y):
            native_rates(t, y.ctypes, out.ctypes)

        @numba.njit
        def jacobian(t, y):
            out = np.empty((y.size, y.size))
            native_jacobian(t, y.ctypes, out.ctypes)
            return out.T

        @numba.njit
        def fill_jacobian(t, y, _rates, out):
            columns = np.empty((y.size, y.size))
            native_jacobian(t, y.ctypes, columns.ctypes)
            out[:] = columns.T

        @numba.njit
        def guard(t, y):
            return native_guard(t, y.ctypes)

        @numba.njit
        def fill_guard(t, y, out):
            out[0] = native_guard(t, y.ctypes)

        self.rates, self.fill_rates, self.fill_rates_first = rates, fill_rates, fill_rates_first
        self.jacobian, self.fill_jacobian = jacobian, fill_jacobian

        def event(t, y):
            return guard(t, y)

        event.terminal, event.direction = True, -1
        self.event = event

        def fill_event(t, y, out):
            fill_guard(t, y, out)

        fill_event.terminal, fill_event.direction = [True], [-1]
        self.fill_event = fill_event


def run_course(library: BenchLibrary, stretch: Stretch) -> Answer:
    """Carry the open course to its end, one stretch after the other."""
    running = bool(library.begin())
    while running:
        state = library.course_state()
        time, state, at_root = stretch(library.time(), library.stretch_end(), state)
        running = library.course_stop(time, state, at_root=at_root)
    return library.course_answer()


def make_stretch(solver: str, library: BenchLibrary, calls: Callbacks, tolerance: float) -> Stretch:
    """Return what carries out one stretch with a solver at a tolerance."""
    package, method = solver.split("_", 1)
    maker = {"scipy": scipy_stretch, "sundae": sundae_stretch, "cyrk": cyrk_stretch}[package]
    return maker(method, library.course_scale() * tolerance, calls, tolerance)


def scipy_stretch(method: str, weights: np.ndarray, calls: Callbacks, tolerance: float) -> Stretch:
    """`scipy.integrate.solve_ivp`, with the analytic Jacobian where the method takes one."""
    from scipy.integrate import solve_ivp

    name = {"rk45": "RK45", "radau": "Radau", "lsoda": "LSODA", "bdf": "BDF"}[method]
    extra = {} if name == "RK45" else {"jac": calls.jacobian}

    def stretch(begin: float, end: float, state: np.ndarray) -> tuple[float, np.ndarray, bool]:
        run = solve_ivp(
            calls.rates, (begin, end), state, method=name, rtol=tolerance, atol=weights,
            events=calls.event, max_step=LONGEST_STEP, **extra,
        )  # fmt: skip
        if run.status < 0:
            raise RuntimeError(run.message)
        return float(run.t[-1]), run.y[:, -1], run.status == 1

    return stretch


def sundae_stretch(method: str, weights: np.ndarray, calls: Callbacks, tolerance: float) -> Stretch:
    """CVODE through scikit-sundae, made once a run."""
    from sksundae.cvode import CVODE

    solver = CVODE(
        calls.fill_rates, method={"bdf": "BDF", "adams": "Adams"}[method], rtol=tolerance,
        atol=weights, jacfn=calls.fill_jacobian, eventsfn=calls.fill_event, num_events=1,
        max_step=LONGEST_STEP, max_num_steps=10_000_000,
    )  # fmt: skip

    def stretch(begin: float, end: float, state: np.ndarray) -> tuple[float, np.ndarray, bool]:
        run = solver.solve(np.array([begin, end]), state)
        if not run.success:
            raise RuntimeError(run.message)
        # Not by `t_events`, which also holds roots that were rising.
        return float(run.t[-1]), run.y[-1], bool(run.t[-1] < end)

    return stretch


def cyrk_stretch(method: str, weights: np.ndarray, calls: Callbacks, tolerance: float) -> Stretch:
    """CyRK's `pysolve_ivp`; it takes no Jacobian and works out its own by differences."""
    from CyRK import pysolve_ivp

    def stretch(begin: float, end: float, state: np.ndarray) -> tuple[float, np.ndarray, bool]:
        run = pysolve_ivp(
            calls.fill_rates_first, (begin, end), state, method=method, rtol=tolerance,
            atol=weights, events=(calls.event,), max_step=LONGEST_STEP, pass_dy_as_arg=True,
        )  # fmt: skip
        if not run.success:
            raise RuntimeError(run.message)
        if run.event_terminated:
            return float(run.t_events[0][-1]), np.ascontiguousarray(run.y_events[0][:, -1]), True
        return float(run.t[-1]), np.ascontiguousarray(run.y[:, -1]), False

    return stretch


def run_python(
    solver: str,
    library: BenchLibrary,
    calls: Callbacks,
    setting: np.ndarray,
    tolerance: float,
    problem: str,
) -> tuple[Answer, float]:
    """Return the answer with its processor time [s], all that a run needs included."""
    cpu = process_time()
    library.open_course(setting, problem)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        answer = run_course(library, make_stretch(solver, library, calls, tolerance))
    return answer, process_time() - cpu
