"""O4: slip phase (2/w)[pi - atan((Fs - Fk) w/(k v))], stick phase 2 (Fs - Fk)/(k v).

Source: closed form, e.g. Popov, Contact Mechanics and Friction.
"""

import math
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402


def main():
    case = tomllib.loads((HERE / "case.toml").read_text())
    block, belt = case["bodies"]["block"], case["couplings"]["belt"]
    mass, stiffness, belt_speed = block["inertia"], block["stiffness"], -block["base_speed"]
    sliding = belt["pressure"]["constant"]
    at_rest = sliding * belt["hold_ratio"]
    frequency = math.sqrt(stiffness / mass)
    drop = at_rest - sliding
    slips = 2 / frequency * (math.pi - math.atan(drop * frequency / (stiffness * belt_speed)))
    sticks = 2 * drop / (stiffness * belt_speed)

    def slipping(time):
        """Stretch and speed `time` after breakaway: a vibration about the sliding balance."""
        phase = frequency * time
        stretch = sliding / stiffness + drop / stiffness * math.cos(phase)
        stretch += belt_speed / frequency * math.sin(phase)
        speed = belt_speed * math.cos(phase) - drop / stiffness * frequency * math.sin(phase)
        return stretch, speed - belt_speed

    first = (at_rest / stiffness - block["angle"]) / belt_speed
    rows, change, time = [], 1, first
    while time < case["times"][-1]:
        rows.append((f"change {change}: belt stuck to slip_negative", "s", time))
        if time + slips < case["times"][-1]:
            rows.append((f"change {change + 1}: belt slip_negative to stuck", "s", time + slips))
        change, time = change + 2, time + slips + sticks
    for time in case["times"]:
        into = (time - first) % (slips + sticks)
        if time <= first:
            stretch, speed = block["angle"] + belt_speed * time, 0.0
        elif into < slips:
            stretch, speed = slipping(into)
        else:
            stretch, speed = slipping(slips)[0] + belt_speed * (into - slips), 0.0
        rows.append((f"at {time:g} s: block angle", "m", stretch))
        rows.append((f"at {time:g} s: block speed", "m/s", speed))
    write(HERE, rows)


if __name__ == "__main__":
    main()
