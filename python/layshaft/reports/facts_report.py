"""What the command line prints of a set-up: what follows from its numbers."""

import math

from layshaft.quantities import units
from layshaft.quantities.pit_units import KMH
from layshaft.reports.pit_table import PitTable
from layshaft.runs.car_facts import Facts
from layshaft.setup.handed_over import checked

_MINUTE = 60.0  # [s]
_CM3 = 1e6  # in 1 m^3


def facts_sentences(found: Facts) -> list[str]:
    """Say what engine, clutch and tank come to.

    Returns
    -------
    list of str
        Sentences, numbers in the units of the workshop.
    """
    checked("found", found, Facts, "layshaft.facts")
    return [
        f"Engine: {found.peak_power / 1e3:.2f} kW at {_rpm(found.peak_power_speed)}, "
        f"{found.peak_torque:.3g} N m at {_rpm(found.peak_torque_speed)}.",
        f"Clutch: bites at {_rpm(found.bite_speed)}, {_lock(found)}.",
        _tank(found),
    ]


def gear_rows(found: Facts) -> PitTable:
    """Return a line for each gear: teeth, ratio, rollout, speeds.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked("found", found, Facts, "layshaft.facts")
    rows = PitTable("gear")
    for heading, rank in (("teeth", 0), ("sum", 2), ("ratio", 3), ("mm/\nturn", 1)):
        rows.add_column(heading, rank=rank)
    for speed in found.engine_speeds:
        rows.add_column(f"km/h at\n{_rpm(speed)}")
    for gear in found.gears:
        rows.add_row(
            gear.name,
            f"{gear.pinion}/{gear.spur}",
            str(gear.tooth_sum),
            f"{gear.ratio:.3f}",
            f"{gear.rollout * 1e3:.1f}",
            *(f"{speed * KMH:.1f}" for speed in gear.speeds),
        )
    rows.caption = "mm/turn: way of the car per engine turn; speeds without slip"
    return rows


def _lock(found: Facts) -> str:
    if math.isnan(found.lock_speed):
        return "holds full throttle at no speed up to the engine's limit"
    return f"cold it holds full throttle from {_rpm(found.lock_speed)} on"


def _tank(found: Facts) -> str:
    volume = f"Tank: {found.car['fuel.tank_volume'] * _CM3:.0f} cm3"
    if math.isnan(found.tank_time):
        return f"{volume}; the lap of {found.track} that would empty it fails."
    return f"{volume} last {found.tank_time / _MINUTE:.1f} min of flying laps of {found.track}."


def _rpm(speed: float) -> str:
    return f"{units.from_si(speed, 'rad/s', 'rpm'):,.0f} rpm"
