"""What no run can show and no car can drive round is refused at once, by its name."""

import math
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import layshaft
import numpy as np
import pytest
from layshaft import _core
from layshaft.quantities.possible import RANGES

#: Far more than reading a file takes on a busy machine [s]; each took minutes or all memory.
PATIENCE = 60.0


def test_there_are_bounds_for_every_scalar() -> None:
    units = {unit for _, unit, _ in (*_core.scalars, *_core.lap_scalars)}
    assert units <= set(RANGES)
    assert layshaft.observe("peak_pitch", "4 deg", error="1 deg").value == pytest.approx(
        math.radians(4.0)
    )
    with pytest.raises(ValueError, match=r"peak_pitch = .400 deg. must be from"):
        layshaft.observe("peak_pitch", "400 deg", error="1 deg")


@pytest.mark.parametrize(
    ("measure", "value"),
    [
        ("shift_speed", "9000 km/h"),
        ("shift_speed", -1.0),
        ("shift_speed", math.nan),
        ("time", "3 h"),
        ("time", -0.1),
        ("peak_engine_speed", "900 krpm"),
        ("peak_shoe_temperature", "9000 degC"),
        ("shift_distance", "900 km"),
        ("fuel", "1000 kg"),
        ("engine_work", math.inf),
    ],
)
def test_an_observation_that_no_run_can_show_is_refused(measure: str, value: object) -> None:
    error = {"fuel": "1 g", "engine_work": 10.0, "shift_distance": 1.0}.get(measure)
    error = "5 K" if measure == "peak_shoe_temperature" else error
    error = "500 rpm" if measure == "peak_engine_speed" else error
    with pytest.raises(ValueError, match=f"^{measure} = .*must be"):
        layshaft.observe(measure, value, error=error)


@pytest.mark.parametrize(
    ("measure", "value", "options"),
    [
        ("time", "0.2 s", {"distance": "60 m"}),  # 300 m/s in the mean
        ("time", "0.65 s", {"distance": "60 m"}),  # from rest 2 * 60/.65^2 = 284 m/s^2
        ("time", "30 s", {"distance": "1 m"}),  # .12 km/h in the mean
        ("time", "30 s", {"distance": "60 m"}),  # the run is given up after 20 s
        ("time", "1 s", {"track": "club"}),  # 260 m
        ("time", "125 s", {"track": "club"}),  # the lap is given up after 120 s
        ("hand_over", "25 s", {}),
        ("shift_distance", "61 m", {}),
    ],
)
def test_an_observation_fits_its_run(measure: str, value: str, options: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=f"^{measure} = '{value}' must be from .* which no run"):
        layshaft.observe(measure, value, error=0.1, **options)


def test_slow_and_quick_runs_that_can_be_are_taken() -> None:
    # From 80 km/h 10 m take .45 s; a start at 3 s of the pedals' history takes longer than a car.
    layshaft.observe("time", "0.45 s", distance="10 m", start_speed="80 km/h")
    layshaft.observe("time", "1 s", distance="1 m")
    layshaft.observe("time", "4.5 s", distance="1 m", pedals=[(0.0, 0.0, 0.0), (4.0, 1.0, 0.0)])
    layshaft.observe("time", "40 s", distance="200 m", longest_time="60 s")


@pytest.mark.parametrize("error", [0.0, -1.0, 1e-308, 1e308, math.nan, math.inf])
def test_the_error_of_an_observation_is_above_0(error: float) -> None:
    with pytest.raises(ValueError, match=r"^error of shift_speed = .* must be a finite number"):
        layshaft.observe("shift_speed", 15.0, error=error)


def test_a_plain_number_in_a_wrong_unit_is_told_the_right_one() -> None:
    with pytest.raises(ValueError, match=r"; a plain number is in rad/s$"):
        layshaft.recommend(layshaft.demo_car(), limits={"peak_engine_speed": 42_000})
    with pytest.raises(ValueError, match=r"360 km/h, which no run leaves"):
        layshaft.goals.shift_at("9000 km/h")


def test_a_log_holds_what_a_car_can_do(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_text("time_s,car_speed_km_per_h\n0.5,18\n1.0,9000\n")
    with pytest.raises(layshaft.SetupError, match=r"log.csv:3: .*car_speed = '9000 km/h' must be"):
        layshaft.read_log(file, error="1 km/h")
    with pytest.raises(ValueError, match="must not last longer"):
        layshaft.run_log("car_speed", [0.0, 1e6], [0.0, 1.0], error=1.0)
    with pytest.raises(ValueError, match=r"engine_speed = .* must be"):
        layshaft.lap_log("engine_speed", [1.0, 2.0], [0.0, 1e5], track="club", error=10.0)


# Tracks of points.


def ring(radius: float, count: int = 60) -> tuple[np.ndarray, np.ndarray]:
    turn = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    return radius * np.cos(turn), radius * np.sin(turn)


def track_file(folder: Path, x: np.ndarray, y: np.ndarray) -> Path:
    file = folder / "ring.csv"
    lines = [f"{a!r},{b!r}" for a, b in zip(x.tolist(), y.tolist(), strict=True)]
    file.write_text("\n".join(["x_m,y_m", *lines]) + "\n")
    return file


@pytest.mark.parametrize("radius", [1e6, 1e9, 1e200, 1e-6, 0.0])
def test_points_too_far_apart_or_too_near_are_refused_at_once(
    radius: float, tmp_path: Path
) -> None:
    file = track_file(tmp_path, *ring(radius))
    # In a process of its own: such files ran for minutes, took all memory or crashed.
    code = (
        "import resource, sys, layshaft\n"
        "resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30))\n"
        "try:\n    layshaft.read_track(sys.argv[1])\n"
        "except layshaft.SetupError as error:\n    print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(file)], capture_output=True, text=True, timeout=PATIENCE
    )
    assert done.returncode == 0, done.stderr
    assert "ring.csv: points 1 and 2 are too " in done.stdout


def test_a_lap_has_an_end() -> None:
    # 160 points 99 m apart are 15.8 km.
    with pytest.raises(ValueError, match=r"a lap of 158\d\d.* m must not exceed 10000 m"):
        layshaft.tracks.track.through_points(*ring(99.0 * 160 / (2.0 * np.pi), 160), name="far")
    pieces = tuple(layshaft.tracks.track.straight(9_000.0) * 2)
    with pytest.raises(ValueError, match="a lap of 18000 m must not exceed 10000 m"):
        _ = layshaft.Track("far", pieces).length


def test_the_points_of_a_track_have_an_end() -> None:
    many = np.linspace(0.0, 2.0 * np.pi, 30_000, endpoint=False)
    with pytest.raises(ValueError, match="at most 20000, not 30000"):
        layshaft.tracks.track.through_points(500 * np.cos(many), 500 * np.sin(many), name="many")


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_coordinates_are_finite(bad: float) -> None:
    x, y = ring(10.0)
    x[3] = bad
    with pytest.raises(ValueError, match="all of them numbers"):
        layshaft.tracks.track.through_points(x, y, name="hole")


@pytest.mark.parametrize("scatter", [-0.1, math.nan, math.inf, 1e9])
def test_the_scatter_of_points_is_that_of_a_track(scatter: float) -> None:
    with pytest.raises(ValueError, match=r"scatter = .* must be from 0 to 1 m"):
        layshaft.tracks.track.through_points(*ring(10.0), name="ring", scatter=scatter)


def test_x_and_y_are_as_many() -> None:
    x, y = ring(10.0)
    with pytest.raises(ValueError, match="as many x as y, not 60 and 59"):
        layshaft.tracks.track.through_points(x, y[:-1], name="ring")


def test_a_sweep_without_end_is_refused_before_any_run() -> None:
    values = np.linspace(0.0044, 0.0052, 10_000)
    axes = {"two_speed.shoe_1.gap": values, "two_speed.shoe_2.gap": values}
    with pytest.raises(ValueError, match="100000000 runs is too large"):
        layshaft.sweep(layshaft.demo_car(), axes)


@pytest.mark.parametrize(
    "options",
    [{"threads": 10**6}, {"threads": 1.5}, {"threads": 0}, {"chunk": 0}, {"chunk": "all"}],
)
def test_threads_and_blocks_are_counts_that_a_machine_has(options: dict[str, object]) -> None:
    (name,) = options
    with pytest.raises(ValueError, match=rf"^{name} = .* must be "):
        layshaft.sweep(layshaft.demo_car(), {"first.pinion": [16, 17]}, distance=1.0, **options)


def test_the_blocks_of_a_sweep_have_an_end() -> None:
    axes = {"two_speed.gap": np.linspace(0.0044, 0.0052, 100_001)}
    with pytest.raises(ValueError, match=r"^chunk = 1 must be at least 2: each block"):
        layshaft.sweep(layshaft.demo_car(), axes, chunk=1, distance=1.0)


def test_no_speed_is_learned_from_at_which_no_engine_turns() -> None:
    car = layshaft.demo_car()
    for measure in ("shift_speed", "top_speed"):
        seen = layshaft.observe(measure, "350 km/h", changes={"two_speed.gap": "4.5 mm"})
        with pytest.raises(ValueError, match=r"speed .*= 350\.0 km/h must be lower: .*57,296 rpm"):
            layshaft.learn(car, [seen])
    with pytest.raises(ValueError, match=r"^start_speed = 97\.2222 m/s must be lower: .* rpm"):
        layshaft.launch(car, start_speed="350 km/h")


def test_a_shift_far_slower_than_the_car_can_leaves_no_number_certain() -> None:
    seen = layshaft.observe("shift_speed", "1.2 km/h", changes={"two_speed.gap": "4.3 mm"})
    learned = layshaft.learn(layshaft.demo_car(), [seen])
    assert not learned.agrees
    for each in learned.intervals:
        assert each.low < each.high
        assert each.doubt_left > 0.0
    assert layshaft.suggest(learned)[0].volume < 1.0


def test_an_axis_too_long_is_refused_before_it_is_read() -> None:
    class Endless:
        def __len__(self) -> int:
            return 20_000_001

        def __iter__(self) -> Iterator[float]:
            yield pytest.fail("it was read")

    with pytest.raises(ValueError, match=r"gap: an axis must have at most 20000000 values"):
        layshaft.sweep(layshaft.demo_car(), {"two_speed.gap": Endless()})
