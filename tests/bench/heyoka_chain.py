"""Problem O1 by heyoka's Taylor method, whose equations are expressions that it compiles itself.

In a stretch the rates of O1 are sums of sin(10 pi t), cos(0.4 pi t) and constants, and its guards
are the same with the speeds added. Their factors are parameters, read off the library's own frozen
equations at the start of each stretch, so one compilation serves all modes.

The launch is left out: heyoka cannot call a compiled right-hand side, so the car would have to be
written a second time in its expressions, and a Taylor series needs smooth equations, which a torque
curve made of cubics and clamped axle loads are not (each knot would have to become an event).
"""

import ctypes

import numpy as np
from bench_library import BenchLibrary
from python_solvers import Stretch

NODES = 4
MOST_GUARDS = 7
FACTORS = 3  # of sin, of cos, constant


def _values(function, count: int, time: float, state: np.ndarray) -> np.ndarray:
    out = np.zeros(count)
    function(time, ctypes.c_void_p(state.ctypes.data), ctypes.c_void_p(out.ctypes.data))
    return out


def _time_factors(function, count: int) -> np.ndarray:
    """Return the factors of sin(10 pi t), cos(0.4 pi t) and 1 at rest, one row a value."""
    rest = np.zeros(NODES)
    at_0, at_half = _values(function, count, 0.0, rest), _values(function, count, 2.5, rest)
    constant, cosine = 0.5 * (at_0 + at_half), 0.5 * (at_0 - at_half)
    sine = _values(function, count, 0.05, rest) - constant - cosine * np.cos(0.02 * np.pi)
    return np.stack([sine, cosine, constant], axis=1)


def _parameters(library: BenchLibrary) -> np.ndarray:
    rates = _time_factors(library.rates, NODES)
    guards = np.zeros((MOST_GUARDS, FACTORS + NODES))
    guards[:, FACTORS - 1] = 1.0
    count = library.guard_count()
    guards[:count, :FACTORS] = _time_factors(library.guards, count)
    at_rest = _values(library.guards, count, 0.0, np.zeros(NODES))
    for node, unit in enumerate(np.eye(NODES)):
        guards[:count, FACTORS + node] = _values(library.guards, count, 0.0, unit) - at_rest
    return np.concatenate([rates.ravel(), guards.ravel()])


def heyoka_stretch(library: BenchLibrary, tolerance: float) -> Stretch:
    """Compile the integrator for a tolerance; return what carries out one stretch with it."""
    import heyoka

    speeds = heyoka.make_vars(*[f"w{i}" for i in range(NODES)])
    basis = [heyoka.sin(10 * np.pi * heyoka.time), heyoka.cos(0.4 * np.pi * heyoka.time), 1.0]
    system = [
        (speed, sum(heyoka.par[FACTORS * i + k] * basis[k] for k in range(FACTORS)))
        for i, speed in enumerate(speeds)
    ]
    first, width = FACTORS * NODES, FACTORS + NODES
    events = [
        heyoka.t_event(
            sum(heyoka.par[first + width * g + k] * x for k, x in enumerate([*basis, *speeds])),
            direction=heyoka.event_direction.negative,
        )
        for g in range(MOST_GUARDS)
    ]
    solver = heyoka.taylor_adaptive(
        system, [0.0] * NODES, pars=[0.0] * (first + width * MOST_GUARDS), t_events=events,
        tol=tolerance,
    )  # fmt: skip

    def stretch(begin: float, end: float, state: np.ndarray) -> tuple[float, np.ndarray, bool]:
        solver.time = begin
        solver.state[:] = state
        solver.pars[:] = _parameters(library)
        solver.reset_cooldowns()
        solver.propagate_until(end, max_delta_t=0.05)
        return solver.time, solver.state.copy(), solver.time < end

    return stretch
