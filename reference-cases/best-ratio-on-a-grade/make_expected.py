"""V5: acceleration in four ratios, one of them the best in closed form; engine in rad, car in m."""

import math
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402

WHEEL = 0.3  # [m]


def best_ratio(engine, car, efficiency):
    """Engine over wheel speed with the greatest acceleration: the root of its derivative."""
    pull = efficiency * engine["torque"]["constant"] / WHEEL
    turning = efficiency * engine["inertia"] / WHEEL**2
    held = -car["torque"]["constant"]
    return (held + math.sqrt(held**2 + pull**2 * car["inertia"] / turning)) / pull


def main():
    case = tomllib.loads((HERE / "case.toml").read_text())
    rows, accelerations = [], []
    for number in range(1, 5):
        engine, car = case["bodies"][f"engine_{number}"], case["bodies"][f"car_{number}"]
        gear = case["couplings"][f"gear_{number}"]
        efficiency = gear["efficiency"]
        ratio = WHEEL / gear["slip"][f"engine_{number}"]
        pull = efficiency * ratio * engine["torque"]["constant"] / WHEEL
        held = -car["torque"]["constant"]
        mass = car["inertia"] + efficiency * ratio**2 * engine["inertia"] / WHEEL**2
        rate = (pull - held) / mass
        accelerations.append(rate)
        passed = held + car["inertia"] * rate
        rows.append((f"at 1 s: engine_{number} speed", "rad/s", rate * ratio / WHEEL))
        rows.append((f"at 1 s: car_{number} speed", "m/s", rate))
        rows.append((f"at 1 s: gear_{number} loss", "J", passed * (1 / efficiency - 1) * rate / 2))
    best = best_ratio(case["bodies"]["engine_2"], case["bodies"]["car_2"], efficiency)
    chosen = WHEEL / case["couplings"]["gear_2"]["slip"]["engine_2"]
    if not (math.isclose(best, chosen, rel_tol=1e-12) and max(accelerations) == accelerations[1]):
        raise ArithmeticError(f"the second ratio is not the best one, {best}")
    write(HERE, rows)


if __name__ == "__main__":
    main()
