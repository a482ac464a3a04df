"""V7: v = sqrt(a/b) tan(sqrt(a b) (t_end - t)), t_end = atan(sqrt(b/a) v0)/sqrt(a b)."""

import math
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from closed_form import write  # noqa: E402


def main():
    case = tomllib.loads((HERE / "case.toml").read_text())
    car, rolling = case["bodies"]["car"], case["couplings"]["rolling"]["pressure"]["constant"]
    a, b, v0 = rolling / car["inertia"], car["drag"] / car["inertia"], car["speed"]
    rest = math.atan(math.sqrt(b / a) * v0) / math.sqrt(a * b)
    rows = [("change 1: rolling slip_positive to stuck", "s", rest)]
    for time in case["times"]:
        left = max(rest - time, 0.0)
        speed = math.sqrt(a / b) * math.tan(math.sqrt(a * b) * left)
        way = math.log((1 + b / a * v0**2) / (1 + b / a * speed**2)) / (2 * b)
        rows.append((f"at {time:g} s: car speed", "m/s", speed))
        rows.append((f"at {time:g} s: car angle", "m", way))
        rows.append((f"at {time:g} s: rolling loss", "J", rolling * way))
    write(HERE, rows)


if __name__ == "__main__":
    main()
