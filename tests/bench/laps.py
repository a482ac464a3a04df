"""What a lap costs beside a launch, and a map of gap and gears: `python tests/bench/laps.py`.

Processor time of one thread, the least of some repeats (others on the machine only add to it); wall
time of the map on all cores.
"""

import time
from collections.abc import Callable

import layshaft
import numpy as np
from layshaft import _core
from layshaft.runs.lap_options import read_lap_options
from layshaft.runs.run_options import read_options

REPEATS = 7


def least(work: Callable[[], object], clock: Callable[[], float]) -> tuple[float, object]:
    """Return the least time [s] and the last result."""
    times, result = [], None
    for _ in range(REPEATS):
        begin = clock()
        result = work()
        times.append(clock() - begin)
    return min(times), result


def main() -> None:
    """Print the table."""
    car = layshaft.demo_car()
    options = read_options(sample_interval=0.0).core()
    launch, run = least(lambda: _core.launch(car._core, options), time.process_time)
    rows = [("launch to 60 m", launch, run.scalars["steps"], "")]
    for name in ("club", "fast"):
        asked = read_lap_options(name, sample_spacing=0.0).core()
        flying, lap = least(lambda asked=asked: _core.lap(car._core, asked), time.process_time)
        laps = int(lap.laps)
        text = f"flying lap of {name}, {laps} laps until it repeats"
        rows.append((text, flying, laps * lap.scalars["steps"], ""))
        rows.append((f"one lap of {name}", flying / laps, lap.scalars["steps"], ""))
    gaps = np.linspace(4.2e-3, 5.4e-3, 29)
    begin = time.perf_counter()
    table = layshaft.gear_map(car, "club", gaps=gaps)
    wall = time.perf_counter() - begin
    rows.append((f"map of {table.lap_time.size} settings", wall, float("nan"), "wall, all cores"))
    print("| what | time [ms] | steps | |\n|---|---|---|---|")
    for text, seconds, steps, note in rows:
        print(f"| {text} | {seconds * 1e3:.2f} | {steps:.0f} | {note} |")


if __name__ == "__main__":
    main()
