"""O1: speeds in closed form between events, whose instants are roots of them.

Between events every torque is a sum of constants, a sine and a cosine.
"""

import math
import sys
import tomllib
from pathlib import Path

from scipy.optimize import brentq

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402

DRIVE, CLOSING = 10 * math.pi, 0.4 * math.pi  # [rad/s]


def drive(t):
    return 10 * math.sin(DRIVE * t)


def drive_impulse(t0, t):
    return -10 / DRIVE * (math.cos(DRIVE * t) - math.cos(DRIVE * t0))


def clutch(t):
    return 10 * math.cos(CLOSING * t)


def clutch_impulse(t0, t):
    return 10 / CLOSING * (math.sin(CLOSING * t) - math.sin(CLOSING * t0))


class Stretch:
    """Motion from `begin` on: groups of bodies that turn as one, and the impulses on each group."""

    def __init__(self, begin, speeds, groups, impulses):
        self.begin, self.start, self.groups, self.impulses = begin, speeds, groups, impulses

    def speeds(self, t):
        result = list(self.start)
        for bodies, impulse in zip(self.groups, self.impulses, strict=True):
            for body in bodies:
                result[body] = self.start[bodies[0]] + impulse(self.begin, t) / len(bodies)
        return result

    def next(self, t, groups, impulses):
        return Stretch(t, self.speeds(t), groups, impulses)

    def meets(self, one, other, low, high):
        def gap(t):
            speeds = self.speeds(t)
            return speeds[one] - speeds[other]

        return brentq(gap, low, high, xtol=1e-15, rtol=1e-15)


def ten(t0, t):
    return 10 * (t - t0)


def minus(one, other):
    return lambda t0, t: one(t0, t) - other(t0, t)


def none(_t0, _t):
    return 0.0


def history():
    """Stretches in order, and the changes."""
    u, c = drive_impulse, clutch_impulse
    root = {"xtol": 1e-15, "rtol": 1e-15}
    a = Stretch(0.0, [10.0, 0, 0, 0], [[0], [1], [2], [3]], [minus(u, c), c, none, none])
    b = a.next(0.4, [[0], [1], [2], [3]], [minus(u, c), minus(c, ten), ten, none])
    two_locks = b.meets(1, 2, 0.5, 0.85)
    d = b.next(two_locks, [[0], [1, 2], [3]], [minus(u, c), c, none])
    one_locks = d.meets(0, 1, two_locks + 1e-6, 0.84)
    e = d.next(one_locks, [[0, 1, 2], [3]], [u, none])
    # Clutch 1 passes two thirds of the drive on.
    away = brentq(lambda t: 2 / 3 * drive(t) - 1.1 * clutch(t), 0.81, 0.84, **root)
    f = e.next(away, [[0], [1, 2], [3]], [minus(u, c), c, none])
    g = f.next(0.9, [[0], [1, 2], [3]], [minus(u, c), minus(c, ten), ten])
    again = g.meets(0, 1, 0.9, 0.93)
    h = g.next(again, [[0, 1, 2], [3]], [minus(u, ten), ten])
    # Now it passes on the drive less a third of (drive - 10).
    away_again = brentq(
        lambda t: drive(t) - (drive(t) - 10) / 3 - 1.1 * clutch(t), 0.95, 1.05, **root
    )
    i = h.next(away_again, [[0], [1, 2], [3]], [minus(u, c), minus(c, ten), ten])
    three_locks = i.meets(1, 3, 1.05, 1.24)
    j = i.next(three_locks, [[0], [1, 2, 3]], [minus(u, c), c])
    k = j.next(1.25, [[0], [1, 2, 3]], [u, none])
    changes = [
        ("clutch_2 open to slip_positive", 0.4),
        ("clutch_2 slip_positive to stuck", two_locks),
        ("clutch_1 slip_positive to stuck", one_locks),
        ("clutch_1 stuck to slip_positive", away),
        ("clutch_3 open to slip_positive", 0.9),
        ("clutch_1 slip_positive to stuck", again),
        ("clutch_1 stuck to slip_positive", away_again),
        ("clutch_3 slip_positive to stuck", three_locks),
        ("clutch_1 slip_positive to open", 1.25),
    ]
    return [a, b, d, e, f, g, h, i, j, k], changes


def main():
    case = tomllib.loads((HERE / "case.toml").read_text())
    stretches, changes = history()
    rows = [(f"change {n}: {name}", "s", time) for n, (name, time) in enumerate(changes, 1)]
    for time in case["times"]:
        present = [stretch for stretch in stretches if stretch.begin <= time][-1]
        for body, speed in enumerate(present.speeds(time), 1):
            rows.append((f"at {time:g} s: J{body} speed", "rad/s", speed))
    write(HERE, rows)


if __name__ == "__main__":
    main()
