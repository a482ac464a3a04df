"""O5: two inertias, 0.02 and 0.03 kg m2, from 100 rad/s and rest, 2 N m: momentum and energy."""

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402

fast, slow, speed, torque = 0.02, 0.03, 100.0, 2.0
lock = fast * slow * speed / (torque * (fast + slow))
common = fast * speed / (fast + slow)
heat = fast * slow * speed**2 / (2 * (fast + slow))
slip = speed - torque * (1 / fast + 1 / slow) * 0.3

if __name__ == "__main__":
    write(HERE, [
        ("change 1: clutch slip_positive to stuck", "s", lock),
        ("at 0.3 s: in speed", "rad/s", speed - torque / fast * 0.3),
        ("at 0.3 s: out speed", "rad/s", torque / slow * 0.3),
        ("at 0.3 s: clutch loss", "J", torque * 0.3 * (speed + slip) / 2),
        ("at 1 s: in speed", "rad/s", common),
        ("at 1 s: out speed", "rad/s", common),
        ("at 1 s: clutch loss", "J", heat),
    ])  # fmt: skip
