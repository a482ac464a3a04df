"""The parts box: what meshes on one centre distance, and what it would do."""

import math
from pathlib import Path

import layshaft
import pytest
from layshaft.mounting.gear_sets import meshing_sets
from layshaft.mounting.setting_moves import turns_in

#: Of plain arithmetic in doubles.
ROUND_OFF = 1e-12


def read(tmp_path: Path, text: str) -> layshaft.Parts:
    file = tmp_path / "parts.toml"
    file.write_text(text, encoding="utf-8")
    return layshaft.read_parts(file)


def test_parts_are_read_with_their_units(tmp_path: Path) -> None:
    text = (
        "[first]\npinions = [17, 16]\n[tyres]\nrear_diameters = ['74 mm', 0.073]\n"
        "[mesh]\nleast_backlash = '0.04 mm'\nmost_backlash = '0.2 mm'\n"
    )
    parts = read(tmp_path, text)
    assert parts.first_pinions == (16, 17)
    assert parts.rear_diameters == (0.073, 0.074)
    assert (parts.least_backlash, parts.most_backlash) == (0.00004, 0.0002)


def test_all_faults_come_at_once_with_their_lines(tmp_path: Path) -> None:
    text = (
        "[first]\npinions = [16, 16.5, 300]\nspurrs = [50]\n[tyres]\n"
        "rear_diameters = ['74 g', true]\n[slug]\nmasses = []\n"
    )
    with pytest.raises(layshaft.SetupError) as caught:
        read(tmp_path, text)
    assert [fault.line for fault in caught.value.faults] == [2, 2, 3, 5, 5, 6]
    told = str(caught.value)
    assert "first.spurs" in told
    assert "whole number" in told
    assert "length" in told


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("first = 3\n", "table of parts"),
        ("[first]\npinions = 16\n", "list"),
        ("[first]\npinions = []\n", "at least one part"),
        ("[first]\npinions = [16, 16]\n", "only once"),
        ("[mesh]\nleast_backlash = '0.5 mm'\nmost_backlash = '0.2 mm'\n", "exceed"),
    ],
)
def test_what_is_wrong_is_said(tmp_path: Path, text: str, part: str) -> None:
    with pytest.raises(layshaft.SetupError, match=part):
        read(tmp_path, text)


@pytest.fixture(scope="module")
def parts() -> layshaft.Parts:
    return layshaft.Parts(
        first_pinions=(15, 16, 17),
        first_spurs=(50, 51, 52),
        second_pinions=(21, 22),
        second_spurs=(44, 45, 46),
    )


def test_sets_share_their_tooth_sum_within_the_backlash(parts: layshaft.Parts) -> None:
    # One tooth more moves the centre by half a module, 0.4 mm, and with it the backlash by
    # 0.4 mm * 2 tan(20 deg) = 0.29 mm: more than 0.05 to 0.30 mm leaves, so sums must be equal.
    car = layshaft.demo_car()
    assert car["first.module"] == car["second.module"] == 0.0008
    sets = meshing_sets(car, parts)
    listed = {
        (z["first.spur"], z["first.pinion"], z["second.spur"], z["second.pinion"]) for z in sets
    }
    expected = {
        (s1, p1, s2, p2)
        for s1 in parts.first_spurs
        for p1 in parts.first_pinions
        for s2 in parts.second_spurs
        for p2 in parts.second_pinions
        if s1 + p1 == s2 + p2
    }
    assert listed == expected


def test_wide_backlash_lets_unequal_sums_mesh(parts: layshaft.Parts) -> None:
    car = layshaft.demo_car()
    wide = layshaft.Parts(
        first_pinions=(17,), first_spurs=(50,), second_pinions=(22,), second_spurs=(44,),
        least_backlash=0.02e-3, most_backlash=0.5e-3,
    )  # fmt: skip
    assert len(meshing_sets(car, wide)) == 1
    chart = layshaft.mesh(car, wide)
    for gear in ("first", "second"):
        play = chart[f"{gear}_backlash"].item()
        assert wide.least_backlash <= play <= wide.most_backlash
    # 67 teeth in first and 66 in second, .4 mm less of centre distance: by that, times twice the
    # tangent of a working angle of 20 to 24 degrees, more play.
    more = chart.second_backlash.item() - chart.first_backlash.item()
    low, high = (0.8e-3 * math.tan(math.radians(angle)) for angle in (20.0, 24.0))
    assert low < more < high


def test_nothing_that_meshes_is_said(parts: layshaft.Parts) -> None:
    bad = layshaft.Parts(first_pinions=(12,), first_spurs=(50,))
    with pytest.raises(ValueError, match="fit one centre distance"):
        layshaft.mesh(layshaft.demo_car(), bad)


def test_ratios_rollout_and_speed_are_plain_arithmetic(parts: layshaft.Parts) -> None:
    car = layshaft.demo_car()
    chart = layshaft.mesh(car, parts, engine_speeds=["30 krpm"])
    belt = car["belts.rear.out_teeth"] / car["belts.rear.in_teeth"]
    for i in range(chart.sizes["set"]):
        each = chart.isel(set=i)
        ratio = each.first_spur.item() / each.first_pinion.item()
        way = 2 * math.pi * car["rear_tyre.radius"] / (ratio * belt)
        assert each.first_rollout.item() == pytest.approx(way, rel=ROUND_OFF)
        # 30 000 turns a minute are 500 a second.
        assert each.first_speed.item() == pytest.approx(500.0 * way, rel=ROUND_OFF)
        step = ratio / (each.second_spur.item() / each.second_pinion.item())
        assert each.speed_drop.item() == pytest.approx(1.0 - 1.0 / step, rel=ROUND_OFF)
        assert step > 1.0


def test_tread_speeds_that_agree_circulate_nothing() -> None:
    car = layshaft.demo_car()
    rear_ratio = car["belts.rear.out_teeth"] / car["belts.rear.in_teeth"]
    front_ratio = car["belts.front.out_teeth"] / car["belts.front.in_teeth"]
    rear = 0.073
    alike = layshaft.Parts(
        rear_diameters=(rear,), front_diameters=(rear * front_ratio / rear_ratio,)
    )
    (pair,) = layshaft.tyre_pairs(car, alike)
    assert pair.lead == pytest.approx(0.0, abs=ROUND_OFF)
    assert pair.force == pytest.approx(0.0, abs=1e-9)


def test_a_larger_front_tyre_pulls_and_a_one_way_lets_a_smaller_run_free() -> None:
    sizes = layshaft.Parts(rear_diameters=(0.073,), front_diameters=(0.066, 0.071))
    pairs = {
        (kind, pair.front_diameter): pair
        for kind in ("solid", "one_way")
        for pair in layshaft.tyre_pairs(layshaft.Car({"front_axle": kind}), sizes)
    }
    for kind in ("solid", "one_way"):
        assert pairs[kind, 0.071].lead > 0.0
        assert pairs[kind, 0.071].force > 0.0
    assert pairs["solid", 0.066].force > 0.0
    assert pairs["one_way", 0.066].force == 0.0


#: Axles whose stiffness and grip have round numbers: with W the weight, 24.516625 N, the rear has
#: 20 * .6 W = 12 W of force per slip and 1.5 * .6 W = .9 W of grip, the front 10 W and .48 W.
_PAIR = {
    "body.mass": 2.5,
    "body.front_share": 0.4,
    "rear_tyre.stiffness_factor": 20.0,
    "front_tyre.stiffness_factor": 25.0,
    "rear_tyre.friction_peak": 1.5,
    "front_tyre.friction_peak": 1.2,
    "rear_tyre.load_sensitivity": 0.0,
    "front_tyre.load_sensitivity": 0.0,
    "belts.middle.in_teeth": 20,
    "belts.middle.out_teeth": 21,
}
_WEIGHT = 2.5 * 9.80665


def _one_pair(front: float, **settings: object) -> object:
    """Return the pair of a front tyre of so many times the diameter that leads by nothing."""
    # 21/20 * 42/18 = 2.45 turns of the shaft for one of the front, 45/18 = 2.5 of the rear axle.
    sizes = layshaft.Parts(rear_diameters=(0.0735,), front_diameters=(0.0735 * 0.98 * front,))
    (pair,) = layshaft.tyre_pairs(layshaft.Car(_PAIR | settings), sizes)
    return pair


def test_the_lead_is_shared_by_two_springs_in_series() -> None:
    # Both axles carry one force, so that their slips, F/12 W and F/10 W, add up to the lead:
    # F = .02 W 120/22; over a metre the treads slide 20 mm between them.
    for pair in (_one_pair(1.02), _one_pair(0.98)):
        assert abs(pair.lead) == pytest.approx(0.02, rel=1e-9)
        assert pair.force == pytest.approx(0.02 * _WEIGHT * 120.0 / 22.0, rel=1e-9)
        assert pair.loss_per_metre == pytest.approx(0.053490818, rel=1e-6)
    assert _one_pair(1.02).lead > 0.0 > _one_pair(0.98).lead
    assert _one_pair(1.02).text == "front 2.0% faster: it pulls, the rear holds back"
    assert _one_pair(0.98).text == "rear 2.0% faster: it pushes, the front holds back"


def test_neither_axle_holds_more_than_its_grip() -> None:
    # .12 W 120/22 = .65 W is more than the .48 W of the front, less than the .9 W of the rear.
    assert _one_pair(1.12).force == pytest.approx(0.48 * _WEIGHT, rel=1e-9)
    # A rear of friction .5 holds .3 W.
    slippery = _one_pair(1.12, **{"rear_tyre.friction_peak": 0.5})
    assert slippery.force == pytest.approx(0.3 * _WEIGHT, rel=1e-9)
    assert slippery.loss_per_metre == pytest.approx(0.12 * 0.3 * _WEIGHT, rel=1e-9)


def test_grip_falls_with_the_load() -> None:
    # The front carries .4 W, twice its reference load: of 1.2 it loses 0.1, a tenth for each
    # reference load above one, and holds .4 W (1.2 - .12).
    heavy = {"front_tyre.load_sensitivity": 0.1, "front_tyre.reference_load": 0.2 * _WEIGHT}
    assert _one_pair(1.12, **heavy).force == pytest.approx(0.4 * 1.08 * _WEIGHT, rel=1e-9)


def test_tyres_of_the_car_are_as_worn_as_they_are() -> None:
    worn = {"rear_tyre.radius": 0.0365, "rear_tyre.wear": 0.001, "front_tyre.radius": 0.0345,
            "front_tyre.wear": 0.0005}  # fmt: skip
    (pair,) = layshaft.tyre_pairs(layshaft.Car(_PAIR | worn))
    assert (pair.rear_diameter, pair.front_diameter) == pytest.approx((0.071, 0.068))
    assert (pair.rear_ratio, pair.front_ratio) == pytest.approx((2.5, 2.45))
    assert pair.lead == pytest.approx(0.068 / 2.45 / (0.071 / 2.5) - 1.0, rel=1e-9)


def test_pairs_come_with_the_least_lead_first() -> None:
    sizes = layshaft.Parts(rear_diameters=(0.073,), front_diameters=(0.066, 0.068, 0.071))
    leads = [abs(pair.lead) for pair in layshaft.tyre_pairs(layshaft.demo_car(), sizes)]
    assert leads == sorted(leads)
    assert leads[0] < leads[-1]


def test_the_rollout_is_that_of_the_worn_rear_tyre() -> None:
    worn = {"rear_tyre.radius": 0.037, "rear_tyre.wear": 0.001, "front_tyre.wear": 0.002}
    chart = layshaft.mesh(layshaft.demo_car().replace(worn), layshaft.Parts())
    # 2 pi 36 mm over 50/17 of first gear, or 45/22 of second, and 45/18 of the belt.
    assert chart.first_rollout.item() == pytest.approx(2 * math.pi * 0.0144 * 17 / 50, rel=1e-12)
    assert chart.second_rollout.item() == pytest.approx(2 * math.pi * 0.0144 * 22 / 45, rel=1e-12)
    # A turn of the engine in first over one in second is 22 * 50 to 17 * 45.
    assert chart.step.item() == pytest.approx(1100.0 / 765.0, rel=1e-12)
    assert chart.speed_drop.item() == pytest.approx(335.0 / 1100.0, rel=1e-12)


def test_backlash_and_contact_are_those_in_the_middle_of_the_centres() -> None:
    alike = layshaft.Parts(
        first_spurs=(48,), first_pinions=(18,), second_spurs=(45,), second_pinions=(21,),
        least_backlash=0.05e-3, most_backlash=0.25e-3,
    )  # fmt: skip
    tooth = {"module": 0.8e-3, "pressure_angle": math.radians(20.0), "addendum": 1.0}
    shape = {f"{gear}.{name}": v for gear in ("first", "second") for name, v in tooth.items()}
    chart = layshaft.mesh(layshaft.Car(shape), alike)
    cut = math.radians(20.0)

    def working_angle(centre: float) -> float:
        return math.acos(33.0 * 0.8e-3 * math.cos(cut) / centre)  # 66 teeth: 26.4 mm when tight

    def play(centre: float) -> float:
        angle = working_angle(centre)
        return 2.0 * centre * (math.tan(angle) - angle - math.tan(cut) + cut)

    low, high = chart.lowest_centre.item(), chart.highest_centre.item()
    assert play(low) == pytest.approx(0.05e-3, rel=1e-9)
    assert play(high) == pytest.approx(0.25e-3, rel=1e-9)
    middle = 0.5 * (low + high)
    for gear, teeth in (("first", (48, 18)), ("second", (45, 21))):
        assert chart[f"{gear}_backlash"].item() == pytest.approx(play(middle), rel=1e-9)
        # In modules: what the tips, one above the pitch circles, reach along the line of action.
        reach = sum(math.sqrt((z / 2 + 1) ** 2 - (z / 2 * math.cos(cut)) ** 2) for z in teeth)
        path = reach - middle / 0.8e-3 * math.sin(working_angle(middle))
        assert chart[f"{gear}_contact"].item() == pytest.approx(path / (math.pi * math.cos(cut)))


def test_turns_are_counted_in_the_way_the_reading_goes() -> None:
    falls, rises = (
        layshaft.Car({"two_speed.reading_direction": way, "two_speed.screw_pitch": 0.5e-3})
        for way in ("falls_as_screw_goes_in", "rises_as_screw_goes_in")
    )
    # .2 mm at .5 mm a turn; positive is in.
    assert turns_in(falls, 4.8e-3, 4.6e-3) == pytest.approx(0.4)
    assert turns_in(rises, 4.8e-3, 4.6e-3) == pytest.approx(-0.4)
