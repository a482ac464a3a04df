"""O3: half cycles of half a second about +/- friction/stiffness.

Source: Rao, Mechanical Vibrations, Ex 2.14 (from memory): friction coefficient 0.00503, 39.5 half
cycles to rest; the first whole one at or past it is the fortieth.
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
    block = case["bodies"]["block"]
    frequency = math.sqrt(block["stiffness"] / block["inertia"])
    offset = case["couplings"]["ground"]["pressure"]["constant"] / block["stiffness"]
    half = math.pi / frequency
    turns = math.ceil((block["angle"] - offset) / (2 * offset))

    def at(time):
        """Place and speed: n half cycles behind, each 2 offset shorter than the one before."""
        behind = min(int(time / half), turns)
        side = -1 if behind % 2 else 1
        start = side * (block["angle"] - 2 * offset * behind)
        if behind == turns:
            return start, 0.0
        phase = frequency * (time - behind * half)
        reach = start - side * offset
        return side * offset + reach * math.cos(phase), -reach * frequency * math.sin(phase)

    rows = []
    for n in range(1, turns + 1):
        was, now = ("slip_negative", "slip_positive")[:: 1 if n % 2 else -1]
        name = f"change {n}: ground {was} to {'stuck' if n == turns else now}"
        rows.append((name, "s", n * half))
    for time in case["times"]:
        place, speed = at(time)
        rows.append((f"at {time:g} s: block angle", "m", place))
        rows.append((f"at {time:g} s: block speed", "m/s", speed))
    write(HERE, rows)


if __name__ == "__main__":
    main()
