"""A clutch of capacity K (w^2 - w_e^2) slipping under a constant torque T.

w = w_q tanh(K w_q t/I + artanh(w_e/w_q)), w_q^2 = w_e^2 + T/K, which solves I w' = T - K (w^2 -
w_e^2); the bell follows from momentum, the heat from energy.
"""

import math
import sys
import tomllib
from pathlib import Path

from scipy.optimize import brentq

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402


def log_cosh(x):
    """Logarithm of cosh(x), x >= 0, also where cosh(x) is too large for a float."""
    return x + math.log1p(math.exp(-2 * x)) - math.log(2)


def main():
    case = tomllib.loads((HERE / "case.toml").read_text())
    crank, bell = case["bodies"]["crank"], case["bodies"]["bell"]
    clutch, torque = case["couplings"]["clutch"], crank["torque"]["constant"]
    inertia, load, gain = crank["inertia"], bell["inertia"], clutch["speed_gain"]
    engaged = math.sqrt(-clutch["pressure"]["constant"] / gain)
    stall = math.sqrt(engaged**2 + torque / gain)
    touch = (engaged - crank["speed"]) * inertia / torque

    def phase(time):
        return gain * stall * (time - touch) / inertia + math.atanh(engaged / stall)

    def slipping(time):
        speed = stall * math.tanh(phase(time))
        other = (torque * (time - touch) - inertia * (speed - engaged)) / load
        # Work of the engine since the touch: T times the integral of the crank's speed.
        turned = inertia / gain * (log_cosh(phase(time)) - log_cosh(phase(touch)))
        gained = inertia / 2 * (speed**2 - engaged**2) + load / 2 * other**2
        return speed, other, torque * turned - gained

    locks = brentq(lambda t: slipping(t)[0] - slipping(t)[1], touch, 100.0, xtol=1e-15, rtol=1e-15)

    def at(time):
        if time <= touch:
            return crank["speed"] + torque / inertia * time, 0.0, 0.0
        speed, other, heat = slipping(min(time, locks))
        together = torque / (inertia + load) * max(time - locks, 0.0)
        return speed + together, other + together, heat

    rows = [
        ("change 1: clutch open to slip_positive", "s", touch),
        ("change 2: clutch slip_positive to stuck", "s", locks),
    ]
    if locks > case["times"][-1]:
        raise ArithmeticError(f"the case ends before the clutch locks at {locks} s")
    for time in case["times"]:
        speed, other, heat = at(time)
        rows.append((f"at {time:g} s: crank speed", "rad/s", speed))
        rows.append((f"at {time:g} s: bell speed", "rad/s", other))
        rows.append((f"at {time:g} s: clutch loss", "J", heat))
    write(HERE, rows)


if __name__ == "__main__":
    main()
