"""Every torque is a straight line in time, so speeds are parabolas and events roots of polynomials.

Stretches: all but the drum turn as one; first gear lets go where its torque ends; crank and bell
turn free of the shaft until the clutch slips; three bodies apart until drum or clutch locks; the
rest locks. Which comes when is found, not given.
"""

import sys
import tomllib
from pathlib import Path

import numpy as np
from numpy.polynomial import Polynomial

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402

CASE = tomllib.loads((HERE / "case.toml").read_text())
CRANK, BELL, SHAFT = range(3)
ROWS = {"clutch": np.array([1.0, -1.0, 0.0])} | {
    name: np.array([0.0, CASE["couplings"][name]["slip"]["bell"], -1.0])
    for name in ("first", "second")
}
INERTIA = np.array([body["inertia"] for body in CASE["bodies"].values()])
APPLIED = np.array([body.get("torque", {"constant": 0.0})["constant"]
                    for body in CASE["bodies"].values()])  # fmt: skip
CAPACITY = CASE["couplings"]["clutch"]["pressure"]["constant"]
RAMP = CASE["couplings"]["second"]["pressure"]["slope"]


class Stretch:
    """Polynomials in time of speeds and torques, with some rows stuck and the others sliding."""

    def __init__(self, begin, speeds, modes):
        self.begin, self.modes = begin, modes
        sliding = {"clutch": Polynomial([CAPACITY]), "second": Polynomial([0.0, RAMP])}
        signs = {"slip_positive": 1, "slip_negative": -1}
        stuck = [name for name, mode in modes.items() if mode == "stuck"]
        self.torques = {
            name: sliding[name] * signs[mode] if name in sliding and mode in signs
            else Polynomial([0.0])
            for name, mode in modes.items()
        }  # fmt: skip
        forces = [
            APPLIED[i] - sum(ROWS[name][i] * self.torques[name] for name in modes) for i in range(3)
        ]
        rows = np.array([ROWS[name] for name in stuck]).reshape(-1, 3)
        response = rows / INERTIA @ rows.T
        free = [sum(row[i] / INERTIA[i] * forces[i] for i in range(3)) for row in rows]
        inverse = np.linalg.inv(response)
        for k, name in enumerate(stuck):
            self.torques[name] = sum(inverse[k, j] * free[j] for j in range(len(stuck)))
        self.speeds = []
        for i in range(3):
            reaction = sum(ROWS[name][i] * self.torques[name] for name in stuck)
            speed = ((forces[i] - reaction) / INERTIA[i]).integ()
            self.speeds.append(speed - speed(begin) + speeds[i])

    def slip(self, name):
        return sum(ROWS[name][i] * self.speeds[i] for i in range(3))

    def speeds_at(self, time):
        return [speed(time) for speed in self.speeds]

    def heat(self, name, begin, end):
        power = (self.torques[name] * self.slip(name)).integ()
        return power(end) - power(begin) if self.modes[name] != "stuck" else 0.0

    def end(self):
        """First instant at which a mode ends: time, part, new mode."""
        falls = []
        for name, mode in self.modes.items():
            if mode != "stuck":
                falls += first_fall(self.slip(name) * (1 if mode == "slip_positive" else -1),
                                    self.begin, (name, "stuck"))  # fmt: skip
                continue
            torque = self.torques[name]
            limit = {"clutch": CAPACITY, "second": Polynomial([0.0, RAMP])}.get(name)
            if limit is not None:
                falls += first_fall(limit - torque, self.begin, (name, "slip_positive"))
                falls += first_fall(limit + torque, self.begin, (name, "slip_negative"))
            else:
                falls += first_fall(torque, self.begin, (name, "slip_negative"))
        return min(falls, default=(np.inf, None))


def first_fall(guard, begin, what):
    """First root after `begin` at which the polynomial falls, with `what` ends there."""
    guard = guard if isinstance(guard, Polynomial) else Polynomial([guard])
    roots = [root.real for root in guard.trim().roots() if abs(root.imag) < 1e-12]
    after = sorted(root for root in roots if root > begin + 1e-9 and guard.deriv()(root) < 0)
    return [(after[0], what)] if after else []


def main():
    modes = {"clutch": "stuck", "first": "stuck", "second": "slip_positive"}
    speeds = [body["speed"] for body in CASE["bodies"].values()]
    # The drum's torque rises from nothing: it begins to press at the first instant.
    rows = [("change 1: second open to slip_positive", "s", 0.0)]
    stretches = [Stretch(0.0, speeds, modes)]
    while (fall := stretches[-1].end())[1] and fall[0] < CASE["times"][-1]:
        time, (part, now) = fall
        was = modes[part]
        modes = modes | {part: now}
        rows.append((f"change {len(rows) + 1}: {part} {was} to {now}", "s", time))
        stretches.append(Stretch(time, stretches[-1].speeds_at(time), modes))
    ends = [stretch.begin for stretch in stretches[1:]] + [np.inf]
    for time in CASE["times"]:
        present = [stretch for stretch in stretches if stretch.begin <= time][-1]
        for body, speed in zip(CASE["bodies"], present.speeds_at(time), strict=True):
            rows.append((f"at {time:g} s: {body} speed", "rad/s", speed))
        for name in ("clutch", "second"):
            heat = sum(stretch.heat(name, stretch.begin, min(end, time))
                       for stretch, end in zip(stretches, ends, strict=True)
                       if stretch.begin < time)  # fmt: skip
            rows.append((f"at {time:g} s: {name} loss", "J", heat))
    write(HERE, rows)


if __name__ == "__main__":
    main()
