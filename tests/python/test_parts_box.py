"""The parts box: what meshes on one centre distance, and what it would do."""

import math
from pathlib import Path

import layshaft
import pytest
from layshaft.gear_chart import meshing_sets

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
