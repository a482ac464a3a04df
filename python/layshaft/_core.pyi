# Written by tests/make_stubs.py.
"""
The compiled core of layshaft; private: import layshaft instead.
"""
from __future__ import annotations
import collections.abc
import numpy
import numpy.typing
import typing
__all__: list[str] = ['AxleAtRest', 'Car', 'CentreRange', 'CurveField', 'DescribedBody', 'DescribedCoupling', 'DescribedNetwork', 'DescribedRun', 'EngineRating', 'Field', 'GearPair', 'LapOptions', 'LapResult', 'LaunchOptions', 'LaunchResult', 'Learned', 'Observation', 'PairedField', 'SweepResult', 'TimeLaw', 'Track', 'Unknown', 'Variable', 'backlash', 'car_from_text', 'clutch_bite', 'clutch_stall', 'contact_ratio', 'cooling_rates', 'coupling_names', 'engine_rating', 'fields', 'followers', 'friction_left', 'front_axle', 'front_lead', 'fuel_density', 'full_torque', 'gear_ratios', 'keep_points', 'lap', 'lap_outputs', 'lap_scalars', 'lap_warnings', 'launch', 'learn', 'learnable_range', 'max_curve_points', 'mode_names', 'nearest_path', 'outputs', 'paired_fields', 'pitch_warnings', 'point_at', 'predict', 'rear_axle', 'refine', 'rolling_engine_speed', 'run_described', 'scalars', 'setup_text', 'shared_centres', 'slopes_at', 'standard_gravity', 'sure_time', 'sweep', 'switch_names', 'to_si', 'torque_curve_field', 'turns_in', 'variables', 'version']
class Field:
    """
    One parameter of the car: a row of the field table.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    def __repr__(self) -> str:
        ...
    @property
    def choices(self) -> tuple:
        """
        Names of a choice, else empty.
        """
    @property
    def fallback(self) -> float:
        """
        Value of the demo car (invented).
        """
    @property
    def kind(self) -> str:
        """
        `number`, `count` (a whole number) or `choice` (stored as its position).
        """
    @property
    def maximum(self) -> float:
        """
        Greatest plausible value, inclusive.
        """
    @property
    def meaning(self) -> str:
        ...
    @property
    def minimum(self) -> float:
        """
        Least plausible value, inclusive.
        """
    @property
    def path(self) -> str:
        """
        Name with its sections, `two_speed.screw_arm`.
        """
    @property
    def unit(self) -> str:
        """
        SI unit of the stored value; `1` for a ratio.
        """
class PairedField:
    """
    A path that sets a field of every shoe.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def path(self) -> str:
        ...
    @property
    def singles(self) -> tuple:
        """
        Paths of the fields, shoe by shoe.
        """
class CurveField:
    """
    A field that is a list of points.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def meaning(self) -> str:
        ...
    @property
    def path(self) -> str:
        ...
    @property
    def x_maximum(self) -> float:
        """
        The least x is 0.
        """
    @property
    def x_unit(self) -> str:
        ...
    @property
    def y_maximum(self) -> float:
        ...
    @property
    def y_minimum(self) -> float:
        ...
    @property
    def y_unit(self) -> str:
        ...
class Car:
    """
    The whole car as one immutable value; SI units.
    """
    __hash__: typing.ClassVar[None] = None
    @staticmethod
    def demo() -> Car:
        """
        Return the built-in car; its numbers are invented.
        """
    def __eq__(self, arg0: Car) -> bool:
        ...
    def __getstate__(self) -> tuple:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    def __setstate__(self, arg0: tuple) -> None:
        ...
    def get(self, path: str) -> float:
        """
        Return a field, or a pair whose two values agree.
        """
    def replace(self, changes: collections.abc.Sequence[tuple[str, typing.SupportsFloat | typing.SupportsIndex]]) -> Car:
        """
        Return a copy with each (path, value) set in turn; ranges are checked.
        """
    def validate(self) -> None:
        """
        Raise ValueError naming the field, its value and the broken bound.
        """
    def values(self) -> list[float]:
        """
        Return all fields in the order of the table.
        """
    def warnings(self) -> list[typing.Annotated[list[str], "FixedSize(3)"]]:
        """
        Triples (section, code, sentence) of what the parts of a valid car do together.
        """
    def with_torque_curve(self, speeds: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], torques: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex]) -> Car:
        """
        Return a copy with another torque curve, speeds [rad/s] ascending, torques [N*m].
        """
    @property
    def torque_speeds(self) -> list[float]:
        """
        Knots of the torque curve [rad/s].
        """
    @property
    def torque_values(self) -> list[float]:
        """
        Full-throttle torque there [N*m].
        """
class AxleAtRest:
    """
    One axle of a car at rest; SI units.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def grip(self) -> float:
        """
        Largest force [N].
        """
    @property
    def load(self) -> float:
        """
        [N]
        """
    @property
    def radius(self) -> float:
        """
        Of the tyres as worn [m].
        """
    @property
    def ratio(self) -> float:
        """
        Shaft over axle speed [-].
        """
    @property
    def stiffness(self) -> float:
        """
        Force per slip at small slip [N].
        """
class EngineRating:
    """
    Best of the full-throttle curve; SI units.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def peak_power(self) -> float:
        """
        [W]
        """
    @property
    def peak_power_speed(self) -> float:
        """
        [rad/s]
        """
    @property
    def peak_torque(self) -> float:
        """
        [N*m]
        """
    @property
    def peak_torque_speed(self) -> float:
        """
        [rad/s]
        """
class GearPair:
    """
    Two spur gears that mesh; SI units, checked at once.
    """
    __hash__: typing.ClassVar[None] = None
    def __eq__(self, arg0: GearPair) -> bool:
        ...
    def __init__(self, *, spur: typing.SupportsFloat | typing.SupportsIndex, pinion: typing.SupportsFloat | typing.SupportsIndex, module: typing.SupportsFloat | typing.SupportsIndex, pressure_angle: typing.SupportsFloat | typing.SupportsIndex, addendum: typing.SupportsFloat | typing.SupportsIndex, friction: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def mesh_efficiency(self) -> float:
        """
        Power out over in [-].
        """
    @property
    def nominal_centre(self) -> float:
        """
        Without backlash [m].
        """
    @property
    def pinion(self) -> float:
        ...
    @property
    def ratio(self) -> float:
        """
        Pinion over spur speed [-].
        """
    @property
    def spur(self) -> float:
        ...
    @property
    def undercut_limit(self) -> float:
        """
        Fewest teeth [-].
        """
class CentreRange:
    """
    Centre distances [m], lowest to highest.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def highest(self) -> float:
        ...
    @property
    def is_empty(self) -> bool:
        ...
    @property
    def lowest(self) -> float:
        ...
class TimeLaw:
    """
    A quantity over time.
    """
    def __init__(self, *, constant: typing.SupportsFloat | typing.SupportsIndex = 0.0, slope: typing.SupportsFloat | typing.SupportsIndex = 0.0, amplitude: typing.SupportsFloat | typing.SupportsIndex = 0.0, frequency: typing.SupportsFloat | typing.SupportsIndex = 0.0, phase: typing.SupportsFloat | typing.SupportsIndex = 0.0) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
class DescribedBody:
    """
    One body of a described network.
    """
    def __init__(self, *, inertia: typing.SupportsFloat | typing.SupportsIndex, speed: typing.SupportsFloat | typing.SupportsIndex, angle: typing.SupportsFloat | typing.SupportsIndex, torque: TimeLaw, drag: typing.SupportsFloat | typing.SupportsIndex, stiffness: typing.SupportsFloat | typing.SupportsIndex, base_speed: typing.SupportsFloat | typing.SupportsIndex) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
class DescribedCoupling:
    """
    One coupling of a described network.
    """
    def __init__(self, *, slip: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], driver: typing.SupportsInt | typing.SupportsIndex, efficiency: typing.SupportsFloat | typing.SupportsIndex, pressure: TimeLaw, speed_gain: typing.SupportsFloat | typing.SupportsIndex, speed_body: typing.SupportsInt | typing.SupportsIndex, hold_ratio: typing.SupportsFloat | typing.SupportsIndex, closed_from: typing.SupportsFloat | typing.SupportsIndex, rigid: bool, one_way: bool) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
class DescribedNetwork:
    """
    Bodies and couplings as data.
    """
    def __init__(self, *, bodies: collections.abc.Sequence[DescribedBody], couplings: collections.abc.Sequence[DescribedCoupling]) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
class DescribedRun:
    """
    What a described network did.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def angles(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def changes(self) -> list:
        """
        Tuples (time, coupling, from, to).
        """
    @property
    def losses(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def speeds(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def status(self) -> str:
        ...
class LaunchOptions:
    """
    What a run is asked for; checked at once.
    """
    def __init__(self, *, distance: typing.SupportsFloat | typing.SupportsIndex, longest_time: typing.SupportsFloat | typing.SupportsIndex, start_speed: typing.SupportsFloat | typing.SupportsIndex, grade: typing.SupportsFloat | typing.SupportsIndex, sample_interval: typing.SupportsFloat | typing.SupportsIndex, distance_marks: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], speed_marks: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], pedals: collections.abc.Sequence[typing.Annotated[collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], "FixedSize(3)"]], tolerance: typing.SupportsFloat | typing.SupportsIndex, most_steps: typing.SupportsInt | typing.SupportsIndex) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
class LaunchResult:
    """
    All that one run gave.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    def sample_outputs(self, air_temperature: typing.SupportsFloat | typing.SupportsIndex) -> numpy.typing.NDArray[numpy.float64]:
        """
        A row for each of `outputs`, in it a number a sample.
        """
    @property
    def changes(self) -> list:
        """
        Tuples (time, kind, part, from, to, cause) in order of time.
        """
    @property
    def distance_speeds(self) -> list[float]:
        ...
    @property
    def distance_times(self) -> list[float]:
        ...
    @property
    def end(self) -> str:
        ...
    @property
    def message(self) -> str:
        ...
    @property
    def scalars(self) -> dict:
        ...
    @property
    def speed_times(self) -> list[float]:
        ...
    @property
    def status(self) -> str:
        ...
class SweepResult:
    """
    Scalars of many runs, one row a run.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def distance_speeds(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def distance_times(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def messages(self) -> list[str]:
        ...
    @property
    def runs(self) -> int:
        ...
    @property
    def scalars(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def speed_times(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def status(self) -> list[str]:
        ...
class Track:
    """
    Curvature, grip and grade over the distance.
    """
    def __init__(self, pieces: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    def corners(self) -> list[tuple[float, float]]:
        ...
    def curvature_at(self, distance: typing.Annotated[numpy.typing.ArrayLike, numpy.float64]) -> typing.Any:
        ...
    @property
    def length(self) -> float:
        ...
class LapOptions:
    """
    What a lap is asked for; checked at once.
    """
    def __init__(self, *, track: Track, standing: bool, settled: bool, sample_spacing: typing.SupportsFloat | typing.SupportsIndex, sectors: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], corner_share: typing.SupportsFloat | typing.SupportsIndex, brake_share: typing.SupportsFloat | typing.SupportsIndex, release_time: typing.SupportsFloat | typing.SupportsIndex, correction_time: typing.SupportsFloat | typing.SupportsIndex, before_corner: typing.SupportsFloat | typing.SupportsIndex, least_power: typing.SupportsFloat | typing.SupportsIndex, longest_time: typing.SupportsFloat | typing.SupportsIndex, most_laps: typing.SupportsInt | typing.SupportsIndex, tolerance: typing.SupportsFloat | typing.SupportsIndex, most_steps: typing.SupportsInt | typing.SupportsIndex) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
class LapResult:
    """
    All that one lap gave.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    def sample_outputs(self, air_temperature: typing.SupportsFloat | typing.SupportsIndex) -> numpy.typing.NDArray[numpy.float64]:
        """
        A row for each of `lap_outputs`, in it a number a sample.
        """
    @property
    def changes(self) -> list:
        ...
    @property
    def complete(self) -> bool:
        ...
    @property
    def corners(self) -> list:
        ...
    @property
    def crank_times(self) -> typing.Annotated[list[float], "FixedSize(60)"]:
        ...
    @property
    def events(self) -> list:
        """
        The fields of each LapEvent by their names.
        """
    @property
    def holds(self) -> bool:
        ...
    @property
    def laps(self) -> int:
        ...
    @property
    def margin_rounds(self) -> int:
        ...
    @property
    def message(self) -> str:
        ...
    @property
    def period_error(self) -> float:
        ...
    @property
    def repeats(self) -> bool:
        ...
    @property
    def rolls_back(self) -> bool:
        ...
    @property
    def scalars(self) -> dict:
        ...
    @property
    def sector_speeds(self) -> list[float]:
        ...
    @property
    def sector_times(self) -> list[float]:
        ...
    @property
    def stands(self) -> bool:
        ...
class Unknown:
    """
    A number to learn; checked at once.
    """
    def __init__(self, *, path: str, guess: typing.SupportsFloat | typing.SupportsIndex, doubt: typing.SupportsFloat | typing.SupportsIndex, low: typing.SupportsFloat | typing.SupportsIndex, high: typing.SupportsFloat | typing.SupportsIndex, followers: dict) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
class Observation:
    """
    A number seen in a launch; checked at once.
    """
    def __init__(self, *, measure: str, value: typing.SupportsFloat | typing.SupportsIndex, error: typing.SupportsFloat | typing.SupportsIndex, changes: dict, options: LaunchOptions) -> None:
        ...
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
class Learned:
    """
    What a fit found, in SI units.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def cars(self) -> int:
        ...
    @property
    def covariance(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def end(self) -> str:
        ...
    @property
    def high(self) -> list[float]:
        ...
    @property
    def information(self) -> numpy.typing.NDArray[numpy.float64]:
        ...
    @property
    def looks(self) -> int:
        ...
    @property
    def low(self) -> list[float]:
        ...
    @property
    def point(self) -> dict:
        ...
    @property
    def shown(self) -> list[float]:
        ...
    @property
    def shown_before(self) -> list[float]:
        ...
    @property
    def values(self) -> list[float]:
        ...
class Variable:
    """
    What another program may set or read, by name.
    """
    def __reduce_ex__(self, arg0: typing.SupportsInt | typing.SupportsIndex) -> typing.Any:
        ...
    @property
    def choices(self) -> tuple:
        """
        Names of a choice, else empty.
        """
    @property
    def fallback(self) -> float:
        """
        Of the demo car; 0 for outputs.
        """
    @property
    def kind(self) -> str:
        """
        `number`, `count`, `choice` (given by its position) or `yes_no`.
        """
    @property
    def maximum(self) -> float:
        ...
    @property
    def meaning(self) -> str:
        ...
    @property
    def minimum(self) -> float:
        ...
    @property
    def name(self) -> str:
        ...
    @property
    def role(self) -> str:
        """
        `parameter`, `input` or `output`.
        """
    @property
    def unit(self) -> str:
        """
        SI unit; `1` for a ratio.
        """
def backlash(pair: GearPair, centre: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Play along the working pitch circle at a centre distance [m].
    """
def car_from_text(text: str) -> Car:
    """
    Return the demo car with the settings of such a text.
    """
def clutch_bite(car: Car) -> float:
    """
    Engine speed [rad/s] from which the clutch presses.
    """
def clutch_stall(car: Car, torque: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Engine speed [rad/s] at which the cold, slipping clutch carries a torque [N*m].
    """
def contact_ratio(pair: GearPair, centre: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Mean number of teeth in contact at a centre distance.
    """
def cooling_rates(car: Car, section: str, surface: typing.SupportsFloat | typing.SupportsIndex, body: typing.SupportsFloat | typing.SupportsIndex) -> tuple[float, float]:
    """
    Rates [K/s] of both parts of a pair without new heat, at these rises over the air [K].
    """
def engine_rating(car: Car) -> EngineRating:
    """
    What the torque curve says of the engine, in reference air, up to its speed limit.
    """
def fields() -> tuple:
    """
    Return all fields in the order of the set-up file.
    """
def followers(car: Car, path: str) -> dict:
    """
    Return the ratio of each field that follows the path's.
    """
def friction_left(car: Car, section: str, temperature: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Hot over cold friction [-] of `clutch.heat` or `two_speed_heat` at a temperature [K].
    """
def front_axle(car: Car) -> AxleAtRest:
    """
    The front axle of a car at rest.
    """
def front_lead(front_radius: typing.SupportsFloat | typing.SupportsIndex, front_ratio: typing.SupportsFloat | typing.SupportsIndex, rear_radius: typing.SupportsFloat | typing.SupportsIndex, rear_ratio: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Tread speed of the front over the rear axle, less 1 [-]; above 0 the front pulls.
    """
def fuel_density(car: Car) -> float:
    """
    Density of the car's fuel [kg/m^3].
    """
def full_torque(car: Car, speed: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Torque [N*m] of the engine at a speed [rad/s], throttle open, in the car's air.
    """
def gear_ratios(car: Car) -> tuple[float, float]:
    """
    Engine over shaft speed [-] in first and second gear.
    """
def keep_points(x: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], y: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex]) -> tuple[list[int], float]:
    """
    Return the positions of the points that a curve is put through, and the largest error at one left out.
    """
def lap(car: Car, options: LapOptions) -> LapResult:
    ...
def lap_warnings(peak_pitch: typing.SupportsFloat | typing.SupportsIndex, grip_left: typing.SupportsFloat | typing.SupportsIndex) -> list[typing.Annotated[list[str], "FixedSize(3)"]]:
    """
    Triples of what a lap is warned of.
    """
def launch(car: Car, options: LaunchOptions) -> LaunchResult:
    ...
def learn(unknowns: collections.abc.Sequence[Unknown], values: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], errors: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], predict: collections.abc.Callable) -> Learned:
    ...
def learnable_range(car: Car, path: str) -> tuple[float, float]:
    """
    Return (low, high), for what follows the path's as well.
    """
def nearest_path(path: str) -> str:
    """
    Return the known path nearest to a mistyped one.
    """
def paired_fields() -> tuple:
    """
    Return the paths that set a field of every shoe.
    """
def pitch_warnings(peak_pitch: typing.SupportsFloat | typing.SupportsIndex) -> list[typing.Annotated[list[str], "FixedSize(3)"]]:
    """
    Triples of what a run is warned of whose body pitched so far [rad].
    """
def point_at(unknowns: collections.abc.Sequence[Unknown], shares: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex]) -> dict:
    ...
def predict(car: Car, observations: collections.abc.Sequence[Observation], points: collections.abc.Sequence[dict]) -> numpy.typing.NDArray[numpy.float64]:
    """
    Return what each car would have shown, points x observations.
    """
def rear_axle(car: Car) -> AxleAtRest:
    """
    The rear axle of a car at rest.
    """
def refine(judge: collections.abc.Callable[[float], tuple[typing.SupportsFloat | typing.SupportsIndex, typing.SupportsFloat | typing.SupportsIndex]], *, is_target: bool, within: typing.SupportsFloat | typing.SupportsIndex, start: tuple[typing.SupportsFloat | typing.SupportsIndex, typing.SupportsFloat | typing.SupportsIndex], low: typing.SupportsFloat | typing.SupportsIndex, high: typing.SupportsFloat | typing.SupportsIndex) -> tuple[float, float]:
    """
    Return (setting, cost), as `start`.
    """
def rolling_engine_speed(car: Car, speed: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Engine speed [rad/s] of a car that rolls at a speed [m/s], in the gear that it takes there.
    """
def run_described(network: DescribedNetwork, times: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], tolerance: typing.SupportsFloat | typing.SupportsIndex) -> DescribedRun:
    """
    Run to the last of the times and take the state at each.
    """
def setup_text(car: Car) -> str:
    """
    Return all settings, one a line by their full paths, numbers in SI units.
    """
def shared_centres(first: GearPair, second: GearPair, least: typing.SupportsFloat | typing.SupportsIndex, most: typing.SupportsFloat | typing.SupportsIndex) -> CentreRange:
    """
    Centre distances at which both pairs have a backlash [m] from least to most.
    """
def slopes_at(unknowns: collections.abc.Sequence[Unknown], values: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], errors: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex], predict: collections.abc.Callable, shares: collections.abc.Sequence[typing.SupportsFloat | typing.SupportsIndex]) -> numpy.typing.NDArray[numpy.float64]:
    """
    Return errors by doubts, values x unknowns.
    """
@typing.overload
def sweep(car: Car, paths: collections.abc.Sequence[str], values: typing.Annotated[numpy.typing.ArrayLike, numpy.float64], options: LaunchOptions, threads: typing.SupportsInt | typing.SupportsIndex, progress: typing.Any) -> tuple:
    """
    Return (SweepResult, whether it was interrupted).
    """
@typing.overload
def sweep(car: Car, paths: collections.abc.Sequence[str], values: typing.Annotated[numpy.typing.ArrayLike, numpy.float64], options: LapOptions, threads: typing.SupportsInt | typing.SupportsIndex, progress: typing.Any) -> tuple:
    """
    Return (SweepResult, whether it was interrupted).
    """
def to_si(text: str, si_unit: str) -> float:
    """
    Read a number with one of the usual units.
    """
def torque_curve_field() -> CurveField:
    """
    Return the field of the engine's torque curve.
    """
def turns_in(car: Car, was: typing.SupportsFloat | typing.SupportsIndex, becomes: typing.SupportsFloat | typing.SupportsIndex) -> float:
    """
    Turns of a set screw between two caliper readings [m]; positive is in.
    """
def variables() -> tuple:
    """
    Return all variables; the position in the tuple is the variable's number.
    """
def version() -> str:
    """
    Return the version of the compiled core as `major.minor.patch`.
    """
coupling_names: tuple = ('clutch', 'first', 'second', 'rear_belt', 'front_belt', 'brake', 'rolling')
lap_outputs: tuple = (('crank_speed', 'rad/s', 'Engine speed', tuple()), ('bell_speed', 'rad/s', 'Speed of the clutch bell', tuple()), ('shaft_speed', 'rad/s', 'Speed of the two-speed shaft', tuple()), ('rear_speed', 'rad/s', 'Speed of the rear axle', tuple()), ('front_speed', 'rad/s', 'Speed of the front axle', tuple()), ('car_speed', 'm/s', 'Speed of the car', tuple()), ('clutch_torque', 'N*m', 'Engine clutch: torque', tuple()), ('clutch_slip', 'rad/s', 'Engine clutch: slip', tuple()), ('clutch_mode', '1', 'Engine clutch: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('first_torque', 'N*m', 'First gear: torque', tuple()), ('first_slip', 'rad/s', 'First gear: slip', tuple()), ('first_mode', '1', 'First gear: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('second_torque', 'N*m', 'Second gear: torque', tuple()), ('second_slip', 'rad/s', 'Second gear: slip', tuple()), ('second_mode', '1', 'Second gear: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('rear_belt_torque', 'N*m', 'Rear belt: torque', tuple()), ('rear_belt_slip', 'rad/s', 'Rear belt: slip', tuple()), ('rear_belt_mode', '1', 'Rear belt: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('front_belt_torque', 'N*m', 'Front belt: torque', tuple()), ('front_belt_slip', 'rad/s', 'Front belt: slip', tuple()), ('front_belt_mode', '1', 'Front belt: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('brake_torque', 'N*m', 'Brake and bearing drag: torque', tuple()), ('brake_slip', 'rad/s', 'Brake and bearing drag: slip', tuple()), ('brake_mode', '1', 'Brake and bearing drag: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('rolling_force', 'N', 'Rolling drag: force', tuple()), ('rolling_slip', 'm/s', 'Rolling drag: slip', tuple()), ('rolling_mode', '1', 'Rolling drag: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('rear_strain', '1', "Strain of the rear tyres' carcasses", tuple()), ('front_strain', '1', "Strain of the front tyres' carcasses", tuple()), ('rear_slip', '1', 'Slip of the rear tyres', tuple()), ('front_slip', '1', 'Slip of the front tyres', tuple()), ('load_transfer', 'N', 'Load moved from the front to the rear axle', tuple()), ('throttle_opening', '1', 'Throttle opening reached', tuple()), ('clutch_lining_temperature', 'K', 'Temperature of the clutch lining', tuple()), ('clutch_bell_temperature', 'K', 'Temperature of the clutch bell', tuple()), ('shoe_lining_temperature', 'K', 'Temperature of the shoe linings', tuple()), ('drum_temperature', 'K', 'Temperature of the drum', tuple()), ('distance', 'm', 'Distance from the line', tuple()), ('brake_pedal', '1', 'Brake pedal reached', tuple()), ('rear_axle_load', 'N', 'Load on the rear axle', tuple()), ('front_axle_load', 'N', 'Load on the front axle', tuple()), ('rear_left', '1', "Share of the rear tyres' force that the corner leaves", tuple()), ('front_left', '1', "Share of the front tyres' force that the corner leaves", tuple()), ('corner_drag', 'N', "Drag of the corner, of the sign of the car's speed", tuple()), ('rear_tyre_force', 'N', 'Driving force of the rear tyres', tuple()), ('front_tyre_force', 'N', 'Driving force of the front tyres', tuple()), ('wish_held', '1', 'Wish of the foot that holds the pedals where they are', tuple()), ('shoe_1_out', '1', 'Shoe 1: position', ('in', 'out')), ('shoe_2_out', '1', 'Shoe 2: position', ('in', 'out')), ('foot', '1', "The driver's foot: position", ('down', 'aiming')), ('fuel', 'kg', 'Fuel burnt so far', tuple()), ('engine_work', 'J', 'Work of the engine so far', tuple()), ('clutch_loss', 'J', 'Slip heat of the engine clutch so far', tuple()), ('mesh_loss', 'J', 'Loss of the gear meshes so far', tuple()), ('shoe_loss', 'J', 'Slip heat of shoes and drum so far', tuple()), ('belt_loss', 'J', 'Loss of the belts so far', tuple()), ('brake_loss', 'J', 'Heat of brake and bearing drag so far', tuple()), ('tyre_stored', 'J', 'Elastic work held in the tyres', tuple()), ('rear_tyre_loss', 'J', 'Slip heat of the rear tyres so far', tuple()), ('front_tyre_loss', 'J', 'Slip heat of the front tyres so far', tuple()), ('car_distance', 'm', 'Distance covered by the car', tuple()), ('air_loss', 'J', 'Work against the air so far', tuple()), ('grade_work', 'J', 'Work against the grade so far', tuple()), ('rolling_loss', 'J', 'Work against rolling drag so far', tuple()), ('cornering_loss', 'J', 'Work against the drag of corners so far', tuple()), ('time', 's', 'Time from the line', tuple()), ('lateral_acceleration', 'm/s^2', 'Acceleration to the left', tuple()), ('grip_taken', '1', 'Share of the grip used sideways', tuple()), ('aimed_speed', 'm/s', 'Speed aimed at', tuple()))
lap_scalars: tuple = (('lap_time', 's', 'Time of the lap'), ('shift_time', 's', 'Time of the first shift as it is heard: the engine at its peak'), ('shift_speed', 'm/s', 'Car speed at the first shift, the engine at its peak'), ('shift_distance', 'm', 'Distance at the first shift, the engine at its peak'), ('engine_speed_before', 'rad/s', 'Engine speed at its peak at the first shift'), ('engine_speed_after', 'rad/s', 'Engine speed at its low after that shift'), ('low_time', 's', "Time of the engine's low after that shift"), ('low_speed', 'm/s', "Car speed at the engine's low after that shift"), ('engine_speed_drop', 'rad/s', 'Engine speed lost from its peak at that shift to its low'), ('contact_time', 's', 'Time at which the first shoe touches the drum'), ('contact_speed', 'm/s', 'Car speed as the first shoe touches'), ('contact_engine_speed', 'rad/s', 'Engine speed as the first shoe touches'), ('contact_shaft_speed', 'rad/s', 'Speed of the two-speed shaft as the first shoe touches'), ('let_go_time', 's', 'Time at which first gear lets go'), ('let_go_speed', 'm/s', 'Car speed as first gear lets go'), ('let_go_engine_speed', 'rad/s', 'Engine speed as first gear lets go'), ('lock_time', 's', 'Time at which shoes and drum lock'), ('lock_speed', 'm/s', 'Car speed as shoes and drum lock'), ('lock_engine_speed', 'rad/s', 'Engine speed as shoes and drum lock'), ('hand_over', 's', 'Time from the first touch to the lock-up of the drum'), ('shift_heat', 'J', 'Slip heat in shoes and drum during the hand-over'), ('upshifts', '1', 'Times first gear let go'), ('downshifts', '1', 'Times both shoes came back, first gear having let go before'), ('shifts_in_corners', '1', 'Shifts of either kind in a corner'), ('shifts_before_corners', '1', 'Shifts of either kind just before a corner'), ('clutch_openings', '1', 'Times the engine clutch let go'), ('bogged_exits', '1', "Corner exits that the engine limits: below the clutch's engagement, or with too little power below the speed of the most"), ('most_grip', '1', 'Largest share of the grip used sideways'), ('grip_left', '1', 'Largest share of the grip left at a corner where no margin uses it up'), ('peak_speed', 'm/s', 'Largest car speed'), ('least_speed', 'm/s', 'Least car speed'), ('peak_engine_speed', 'rad/s', 'Largest engine speed'), ('peak_rear_slip', '1', 'Largest slip of the rear tyres'), ('peak_front_slip', '1', 'Largest slip of the front tyres'), ('peak_clutch_temperature', 'K', 'Largest temperature of the clutch lining'), ('peak_shoe_temperature', 'K', 'Largest temperature of the shoe lining'), ('peak_pitch', 'rad', 'Largest pitch of the body, an axle off the ground'), ('lifted_time', 's', 'How long an axle was off the ground'), ('fuel', 'kg', 'Fuel burnt'), ('engine_work', 'J', 'Work of the engine'), ('car_energy', 'J', 'Energy of motion gained by the car'), ('rotating_energy', 'J', 'Energy of motion gained by all that turns'), ('clutch_loss', 'J', 'Slip heat of the engine clutch'), ('shoe_loss', 'J', 'Slip heat of shoes and drum'), ('mesh_loss', 'J', 'Loss of the gear meshes'), ('belt_loss', 'J', 'Loss of the belts'), ('brake_loss', 'J', 'Heat of the brake and bearing drag'), ('rolling_loss', 'J', 'Rolling drag of the tyres'), ('rear_tyre_loss', 'J', 'Slip heat of the rear tyres along the road'), ('front_tyre_loss', 'J', 'Slip heat of the front tyres along the road'), ('cornering_loss', 'J', "Work of the tyres' drag in corners"), ('tyre_stored', 'J', 'Elastic work left in the tyres'), ('air_loss', 'J', 'Work against the air'), ('grade_work', 'J', 'Work against the grade'), ('energy_residual', 'J', 'Engine work less all gains and losses'), ('laps_driven', '1', 'Laps driven in all until one repeated, with every margin tried'), ('time_error', 's', 'Largest estimated error of its times: at distances, sectors and its end, and of the shift of a launch'), ('edges', '1', 'Times that a switch hung on less than the estimated error'), ('doubtful', '1', '1 where the times may be off by more than 0.5 ms, or a lap hangs on which side of a jump of its grip the driver stays, else 0'), ('mode_changes', '1', 'Entries in the list of mode changes'), ('steps', '1', 'Steps of the integrator'))
max_curve_points: int = 16
mode_names: tuple = ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')
outputs: tuple = (('crank_speed', 'rad/s', 'Engine speed', tuple()), ('bell_speed', 'rad/s', 'Speed of the clutch bell', tuple()), ('shaft_speed', 'rad/s', 'Speed of the two-speed shaft', tuple()), ('rear_speed', 'rad/s', 'Speed of the rear axle', tuple()), ('front_speed', 'rad/s', 'Speed of the front axle', tuple()), ('car_speed', 'm/s', 'Speed of the car', tuple()), ('clutch_torque', 'N*m', 'Engine clutch: torque', tuple()), ('clutch_slip', 'rad/s', 'Engine clutch: slip', tuple()), ('clutch_mode', '1', 'Engine clutch: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('first_torque', 'N*m', 'First gear: torque', tuple()), ('first_slip', 'rad/s', 'First gear: slip', tuple()), ('first_mode', '1', 'First gear: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('second_torque', 'N*m', 'Second gear: torque', tuple()), ('second_slip', 'rad/s', 'Second gear: slip', tuple()), ('second_mode', '1', 'Second gear: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('rear_belt_torque', 'N*m', 'Rear belt: torque', tuple()), ('rear_belt_slip', 'rad/s', 'Rear belt: slip', tuple()), ('rear_belt_mode', '1', 'Rear belt: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('front_belt_torque', 'N*m', 'Front belt: torque', tuple()), ('front_belt_slip', 'rad/s', 'Front belt: slip', tuple()), ('front_belt_mode', '1', 'Front belt: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('brake_torque', 'N*m', 'Brake and bearing drag: torque', tuple()), ('brake_slip', 'rad/s', 'Brake and bearing drag: slip', tuple()), ('brake_mode', '1', 'Brake and bearing drag: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('rolling_force', 'N', 'Rolling drag: force', tuple()), ('rolling_slip', 'm/s', 'Rolling drag: slip', tuple()), ('rolling_mode', '1', 'Rolling drag: what it does', ('open', 'stuck', 'stuck_back', 'slip_positive', 'slip_negative')), ('rear_strain', '1', "Strain of the rear tyres' carcasses", tuple()), ('front_strain', '1', "Strain of the front tyres' carcasses", tuple()), ('rear_slip', '1', 'Slip of the rear tyres', tuple()), ('front_slip', '1', 'Slip of the front tyres', tuple()), ('load_transfer', 'N', 'Load moved from the front to the rear axle', tuple()), ('throttle_opening', '1', 'Throttle opening reached', tuple()), ('clutch_lining_temperature', 'K', 'Temperature of the clutch lining', tuple()), ('clutch_bell_temperature', 'K', 'Temperature of the clutch bell', tuple()), ('shoe_lining_temperature', 'K', 'Temperature of the shoe linings', tuple()), ('drum_temperature', 'K', 'Temperature of the drum', tuple()), ('throttle_asked', '1', 'Throttle opening asked for', tuple()), ('brake_pedal', '1', 'Brake pedal', tuple()), ('rear_axle_load', 'N', 'Load on the rear axle', tuple()), ('front_axle_load', 'N', 'Load on the front axle', tuple()), ('rear_tyre_force', 'N', 'Driving force of the rear tyres', tuple()), ('front_tyre_force', 'N', 'Driving force of the front tyres', tuple()), ('shoe_1_out', '1', 'Shoe 1: position', ('in', 'out')), ('shoe_2_out', '1', 'Shoe 2: position', ('in', 'out')), ('fuel', 'kg', 'Fuel burnt so far', tuple()), ('engine_work', 'J', 'Work of the engine so far', tuple()), ('clutch_loss', 'J', 'Slip heat of the engine clutch so far', tuple()), ('mesh_loss', 'J', 'Loss of the gear meshes so far', tuple()), ('shoe_loss', 'J', 'Slip heat of shoes and drum so far', tuple()), ('belt_loss', 'J', 'Loss of the belts so far', tuple()), ('brake_loss', 'J', 'Heat of brake and bearing drag so far', tuple()), ('tyre_stored', 'J', 'Elastic work held in the tyres', tuple()), ('rear_tyre_loss', 'J', 'Slip heat of the rear tyres so far', tuple()), ('front_tyre_loss', 'J', 'Slip heat of the front tyres so far', tuple()), ('car_distance', 'm', 'Distance covered by the car', tuple()), ('air_loss', 'J', 'Work against the air so far', tuple()), ('grade_work', 'J', 'Work against the grade so far', tuple()), ('rolling_loss', 'J', 'Work against rolling drag so far', tuple()), ('stopwatch', 's', 'Time since the start; stands still once the car has covered stopwatch_distance', tuple()))
scalars: tuple = (('shift_time', 's', 'Time of the first shift as it is heard: the engine at its peak'), ('shift_speed', 'm/s', 'Car speed at the first shift, the engine at its peak'), ('shift_distance', 'm', 'Distance at the first shift, the engine at its peak'), ('engine_speed_before', 'rad/s', 'Engine speed at its peak at the first shift'), ('engine_speed_after', 'rad/s', 'Engine speed at its low after that shift'), ('low_time', 's', "Time of the engine's low after that shift"), ('low_speed', 'm/s', "Car speed at the engine's low after that shift"), ('engine_speed_drop', 'rad/s', 'Engine speed lost from its peak at that shift to its low'), ('contact_time', 's', 'Time at which the first shoe touches the drum'), ('contact_speed', 'm/s', 'Car speed as the first shoe touches'), ('contact_engine_speed', 'rad/s', 'Engine speed as the first shoe touches'), ('contact_shaft_speed', 'rad/s', 'Speed of the two-speed shaft as the first shoe touches'), ('let_go_time', 's', 'Time at which first gear lets go'), ('let_go_speed', 'm/s', 'Car speed as first gear lets go'), ('let_go_engine_speed', 'rad/s', 'Engine speed as first gear lets go'), ('lock_time', 's', 'Time at which shoes and drum lock'), ('lock_speed', 'm/s', 'Car speed as shoes and drum lock'), ('lock_engine_speed', 'rad/s', 'Engine speed as shoes and drum lock'), ('hand_over', 's', 'Time from the first touch to the lock-up of the drum'), ('shift_heat', 'J', 'Slip heat in shoes and drum during the hand-over'), ('upshifts', '1', 'Lock-ups of the drum'), ('downshifts', '1', 'Times both shoes came back'), ('clutch_lock_time', 's', 'First lock-up of the engine clutch'), ('end_time', 's', 'Time at which the run ended'), ('end_speed', 'm/s', 'Car speed at the end'), ('end_distance', 'm', 'Distance at the end'), ('peak_speed', 'm/s', 'Largest car speed'), ('peak_engine_speed', 'rad/s', 'Largest engine speed'), ('peak_rear_slip', '1', 'Largest slip of the rear tyres'), ('peak_front_slip', '1', 'Largest slip of the front tyres'), ('peak_clutch_temperature', 'K', 'Largest temperature of the clutch lining'), ('peak_shoe_temperature', 'K', 'Largest temperature of the shoe lining'), ('peak_pitch', 'rad', 'Largest pitch of the body, an axle off the ground'), ('lifted_time', 's', 'How long an axle was off the ground'), ('fuel', 'kg', 'Fuel burnt'), ('engine_work', 'J', 'Work of the engine'), ('car_energy', 'J', 'Energy of motion gained by the car'), ('rotating_energy', 'J', 'Energy of motion gained by all that turns'), ('clutch_loss', 'J', 'Slip heat of the engine clutch'), ('shoe_loss', 'J', 'Slip heat of shoes and drum'), ('mesh_loss', 'J', 'Loss of the gear meshes'), ('belt_loss', 'J', 'Loss of the belts'), ('brake_loss', 'J', 'Heat of the brake and bearing drag'), ('rolling_loss', 'J', 'Rolling drag of the tyres'), ('rear_tyre_loss', 'J', 'Slip heat of the rear tyres along the road'), ('front_tyre_loss', 'J', 'Slip heat of the front tyres along the road'), ('tyre_stored', 'J', 'Elastic work left in the tyres'), ('air_loss', 'J', 'Work against the air'), ('grade_work', 'J', 'Work against the grade'), ('energy_residual', 'J', 'Engine work less all gains and losses'), ('time_error', 's', 'Largest estimated error of its times: at distances, sectors and its end, and of the shift of a launch'), ('edges', '1', 'Times that a switch hung on less than the estimated error'), ('doubtful', '1', '1 where the times may be off by more than 0.5 ms, or a lap hangs on which side of a jump of its grip the driver stays, else 0'), ('mode_changes', '1', 'Entries in the list of mode changes'), ('steps', '1', 'Steps of the integrator'))
standard_gravity: float = 9.80665
sure_time: float = 0.0005
switch_names: tuple = ('clutch', 'shoe_1', 'shoe_2', 'pedals')
