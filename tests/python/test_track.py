"""Tracks: what they are made of, and the files they come from."""

from pathlib import Path

import layshaft
import numpy as np
import pytest
from layshaft.cli.main import app
from layshaft.tracks import track
from typer.testing import CliRunner

#: The driven line is summed up in steps of 2 cm: midpoint sums of a curvature of 0.3 per metre that
#: changes within a metre.
LINE_ERROR = 1e-3  # [m]


@pytest.mark.parametrize(("name", "length"), [("club", 294.745), ("fast", 350.0)])
def test_the_demo_tracks_are_loops_as_long_as_promised(name: str, length: float) -> None:
    demo = layshaft.demo_track(name)
    assert demo.length == pytest.approx(length, abs=0.01)
    assert demo.gap < 0.01
    assert "invented" in demo.name
    # Common practice: a straight of 60 m or more, radii of 3 to 15 m.
    curvature = np.abs(demo.curvature(np.linspace(0.0, demo.length, 4001)))
    radius = 1.0 / curvature.max()
    assert 3.0 <= radius <= 15.0
    begins, ends = np.array(demo.corners).T
    straights = np.append(begins[1:], begins[0] + demo.length) - ends
    assert straights.max() > 60.0


def test_a_lap_of_the_club_track_turns_left_once_round() -> None:
    line = layshaft.demo_track("club").line()
    assert np.degrees(line.heading[-1]) == pytest.approx(360.0, abs=0.01)


def test_a_corner_turns_by_its_angle_and_no_tighter_than_its_radius() -> None:
    pieces = track.corner(np.radians(-120.0), 6.0, blend=2.0)
    bend = track.Track("bend", tuple(pieces))
    line = bend.line()
    assert np.degrees(line.heading[-1]) == pytest.approx(-120.0, abs=1e-4)
    assert np.abs(bend.curvature(line.distance)).max() == pytest.approx(1.0 / 6.0)
    assert bend.length == pytest.approx(6.0 * np.radians(120.0) + 2.0)


def test_points_on_a_circle_give_its_curvature() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 40, endpoint=False)
    ring = track.through_points(7.0 * np.cos(turn), 7.0 * np.sin(turn), name="ring")
    assert ring.length == pytest.approx(2.0 * np.pi * 7.0, rel=1e-5)
    # Quintic splines through points 9 degrees apart.
    assert ring.curvature(np.linspace(0.0, 40.0, 50)) == pytest.approx(1.0 / 7.0, rel=1e-4)


def points_of(demo: track.Track, spacing: float) -> tuple[np.ndarray, np.ndarray]:
    line = demo.line()
    at = np.arange(0.0, demo.length, spacing)
    return tuple(np.interp(at, line.distance, values) for values in (line.x, line.y))


def test_scattered_points_are_smoothed_to_the_track_they_came_from() -> None:
    demo = layshaft.demo_track("fast")
    x, y = points_of(demo, 0.5)
    noise = np.random.default_rng(3).normal(scale=0.02, size=(2, len(x)))
    smooth = track.through_points(x + noise[0], y + noise[1], name="seen", scatter=0.02)
    assert smooth.length == pytest.approx(demo.length, rel=2e-3)
    at = np.linspace(0.0, 0.999, 700)
    off = smooth.curvature(at * smooth.length) - demo.curvature(at * demo.length)
    # 2 cm of scatter every half metre; the corners' own curvatures are 0.07 to 0.2 per metre.
    assert np.sqrt(np.mean(off**2)) < 0.03
    raw = track.through_points(x + noise[0], y + noise[1], name="raw")
    rough = raw.curvature(at * raw.length) - demo.curvature(at * demo.length)
    assert np.std(rough) > 3.0 * np.std(off)


@pytest.mark.filterwarnings("ignore:track line does not close")  # in pieces of 4 m
def test_a_finer_centre_line_gives_the_same_lap() -> None:
    car = layshaft.demo_car()
    turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    radius = 22.0 + 7.0 * np.cos(2.0 * turn) + 3.0 * np.sin(3.0 * turn)
    x, y = radius * np.cos(turn), radius * np.sin(turn)
    times = [
        layshaft.lap(
            car, track.through_points(x, y, name="line", spacing=spacing), sample_spacing=0.0
        ).time
        for spacing in (4.0, 2.0, 1.0)
    ]
    # Cubics are off by the fourth power of their length; the lap follows with what the aim's own
    # grid of 0.25 m leaves.
    assert abs(times[2] - times[1]) < 0.25 * abs(times[1] - times[0]) + 1e-3
    assert times[2] == pytest.approx(times[1], abs=0.02)


def test_points_of_a_track_give_its_lap() -> None:
    demo = layshaft.demo_track("fast")
    x, y = points_of(demo, 0.5)
    seen = track.through_points(x, y, name="seen", spacing=0.5)
    car = layshaft.demo_car()
    # The corners' curvature has kinks where it begins to rise: the spline swings about them, up to
    # a tenth above the curvature of the tightest corner, and the lap is as much slower there.
    assert layshaft.lap(car, seen).time == pytest.approx(layshaft.lap(car, demo).time, rel=0.03)


def written(folder: Path, text: str, name: str = "track.toml") -> Path:
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def test_a_file_names_all_its_faults_with_their_lines(tmp_path: Path) -> None:
    text = (
        'name = "bad"\n[[segment]]\nstraight = "5 kg"\n[[segment]]\ncorner = "90 deg"\n'
        '[[segment]]\nstraight = 5\nradius = 3\n[[segment]]\ncorner = "90 deg"\nradius = "0.1 m"\n'
    )
    with pytest.raises(layshaft.SetupError) as refused:
        layshaft.read_track(written(tmp_path, text))
    faults = refused.value.faults
    assert [fault.line for fault in faults] == [3, 4, 8, 11]
    assert "radius" in str(faults[1])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "at least one"),
        ("name = 3\n[[segment]]\nstraight = 5\n", "must be text"),
        ("lenght = 3\n[[segment]]\nstraight = 5\n", "known name"),
        ("[[segment]]\ncorner = 0\nradius = 4\n", "must not be 0"),
        ("[[segment]]\ncorner = 0.001\nradius = 4\n", "an arc of 0.01 m at least, not 0.004 m"),
        ("sectors = [3, 6]\n[[segment]]\nstraight = 5\n", r"\[1\] = 6: .* the lap of 5.0 m"),
        ("sectors = [3, 2]\n[[segment]]\nstraight = 5\n", r"\[1\] = 2: must be ascending"),
        ("[[segment]]\nstraight = true\n", "number"),
        ("[[segment]]\ncorner = '800 deg'\nradius = 4\n", "from -720 deg to 720 deg"),
        ("sectors = 5\n[[segment]]\nstraight = 5\n", "list"),
    ],
)
def test_what_is_no_track_is_refused(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(layshaft.SetupError, match=told):
        layshaft.read_track(written(tmp_path, text))


def test_a_csv_of_points_is_a_track(tmp_path: Path) -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    rows = "\n".join(f"{9 * np.cos(t):.4f},{9 * np.sin(t):.4f},0.001" for t in turn)
    file = written(tmp_path, f"x_m,y_m,scatter_m\n{rows}\n", "oval.csv")
    read = layshaft.read_track(file)
    assert read.name == "oval"
    assert read.length == pytest.approx(2.0 * np.pi * 9.0, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("x_m,z_m\n1,2\n", "column y_m"),
        ("x_m,y_m\n1,a\n", "number"),
        ("x_m,y_m\n1,2\n", "eight"),
        # Half a metre across: on a radius of a quarter of a metre.
        (
            "x_m,y_m,scatter_m\n.25,0,0\n.18,.18,\n0,.25,\n-.18,.18,\n-.25,0,\n-.18,-.18,\n"
            "0,-.25,\n.18,-.18,\n",
            r"radius of 0\.2\d m near \d\.\d m, which must be at least 0\.5 m",
        ),
    ],
)
def test_a_csv_that_is_none_is_refused(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(layshaft.SetupError, match=told):
        layshaft.read_track(written(tmp_path, text, "bad.csv"))


def test_segments_take_their_grip_and_grade() -> None:
    (piece,) = track.straight(5.0, grip=0.8, grade=0.02)
    assert (piece.grip, piece.grade) == (0.8, 0.02)


#: A straight of 30 m, half round at 4 m, and the same again: it closes. Without its last corner the
#: line ends 30 m back and one corner across from its beginning, and has turned 180 deg too little.
HALL = """
    name = "hall"
    blend = "0.01 m"
    [[segment]]
    straight = "30 m"
    [[segment]]
    corner = "180 deg"
    radius = "4 m"
    [[segment]]
    straight = "{back} m"
    [[segment]]
    corner = "{last} deg"
    radius = "4 m"
"""


def hall(folder: Path, *, back: float = 30.0, last: float = 180.0) -> Path:
    file = folder / "hall.toml"
    file.write_text(HALL.format(back=back, last=last), encoding="utf-8")
    return file


def test_a_track_that_closes_is_read_in_silence(tmp_path: Path) -> None:
    layshaft.read_track(hall(tmp_path))  # a warning is an error in the tests
    layshaft.read_track(hall(tmp_path, back=28.0))  # 2 m of a lap of 83 m: paced out


def test_a_track_that_does_not_close_is_told_with_how_far_it_misses(tmp_path: Path) -> None:
    # The way back 6 m short: the end lies 6 m before the beginning, whatever the corners are.
    with pytest.warns(UserWarning, match=r"hall does not close: its end lies 6\.0 m from") as told:
        read = layshaft.read_track(hall(tmp_path, back=24.0))
    assert "deg" not in str(told[0].message)
    assert told[0].filename == __file__
    with pytest.warns(UserWarning, match=r"its corners turn 20 deg too far to the right"):
        layshaft.read_track(hall(tmp_path, last=160.0))
    with pytest.warns(UserWarning, match=r"its corners turn 20 deg too far to the left"):
        layshaft.read_track(hall(tmp_path, last=200.0))
    with pytest.warns(UserWarning, match="hall does not close"):
        layshaft.lap(layshaft.demo_car(), read)


def test_what_to_do_about_an_open_track_is_told_of_what_it_is_made_of(tmp_path: Path) -> None:
    with pytest.warns(UserWarning, match="lengths and angles of its segments") as told:
        layshaft.read_track(hall(tmp_path, back=24.0))
    assert "points" not in str(told[0].message)
    # An oval three metres wide, of points that its corners go between.
    corner = "0,0\n10,0\n20,0\n30,0\n32,1.5\n30,3\n20,3\n10,3\n0,3\n-2,1.5\n"
    with pytest.warns(UserWarning, match="points that lie closer together") as told:
        layshaft.read_track(written(tmp_path, f"x_m,y_m\n{corner}", "oval.csv"))
    assert "segments" not in str(told[0].message)


def test_a_lap_that_ends_higher_than_it_began_is_told_so(tmp_path: Path) -> None:
    # 30 m at 5 % up and 30 m at 2 % down: .9 m higher.
    graded = HALL.replace('"30 m"', '"30 m"\n    grade = "5 %"').replace(
        '"{back} m"', '"{back} m"\n    grade = "-2 %"'
    )
    file = written(tmp_path, graded.format(back=30.0, last=180.0))
    with pytest.warns(UserWarning, match=r"its end lies 0\.9 m above its beg.*Check the grades"):
        layshaft.read_track(file)
    level = graded.replace("-2 %", "-5 %").format(back=30.0, last=180.0)
    layshaft.read_track(written(tmp_path, level))


def test_a_gap_between_points_is_told_with_its_width(tmp_path: Path) -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    x, y = 9.0 * np.cos(turn), 9.0 * np.sin(turn)  # .94 m apart
    track.through_points(x, y, name="ring")
    # Ten points fewer at the end leave a chord of 2 * 9 m * sin(11/60 pi) = 9.8 m.
    with pytest.warns(UserWarning, match=r"ring has a gap of 9\.8 m between points 50 and the fir"):
        track.through_points(x[:50], y[:50], name="ring")
    # Seven in the middle fewer: 2 * 9 m * sin(8/60 pi) = 7.3 m.
    rows = "\n".join(f"{a:.4f},{b:.4f}" for a, b in zip(x, y, strict=True) if not a < -8.5)
    file = written(tmp_path, f"x_m,y_m\n{rows}\n", "ring.csv")
    with pytest.warns(
        UserWarning, match=r"gap of 7\.3 m between points 27 and 28; most lie 0\.94 m apart"
    ) as told:
        layshaft.read_track(file)
    assert told[0].filename == __file__


def test_a_lap_of_an_open_track_says_so_once_on_the_command_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(app, ["lap", str(hall(tmp_path, back=24.0))])
    assert result.exit_code == 0
    assert result.stderr.count("does not close: its end lies 6.0 m") == 1
    assert result.stderr.startswith("layshaft: track hall")
    assert CliRunner().invoke(app, ["lap", str(hall(tmp_path))]).stderr == ""
