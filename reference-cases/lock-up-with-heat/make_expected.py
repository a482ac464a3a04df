"""E1 and E3: lock-ups under constant torques; speeds are straight lines, the heat a parabola."""

import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402


def pair(case, number):
    """Lock-up time [s] and functions of time for one pair."""
    fast, slow = case["bodies"][f"fast_{number}"], case["bodies"][f"slow_{number}"]
    clutch = case["couplings"][f"clutch_{number}"]["pressure"]["constant"]
    outside = fast.get("torque", {"constant": 0.0})["constant"]
    rates = (outside - clutch) / fast["inertia"], clutch / slow["inertia"]
    lock = fast["speed"] / (rates[1] - rates[0])
    common = outside / (fast["inertia"] + slow["inertia"])

    def speeds(time):
        slipping = min(time, lock)
        together = common * (time - slipping)
        return (fast["speed"] + rates[0] * slipping + together, rates[1] * slipping + together)

    def heat(time):
        slipping = min(time, lock)
        closing = rates[1] - rates[0]
        return clutch * (fast["speed"] * slipping - closing * slipping**2 / 2)

    return lock, speeds, heat


def main():
    case = tomllib.loads((HERE / "case.toml").read_text())
    pairs = {number: pair(case, number) for number in range(1, 5)}
    rows = []
    locks = sorted((lock, number) for number, (lock, _, _) in pairs.items())
    for position, (lock, number) in enumerate(locks, 1):
        name = f"change {position}: clutch_{number} slip_positive to stuck"
        rows.append((name, "s", lock))
    for time in case["times"]:
        for number, (_, speeds, heat) in pairs.items():
            for body, speed in zip(("fast", "slow"), speeds(time), strict=True):
                rows.append((f"at {time:g} s: {body}_{number} speed", "rad/s", speed))
            rows.append((f"at {time:g} s: clutch_{number} loss", "J", heat(time)))
    write(HERE, rows)


if __name__ == "__main__":
    main()
