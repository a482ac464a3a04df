"""V1: a = eta G F / (m + eta G^2 m_e), the engine paying for the loss of its gear."""

import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402


def pull(engine, car, gear, driver):
    """Accelerations of engine and car, and the loss of the gear in the first second [J]."""
    ratio, efficiency = 1 / gear["slip"][driver], gear["efficiency"]
    mass = car["inertia"] + efficiency * ratio**2 * engine["inertia"]
    rate = efficiency * ratio * engine["torque"]["constant"] / mass
    passed = car["inertia"] * rate
    return ratio * rate, rate, passed * (1 / efficiency - 1) * rate / 2


def rows_of(case):
    rows = []
    bodies = case["bodies"]
    for number in range(1, len(bodies) // 2 + 1):
        driver, driven = f"engine_{number}", f"car_{number}"
        gear = case["couplings"][f"gear_{number}"]
        engine, car, loss = pull(bodies[driver], bodies[driven], gear, driver)
        rows.append((f"at 1 s: {driver} speed", "m/s", engine))
        rows.append((f"at 1 s: {driven} speed", "m/s", car))
        rows.append((f"at 1 s: gear_{number} loss", "J", loss))
    return rows


if __name__ == "__main__":
    write(HERE, rows_of(tomllib.loads((HERE / "case.toml").read_text())))
