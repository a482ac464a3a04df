"""What a stint gives, and the law of wear that it is driven with."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from layshaft.quantities.refused import shown
from layshaft.runs.lap_options import LapOptions
from layshaft.setup.car import Car

if TYPE_CHECKING:
    import xarray


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreWear:
    """Law of wear, an assumption: radius lost in proportion to the sliding work of the axle.

    The work is that of the slip along the road and of the drag in corners, shared by load. The
    default loses some 0.7 mm of radius in ten minutes of hard driving (common practice, no source).
    """

    rear: float = 8e-8  #: radius lost for each joule [m/J], 0 to 1e-6
    front: float = 8e-8

    def __post_init__(self) -> None:
        for name in ("rear", "front"):
            value = getattr(self, name)
            if not isinstance(value, float | int) or not 0.0 <= value <= 1e-6:
                raise ValueError(f"TyreWear.{name} = {shown(value)} must be from 0 to 1e-6 m/J")


class Stop(NamedTuple):
    """A stop for fuel, and what to do with the screws there; SI units."""

    lap: int  #: laps driven when the car comes in
    time: float  #: since the start [s]
    gap: float  #: that is quickest with the tyres as they are now, of shoe 1 [m]
    turns: float  #: of both screws to get there; positive is in
    gain: float  #: by it, for each lap [s]
    worth: bool  #: whether all laps left gain more than turning the screws costs
    gap_of_start: float  #: with the shift speed of a start with half a tank [m]; nan: out of reach
    turns_of_start: float  #: of both screws to get there; positive is in


@dataclass(frozen=True, slots=True, eq=False)
class Stint:
    """A race driven on paper; SI units."""

    car: Car
    options: LapOptions
    duration: float  #: asked for [s]
    laps: "xarray.Dataset"  #: over `lap`
    stops: tuple[Stop, ...]
    reserve: float  #: share of the tank left when the car comes in [-]
    laps_per_tank: int  #: of the first tank
    time_per_tank: float  #: [s]
    fuel_per_lap: float  #: mean volume [m^3]
    laps_to_settle: dict[str, int]  #: until clutch and drum are warm to 95 %

    @property
    def time(self) -> float:
        """Time of all laps and stops [s]."""
        return float(self.laps.elapsed[-1])

    def __repr__(self) -> str:
        count, stops = self.laps.sizes["lap"], len(self.stops)
        return f"<Stint {count} laps in {self.time:.1f} s, {stops} stops>"
