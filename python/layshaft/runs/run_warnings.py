"""What a run warns of."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from layshaft import _core
from layshaft.quantities import units

if TYPE_CHECKING:
    from layshaft.setup.car import Car

#: Section, code, sentence.
Warned = tuple[str, str, str]

#: Scalars of a run that it is warned by, in the order in which `run_warnings` takes them.
PEAKS = ("peak_pitch", "peak_engine_speed")


def run_warnings(car: "Car", peak_pitch: float, peak_engine_speed: float) -> tuple[Warned, ...]:
    """Return what a run of a car warns of.

    Parameters
    ----------
    car
        The car.
    peak_pitch
        Largest pitch of the body [rad].
    peak_engine_speed
        Largest engine speed [rad/s].

    Examples
    --------
    >>> import layshaft
    >>> car = layshaft.Car({"engine.speed_limit": "40 krpm"})
    >>> (section, code, sentence), = run_warnings(car, 0.0, 4400.0)
    >>> code, sentence
    ('over_limit', 'The engine reaches 42017 rpm in this run, its limit is 40000 rpm.')
    """
    warned = [(section, code, text) for section, code, text in _core.pitch_warnings(peak_pitch)]
    limit = car["engine.speed_limit"]
    if peak_engine_speed > limit:
        peak, most = (
            f"{units.from_si(s, 'rad/s', 'rpm'):.0f} rpm" for s in (peak_engine_speed, limit)
        )
        sentence = f"The engine reaches {peak} in this run, its limit is {most}."
        warned.append(("engine", "over_limit", sentence))
    return tuple(warned)


def energy_warnings(energy: Mapping[str, float]) -> tuple[Warned, ...]:
    """Warn of a run whose energies do not close: an engine that only settles in one long step.

    Parameters
    ----------
    energy
        Engine work, losses, gains and what is left over [J].

    Returns
    -------
    tuple
        One triple (section, code, sentence), or none.

    Examples
    --------
    >>> energy_warnings({"engine_work": 2.0, "rotating_energy": 2.0, "energy_residual": -1e-4})
    ()
    >>> energy_warnings({"engine_work": 2.0, "rotating_energy": 2.1, "energy_residual": -0.1})[0][1]
    'energy_lost'
    """
    residual = energy["energy_residual"]
    # Each joule is counted where it comes from and where it goes.
    turnover = 0.5 * sum(abs(share) for name, share in energy.items() if name != "energy_residual")
    if not abs(residual) > _LEAST_LEFT_OVER * turnover:
        return ()
    sentence = (
        f"The energies do not close: of {turnover:.4g} J {abs(residual):.2g} J are not accounted"
        " for; a smaller tolerance accounts for more."
    )
    return (("run", "energy_lost", sentence),)


#: Of the energy turned over; runs near the demo car leave 2.5e-6 of it at most.
_LEAST_LEFT_OVER = 1e-3
