"""How soon a slider of the notebooks is answered: `python tests/bench/sliders.py`.

Processor time of a move, the median of all positions: what is run, and the picture, drawn
anew and on axes that stay. Runs take what they take, but for what is run ahead; a position seen
before costs nothing.
"""

import statistics
import sys
import time
from collections.abc import Callable
from functools import partial

import layshaft
import numpy as np
from layshaft import plots
from layshaft.plots.notebook import picture

CAR = layshaft.demo_car()
POSITIONS = 15


def launch_at(gap: float) -> object:
    """Draw the speeds through the shift."""
    return plots.shift_speeds(
        layshaft.launch(CAR.replace({"two_speed.gap": gap * 1e-3}), distance=40.0)
    )


def torques_at(gap: float) -> object:
    """Draw the torques with one shoe apart."""
    apart = CAR.replace({"two_speed.shoe_2.gap": gap * 1e-3})
    return plots.torques(layshaft.launch(apart, distance=30.0))


def lap_at(gap: float) -> layshaft.LapRun:
    """Drive a lap, which takes longer than its picture, as coarsely as it shows no difference."""
    changed = CAR.replace({"two_speed.gap": gap * 1e-3})
    return layshaft.lap(changed, "club", tolerance=1e-4)


def stint_at(nanometres_per_joule: float) -> layshaft.Stint:
    """Drive six minutes, over which the shift drifts."""
    rate = nanometres_per_joule * 1e-9
    wear = layshaft.TyreWear(rear=rate, front=rate)
    return layshaft.stint(CAR, "club", duration="6 min", wear=wear, tolerance=1e-4)


def gears(chart: object) -> Callable[[float], object]:
    """Return what draws a chart with its drop at a speed."""
    return lambda speed: plots.gear_speeds(chart, car=CAR, shift_speed=speed)


def main() -> None:
    """Print the table; only sliders whose name begins as the command line says."""
    only = sys.argv[1] if len(sys.argv) > 1 else ""
    box = layshaft.Parts(
        first_pinions=(16, 17), first_spurs=(50, 51), second_pinions=(21, 22), second_spurs=(45, 46)
    )
    chart = layshaft.mesh(CAR, box)
    sliders = (
        ("launch: speeds through the shift", launch_at, None, 4.0, 5.6),
        ("launch: torques", torques_at, None, 4.5, 5.1),
        ("gears: drop at a speed", gears(chart), None, 10.0, 20.0),
        ("lap: engine speed along it", plots.engine_trace, lap_at, 4.0, 5.2),
        ("stint: drift of the shift", plots.shift_drift, stint_at, 0.0, 240.0),
    )
    print(f"{'slider':34}{'anew ms':>10}{'kept axes ms':>14}{'worst ms':>10}")
    for name, draw, run, low, high in (each for each in sliders if each[0].startswith(only)):
        places = [round(float(place), 3) for place in np.linspace(low, high, POSITIONS)]
        anew = [_timed(partial(_drawn, draw, run, place)) for place in places]
        step = (high - low) / (POSITIONS - 1)
        slider = _live(draw, run, (low, high, step))
        for end in (low, high):  # the axes grow to what the ends ask for
            slider.value = end
        kept = [_timed(lambda s=slider, place=place: _move(s, place)) for place in places[1:-1]]
        figures = (statistics.median(anew), statistics.median(kept), max(kept))
        print(f"{name:34}{figures[0]:10.0f}{figures[1]:14.0f}{figures[2]:10.0f}")


def _drawn(draw: Callable[..., object], run: Callable | None, place: float) -> None:
    picture(draw(place if run is None else run(place)))


def _live(
    draw: Callable[..., object], run: Callable | None, control: tuple[float, float, float]
) -> object:
    """Return the slider of a live picture, once all is run that is run ahead."""
    if run is None:
        return plots.live(lambda x: draw(x), x=control).children[0]
    done: list[float] = []

    def counted(x: float) -> object:
        found = run(x)
        done.append(x)
        return found

    box = plots.live(draw, counted, x=control)
    while len(done) < POSITIONS:
        time.sleep(0.05)
    return box.children[0]


def _move(slider: object, place: float) -> None:
    slider.value = place + 1e-6  # not where it stood at the beginning, whose picture is kept


def _timed(work: Callable[[], object]) -> float:
    begin = time.process_time()
    work()
    return 1e3 * (time.process_time() - begin)


if __name__ == "__main__":
    main()
