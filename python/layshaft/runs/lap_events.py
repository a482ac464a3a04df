"""What happens on a lap: shifts, what the clutch does, and how corners are passed."""

from typing import Literal, NamedTuple


class Moment(NamedTuple):
    """An instant of a lap; SI units, not a number where it did not come."""

    time: float  #: from the line [s]
    distance: float  #: from the line [m]
    car_speed: float  #: [m/s]
    engine_speed: float  #: [rad/s]


class LapEvent(NamedTuple):
    """A change of gear, or the engine clutch letting go and biting; SI units.

    An upshift lies where it is heard, at the engine's peak; a downshift where the shoes are back.
    """

    kind: Literal["upshift", "downshift", "clutch_opens", "clutch_bites"]
    time: float  #: from the line [s]
    distance: float  #: from the line [m]
    car_speed: float  #: [m/s]
    engine_speed: float  #: [rad/s]
    place: Literal["straight", "before_corner", "in_corner"]
    corner: int  #: that of the place, or the next one; counted from 0, -1 where there is none
    contact: Moment  #: up: the first shoe touches the drum; down: both have come back
    let_go: Moment  #: up: first gear lets go; down: it takes hold
    lock: Moment  #: up: shoes and drum lock; down: they slip
    low: Moment  #: up: the engine at its low, before it rises again

    @property
    def hand_over(self) -> float:
        """Time of an upshift from the first touch to the drum locked [s]."""
        return self.lock.time - self.contact.time if self.kind == "upshift" else float("nan")


class CornerPass(NamedTuple):
    """How a corner was passed; SI units, not a number where it did not happen."""

    begin: float  #: [m]
    end: float  #: [m]
    brake_distance: float  #: where the foot came off the throttle for it [m]
    entry_speed: float  #: [m/s]
    least_speed: float  #: [m/s]
    least_distance: float  #: [m]
    most_grip: float  #: largest share of the grip used sideways [-]
    exit_distance: float  #: where the foot was down again [m]
    exit_engine_speed: float  #: [rad/s]
    exit_power: float  #: full-throttle power there over the engine's most [-]
    bogs: bool  #: the engine limits: below the clutch's engagement, or weak below its peak of power
    tyres_limit: bool  #: as weak there, but the driver keeps it back for the slip of the tyres
