"""A launch of the independent car: steps, events, marks and samples.

Imports nothing of the library it checks.
"""

from dataclasses import dataclass, replace

import numpy as np
from drivetrain import SCALE, STATES, Car, pedal_line
from motion import Modes, Motion, find_modes, guards
from scipy.integrate import DOP853
from scipy.optimize import brentq

#: Guards are looked at this often in a step.
LOOKS = 4
#: A guard that starts on its root has to rise past this before it may fall.
NOISE = 1e-9
#: Share of a step, or less, to which a root is located: the spacing of doubles.
ROOT = {"xtol": 1e-15, "rtol": 4 * np.finfo(float).eps}


@dataclass(frozen=True)
class Change:
    """One change of what a part does, with the state of the car at that instant."""

    time: float  # [s]
    part: str
    was: object  # mode of a coupling, or position of a switch
    now: object
    state: np.ndarray


@dataclass(frozen=True)
class Turn:
    """An instant at which the engine stops to gain speed, or to lose it."""

    time: float  # [s]
    state: np.ndarray


class Launch:
    """One run from `start_speed` to `distance`; the results are in its fields afterwards."""

    def __init__(self, setup, options, tolerance):
        self.car = Car(setup, options.get("grade", 0.0))
        self.options, self.tolerance = options, tolerance
        driver = setup["driver"]
        own = [[0.0, 0.0, 0.0], [driver["rise_time"], driver["throttle"], 0.0]]
        self.pedals = options.get("pedals", own)
        self.changes, self.turns, self.marks, self.samples = [], [], {}, {}
        self.time = 0.0
        self.state, out, clutch_on = self.car.rolling_start(options.get("start_speed", 0.0))
        self.start = self.state.copy()
        self.modes = Modes({}, clutch_on, tuple(out), (0, 0), (0, 0))

    def run(self):
        """Go from kink to kink of the pedals, and on to the end."""
        kinks = [row[0] for row in self.pedals if row[0] > 0.0]
        longest = self.options.get("longest_time", 20.0)
        for kink in [*kinks, longest]:
            throttle, brake = pedal_line(self.pedals, self.time, kink)
            self.modes = replace(self.modes, throttle=throttle, brake=brake)
            self.enter(log=self.time > 0.0)
            if self.go_to(min(kink, longest)):
                break
        return self

    def enter(self, fired=(None, None), *, log=True):
        """Find the modes at this instant and start afresh in them."""
        found = find_modes(self.car, self.time, self.state, self.modes, fired)
        if log:
            for name, new in found.couplings.items():
                old = self.modes.couplings[name]
                if old != new:
                    self.changes.append(Change(self.time, name, old, new, self.state))
        self.modes = replace(found, couplings={n: found.couplings[n] for n in self.car.slip})
        self.motion = Motion(self.car, self.modes)
        self.last = guards(self.motion, self.time, self.state)
        self.armed = {key for key, value in self.last.items() if value > NOISE}

    def go_to(self, kink):
        """Integrate to a kink in time; true where the run ended before."""
        while self.time < kink:
            # A mode entered on its root may end soon: the first looks must not be far off.
            solver = DOP853(
                self.motion, self.time, self.state, kink,
                first_step=min(1e-5, kink - self.time), max_step=2e-3,
                rtol=self.tolerance, atol=self.tolerance * SCALE,
            )  # fmt: skip
            fired = None
            while solver.status == "running" and fired is None:
                solver.step()
                if solver.status == "failed":
                    raise ArithmeticError(f"step failed at {solver.t} s")
                dense = solver.dense_output()
                fired, until = self.first_fall(dense, solver.t_old, solver.t)
                if self.observe(dense, solver.t_old, until):
                    return True
            self.time, self.state = until, dense(until) if fired else solver.y.copy()
            if fired:
                self.switch(fired)
        return False

    def first_fall(self, dense, begin, end):
        """Return the guard that falls first in a step and when; (None, end) where none does."""
        before = begin
        for now in np.linspace(begin, end, LOOKS + 1)[1:]:
            values = guards(self.motion, now, dense(now))
            fallen = []
            for key, value in values.items():
                if value >= (0.0 if key in self.armed else -NOISE):
                    continue
                root = before
                if self.last[key] > 0.0:
                    root = brentq(
                        lambda t, key=key: guards(self.motion, t, dense(t))[key],
                        before, now, **ROOT,
                    )  # fmt: skip
                fallen.append((root, key))
            if fallen:
                root, key = min(fallen)
                return key, root
            self.armed |= {key for key, value in values.items() if value > NOISE}
            self.last, before = values, now
        return None, end

    def switch(self, fired):
        kind, part = fired
        if kind == "switch":
            if part == "clutch":
                on = self.modes.clutch_on
                self.modes = replace(self.modes, clutch_on=not on)
            else:
                k = int(part[-1]) - 1
                out = list(self.modes.shoes_out)
                on, out[k] = out[k], not out[k]
                self.modes = replace(self.modes, shoes_out=tuple(out))
            self.changes.append(Change(self.time, part, int(on), int(not on), self.state))
        self.enter(fired)

    def note_turn(self, dense, begin, until):
        def gain(time):
            return self.motion(time, dense(time))[STATES.index("crank")]

        if gain(begin) * gain(until) < 0.0:
            time = brentq(gain, begin, until, **ROOT)
            self.turns.append(Turn(time, dense(time)))

    def observe(self, dense, begin, until):
        """Take turns, marks and samples in a step; true where the distance is reached."""
        self.note_turn(dense, begin, until)
        place = STATES.index("distance")
        goal = self.options["distance"]
        for mark in {*self.options["distances"], goal}:
            if mark not in self.marks and dense(until)[place] >= mark:
                time = brentq(lambda t, mark=mark: dense(t)[place] - mark, begin, until, **ROOT)
                self.marks[mark] = (time, dense(time))
        stop, _ = self.marks.get(goal, (until, None))
        interval = self.options["sample_interval"]
        while (time := interval * len(self.samples)) <= stop:
            self.samples[time] = dense(max(time, begin))
        if goal in self.marks:
            self.time, self.state = self.marks[goal]
        return goal in self.marks
