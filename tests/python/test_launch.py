"""One run: what it gives, in which units, and that it closes its accounts."""

import pickle

import layshaft
import numpy as np
import pytest
from layshaft import _core
from layshaft.runs.changes import main_changes, sentence
from layshaft.runs.launch_options import LaunchOptions
from layshaft.runs.run_options import read_options

#: Of the work: what an integration to 1e-6 a step may lose on the way, ten times over.
ENERGY_TOLERANCE = 1e-5
#: Of a sum of two numbers, in units of the greater: their rounding.
ROUND_OFF = 4 * np.finfo(float).eps

#: Speed that is rest to the solver [m/s]: its tolerance of a step.
AT_REST = 1e-6


@pytest.fixture(scope="module")
def car() -> layshaft.Car:
    return layshaft.demo_car()


@pytest.fixture(scope="module")
def run(car: layshaft.Car) -> layshaft.LaunchRun:
    return layshaft.launch(car)


def test_distances_are_reached_in_order_and_the_last_is_the_end(run: layshaft.LaunchRun) -> None:
    assert run.status == "finished"
    assert run.end == "distance"
    assert run.times.distance.values.tolist() == [5.0, 10.0, 20.0, 30.0, 60.0]
    assert (np.diff(run.times) > 0).all()
    assert run.times[-1] == run.scalars.end_time
    assert run.speeds[-1] == run.scalars.end_speed


def test_usual_distances_end_with_the_run(car: layshaft.Car) -> None:
    short = layshaft.launch(car, distance=12.0)
    assert short.times.distance.values.tolist() == [5.0, 10.0, 12.0]


def test_work_of_the_engine_is_gained_or_lost_somewhere(run: layshaft.LaunchRun) -> None:
    energy = dict(run.energy)
    work = energy.pop("engine_work")
    assert abs(energy.pop("energy_residual")) < ENERGY_TOLERANCE * work
    assert sum(energy.values()) == pytest.approx(work, rel=ENERGY_TOLERANCE)
    assert all(loss >= 0.0 for name, loss in energy.items() if name.endswith("_loss"))
    final = run.samples.isel(time=-1)
    assert float(final.engine_work) <= work


def test_every_sampled_variable_says_what_it_is(run: layshaft.LaunchRun) -> None:
    for name, variable in run.samples.variables.items():
        assert variable.attrs["units"], name
        assert variable.attrs["long_name"], name


def test_modes_carry_their_meanings(run: layshaft.LaunchRun) -> None:
    mode = run.samples.clutch_mode
    assert mode.dtype == np.int8
    meanings = mode.attrs["flag_meanings"].split()
    assert len(meanings) == len(mode.attrs["flag_values"])
    assert meanings[int(mode[-1])] == "stuck"


def test_slips_are_differences_of_speeds(car: layshaft.Car, run: layshaft.LaunchRun) -> None:
    data = run.samples
    scale = float(data.crank_speed.max())
    np.testing.assert_allclose(
        data.clutch_slip, data.crank_speed - data.bell_speed, atol=ROUND_OFF * scale
    )
    ratio = car["second.spur"] / car["second.pinion"]
    np.testing.assert_allclose(
        data.second_slip, data.bell_speed / ratio - data.shaft_speed, atol=ROUND_OFF * scale
    )


@pytest.mark.parametrize("part", ["clutch", "second", "rear_belt", "front_belt"])
def test_a_slipping_torque_never_creates_power(run: layshaft.LaunchRun, part: str) -> None:
    mode = run.samples[f"{part}_mode"].values
    slipping = np.isin(
        mode, [_core.mode_names.index(f"slip_{way}") for way in ("positive", "negative")]
    )
    power = (run.samples[f"{part}_torque"] * run.samples[f"{part}_slip"]).values[slipping]
    assert (power >= 0.0).all()


def test_shift_and_list_of_changes_agree(run: layshaft.LaunchRun) -> None:
    touches = [change.time for change in run.changes if change.part == "shoe_1" and change.now == 1]
    assert touches[0] == run.scalars.contact_time
    lets_go = next(change for change in run.changes if change.text == "first gear lets go")
    assert lets_go.time == run.scalars.let_go_time
    locks = next(change for change in run.changes if change.text == "drum locks: second gear")
    assert locks.time - touches[0] == run.scalars.hand_over
    assert len(run.changes) == run.scalars.mode_changes


def test_equal_shoes_are_told_as_one(run: layshaft.LaunchRun) -> None:
    told = [change.text for change in main_changes(run.changes)]
    assert told.count("both shoes touch the drum") == 1
    assert not any("shoe 1" in text or "shoe 2" in text for text in told)


def test_unequal_shoes_are_told_apart(car: layshaft.Car) -> None:
    run = layshaft.launch(car.replace({"two_speed.shoe_1.gap": car["two_speed.gap"] + 2e-4}))
    told = [change.text for change in main_changes(run.changes)]
    assert told.index("shoe 1 touches the drum") < told.index("shoe 2 touches the drum")


@pytest.mark.parametrize("part", _core.coupling_names)
def test_every_change_of_a_coupling_has_a_sentence(part: str) -> None:
    for was in _core.mode_names:
        for now in _core.mode_names:
            if was != now:
                assert sentence(part, was, now, one_way=False)
                assert sentence(part, was, now, one_way=True)


def test_samples_do_not_change_the_run(car: layshaft.Car, run: layshaft.LaunchRun) -> None:
    bare = layshaft.launch(car, sample_interval=0)
    assert bare.samples.sizes["time"] == 0
    assert bare.scalars.drop_attrs().identical(run.scalars.drop_attrs())
    assert bare.changes == run.changes


def test_text_with_units_is_the_same_number(car: layshaft.Car) -> None:
    text = layshaft.launch(
        car, distance="20 m", start_speed="36 km/h", sample_interval="5 ms", speeds=["54 km/h"]
    )
    plain = layshaft.launch(car, distance=20, start_speed=10.0, sample_interval=0.005, speeds=15.0)
    assert text.options == plain.options
    assert text.samples.identical(plain.samples)
    assert text.speed_times.speed.values.tolist() == [15.0]
    assert 0.0 < text.speed_times.item() < text.scalars.end_time.item()


def test_brake_pedal_stops_a_rolling_car(car: layshaft.Car) -> None:
    pedals = [(0.0, 0.0, 0.0), ("50 ms", 0.0, "50 %")]
    run = layshaft.launch(car, start_speed=10.0, longest_time=3.0, pedals=pedals)
    assert run.end == "longest_time"
    assert abs(run.scalars.end_speed.item()) < AT_REST
    assert run.energy["brake_loss"] > 0.0


def test_uphill_is_slower(car: layshaft.Car) -> None:
    flat, hill = (layshaft.launch(car, grade=grade, distance=20.0) for grade in (0.0, "10 %"))
    assert hill.scalars.end_time > flat.scalars.end_time
    weight = car["body.mass"] * 9.80665
    rise = 20.0 * 0.1
    # Rise over run is a slope: along the road the weight acts with its sine.
    assert hill.energy["grade_work"] == pytest.approx(weight * rise / np.hypot(1.0, 0.1), rel=1e-6)


def test_a_car_that_goes_over_says_so_and_is_kept(car: layshaft.Car) -> None:
    high = car.replace({"body.centre_height": "300 mm"})
    assert "front_lifts" in [code for _, code, _ in high.warnings()]
    with pytest.raises(layshaft.RunError, match="the car goes over after"):
        layshaft.launch(high)
    run = layshaft.launch(high, on_failure="return")
    assert run.status == "goes_over"
    assert [code for _, code, _ in run.warnings()] == ["wheelie"]
    assert run.scalars.peak_pitch >= np.radians(30.0)
    assert 0.0 < run.scalars.lifted_time <= run.scalars.end_time
    assert float(run.samples.front_axle_load.min()) > 0.0
    loads = run.samples.rear_axle_load + run.samples.front_axle_load
    weight = high["body.mass"] * 9.80665
    # Downforce of a car that has hardly moved comes on top: 0.02 m^2 at 10 m/s is 1.2 N.
    assert float(abs(loads - weight).max()) < 1.2


def test_a_run_that_stops_early_raises_and_keeps_what_it_has(car: layshaft.Car) -> None:
    with pytest.raises(layshaft.RunError, match="step budget") as caught:
        layshaft.launch(car, most_steps=200)
    part = caught.value.run
    assert part.end == "early"
    assert part.samples.sizes["time"] > 0
    returned = layshaft.launch(car, most_steps=200, on_failure="return")
    assert returned.message == part.message
    assert returned.samples.identical(part.samples)
    assert np.isnan(returned.times[-1])


@pytest.mark.parametrize(
    ("options", "error", "message"),
    [
        ({"distanc": 5.0}, TypeError, "'distance'"),
        ({"distance": "5 kg"}, ValueError, "must be a length"),
        ({"distance": -1.0}, ValueError, "distance"),
        ({"tolerance": float("nan")}, ValueError, "tolerance"),
        ({"pedals": [(0.0, 2.0, 0.0)]}, ValueError, "throttle"),
        ({"pedals": [(0.0, 1.0)]}, ValueError, "row"),
        ({"on_failure": "ignore"}, ValueError, "on_failure"),
        ({"speeds": [-1.0]}, ValueError, "speed_marks"),
    ],
)
def test_bad_options_are_refused_by_name(
    car: layshaft.Car, options: dict, error: type[Exception], message: str
) -> None:
    with pytest.raises(error, match=message):
        layshaft.launch(car, **options)


def test_options_survive_text_and_pickle() -> None:
    options = read_options(distance=1 / 3, speeds=[0.1, 0.2], pedals=[(0.1, 1.0, 0.0)])
    assert LaunchOptions.from_json(options.to_json()) == options
    assert pickle.loads(pickle.dumps(options)) == options


def test_tighter_tolerance_moves_the_times_less(car: layshaft.Car) -> None:
    times = [float(layshaft.launch(car, tolerance=tol).times[-1]) for tol in (1e-4, 1e-6, 1e-9)]
    assert abs(times[1] - times[2]) < abs(times[0] - times[2])


#: Where the tyres or the shoes grip little a shaft that was just fast enough slows down again, as
#: soon as the first shoe drags: shaft speed and gap at which that happens differ from car to car.
SLIPPERY = [
    {"two_speed.gap": 0.00423420677108252, "rear_tyre.friction_peak": 0.3563477540386586},
    {"two_speed.gap": 0.0048, "rear_tyre.friction_peak": 0.3},
    {"two_speed.gap": 0.0053, "rear_tyre.friction_peak": 0.5},
]


@pytest.mark.parametrize("friction", [0.0565, 0.1, 0.15])
@pytest.mark.parametrize("orientation", ["leading", "trailing"])
@pytest.mark.parametrize("number", range(len(SLIPPERY)))
def test_equal_shoes_move_at_the_same_instant(
    number: int, orientation: str, friction: float
) -> None:
    car = layshaft.Car(
        SLIPPERY[number]
        | {
            "two_speed.orientation": orientation,
            "two_speed.static_friction": friction,
            "two_speed.friction": 0.98 * friction,
            "two_speed.detent_ratio": 0.3,
            "front_tyre.friction_peak": SLIPPERY[number]["rear_tyre.friction_peak"],
        }
    )
    changes = layshaft.launch(car, distance=60.0).changes
    first, second = ([c.time for c in changes if f"shoe {shoe}" in c.text] for shoe in (1, 2))
    assert first
    assert first == second


def test_samples_are_taken_when_they_are_asked_for_and_change_no_bit() -> None:
    run = layshaft.launch(layshaft.demo_car(), distance=20.0)
    assert (run.status, run.doubtful, run.warnings()) == ("finished", False, ())
    assert repr(run)
    assert "samples" not in vars(run.plain)
    sampled = _core.launch(run.car._core, run.options.core())
    assert {name: each[1].item().hex() for name, each in run.plain.scalars.items()} == {
        name: float(value).hex() for name, value in sampled.scalars.items()
    }
    count = 1 + int(run.plain.scalars["end_time"][1] / run.options.sample_interval)
    assert len(run.plain.samples["time"][1]) == count
    sent = pickle.loads(pickle.dumps(layshaft.launch(run.car, distance=20.0)))
    assert sent.samples.identical(run.samples)
