"""Play made-up mechanics from the workbench to the race: what they learn, and whether advice helps.

    python tests/campaigns/mechanics.py --seeds 40

Each believes a car; the true one differs from it by as much as the tool takes its guesses to be
out. The mechanic drives at three gaps, hears the shift to 1 km/h and reads the engine's drop off a
recorder to 300 rpm, learns spring, zero reading and friction of the shoes from that, and sets the
gap that is advised for the quickest 60 m. Counted are the truths inside their 95 % intervals, and
the advice that makes the true car quicker or says that there is nothing to gain. The exit code is 1
if of one mechanic the first are not 90 to 99 %, or the others fewer than 95 %.
"""

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace

import layshaft
import numpy as np
from layshaft.advice.choices import Choices
from layshaft.advice.confidence import judge_confidence

GAP = "two_speed.gap"
UNKNOWNS = ("two_speed.spring_rate", "two_speed.zero_preload_reading", "two_speed.friction")
#: Of what is heard, and what is read off a recorder: one standard deviation [m/s], [rad/s].
ERRORS = {"shift_speed": 1.0 / 3.6, "engine_speed_drop": 300.0 * np.pi / 30.0}
#: How far the gaps of the trial drives lie from the car's own [m].
APART = 3e-4
QUICKEST = layshaft.goals.quickest(distance="60 m")


@dataclass(frozen=True, slots=True)
class Mechanic:
    """Who they are: the car that they believe they have. All invented."""

    name: str
    car: layshaft.Car


MECHANICS = (
    Mechanic(
        "a light car with a peaky engine",
        layshaft.demo_car("piped").replace({"body.mass": "2.35 kg", GAP: "4.8 mm"}),
    ),
    Mechanic(
        "a heavy car with a broad engine",
        layshaft.demo_car("broad").replace({"body.mass": "2.8 kg", GAP: "5.0 mm"}),
    ),
    Mechanic(
        "another two-speed: heavier shoes on a soft spring, a reading that rises",
        layshaft.demo_car("piped").replace(
            {
                "two_speed.hold_in": "spring",
                "two_speed.shoe_mass": "7.5 g",
                "two_speed.slug_mass": "0.6 g",
                "two_speed.pivot_radius": "13 mm",
                "two_speed.spring_rate": "90 N/mm",
                "two_speed.reading_direction": "rises_as_screw_goes_in",
                "two_speed.zero_preload_reading": "3 mm",
                GAP: "4.6 mm",
            }
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class Day:
    """How a day went."""

    inside: int  #: truths inside their intervals, of `UNKNOWNS`
    is_worth_it: bool  #: the advice was to change the gap
    gain: float  #: of the true car by what was advised [s]

    @property
    def helped(self) -> bool:
        """Whether the advice was no worse than leaving it."""
        return self.gain > 0.0 if self.is_worth_it else True


def true_car(believed: layshaft.Car, generator: np.random.Generator) -> layshaft.Car:
    """Draw a car: each unknown as far from its guess as its doubt says."""
    changes: dict[str, float] = {}
    for path in UNKNOWNS:
        each = layshaft.unknown(believed, path)
        drawn = each.guess + each.doubt * generator.standard_normal()
        changes |= each.changes(float(np.clip(drawn, each.low, each.high)))
    return believed.replace(changes)


def seen_of(
    car: layshaft.Car, gaps: tuple[float, ...], generator: np.random.Generator
) -> Iterator[layshaft.Observation]:
    """Go through what is heard and read of the true car, with its errors."""
    for gap in gaps:
        run = layshaft.launch(car.replace({GAP: gap}), distance="60 m")
        for measure, error in ERRORS.items():
            value = float(run.scalars[measure]) + error * generator.standard_normal()
            if value > 0.0:  # it shifted, and the engine fell
                yield layshaft.observe(measure, value, changes={GAP: gap}, error=error)


def over(own: float) -> dict[str, layshaft.Between]:
    """Return what may be chosen: gaps to either side of the car's own [m]."""
    return {GAP: layshaft.Between(own - 1e-3, own + 1e-3)}


def advice_on(learned: layshaft.Learned, own: float) -> layshaft.Recommendation:
    """Return what `recommend` says of what was learned, as far as a day looks at it.

    How sure the gain is takes two runs of each car that it may be; in what interval the best gap
    lies takes nine more, and is not asked for.
    """
    advice = layshaft.recommend(learned.car, over(own), goal=QUICKEST)
    nothing = Choices(ranges={}, lists={}, sets=[])
    sure = judge_confidence(learned, advice.goal, advice.settings, nothing, {})
    return replace(advice, confidence=sure)


def day(mechanic: Mechanic, seed: int) -> Day:
    """Play one day."""
    generator = np.random.default_rng([seed, *mechanic.name.encode()])
    truth = true_car(mechanic.car, generator)
    own = mechanic.car.two_speed.shoe_1.gap
    seen = list(seen_of(truth, (own - APART, own, own + APART), generator))
    learned = layshaft.learn(mechanic.car, seen, UNKNOWNS)
    inside = sum(each.low <= truth[each.path] <= each.high for each in learned.intervals)
    advice = advice_on(learned, own)
    times = [
        float(layshaft.launch(truth.replace(changes), distance="60 m").times[-1])
        for changes in ({}, advice.settings)
    ]
    return Day(inside, advice.is_worth_it, times[0] - times[1])


def summary(mechanic: Mechanic, days: list[Day]) -> str:
    """Tell how the days of one mechanic went."""
    changed = [each.gain for each in days if each.is_worth_it]
    told = f"{mechanic.name}: {len(days)} days, {100 * share_inside(days):.1f} % of the truths in "
    told += f"their intervals; {len(changed)} times a change was advised"
    if changed:
        told += f", which gained {1e3 * np.mean(changed):.0f} ms, {1e3 * min(changed):.0f} at worst"
    return told


def share_inside(days: list[Day]) -> float:
    """Return the share of truths inside their intervals."""
    return sum(each.inside for each in days) / (len(UNKNOWNS) * len(days))


def share_helped(days: list[Day]) -> float:
    """Return the share of days on which the advice was no worse than leaving it."""
    return sum(each.helped for each in days) / len(days)


def main() -> int:
    """Play the days that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=40)
    seeds = parser.parse_args().seeds
    is_right = True
    for mechanic in MECHANICS:
        days = [day(mechanic, seed) for seed in range(seeds)]
        print(summary(mechanic, days), flush=True)
        is_right &= 0.9 <= share_inside(days) <= 0.99 and share_helped(days) >= 0.95
    return 0 if is_right else 1


if __name__ == "__main__":
    sys.exit(main())
