"""Cars whose parts take and let go by turns: what is true is told, what is not does not happen."""

import collections

import layshaft
import trial
from layshaft.runs.judder import judder_warnings

#: A light stiff front wheel behind a heavy bell, let roll out in first gear (invented).
ROLLS_OUT = trial.CAR.replace(
    {
        "engine.power_scale": 1.91,
        "engine.idle_speed": "3121 rpm",
        "engine.inertia": 3.01e-6,
        "clutch.design": "thrown_shoes",
        "clutch.bell_inertia": 1.35e-4,
        "clutch.thrown_shoes.shoe_mass": "28.4 g",
        "clutch.thrown_shoes.spring_rate": 67580.75534112887,
        "shafts.drag": 0.284,
        "belts.middle.in_teeth": 107,
        "belts.middle.out_teeth": 9,
        "belts.front.in_teeth": 58,
        "belts.front.out_teeth": 27,
        "rear_tyre.stiffness_factor": 9.265966811921189,
        "rear_tyre.relaxation": 0.31934096377285187,
        "front_tyre.radius": 0.18414612736548855,
        "front_tyre.relaxation": 0.002077025465318929,
        "front_tyre.inertia": 1.3793723884613866e-06,
        "body.mass": 4.535460182692617,
    }
)
#: One light flyweight, which bites only where the engine has no torque left (invented).
BITES_TOO_LATE = trial.CAR.replace(
    {
        "engine.drag_slope": 0.0006311850399448484,
        "clutch.bell_inertia": 2.6321192798334007e-07,
        "clutch.axial.flyweight_count": 1,
        "clutch.axial.flyweight_mass": 0.00027945930656338955,
        "clutch.axial.flyweight_radius": 0.006333899159470594,
        "clutch.axial.lever_ratio": 6.527030794294661,
        "clutch.axial.force_at_zero_turns": 165.33838766742647,
        "clutch.axial.spring_rate": 5937.686437651165,
        "clutch.axial.facing_outer_radius": 0.04295914469485666,
        "first.spur": 162,
        "first.pinion": 12,
        "second.spur": 20,
        "shafts.drum_inertia": 2.5465501898224287e-06,
        "belts.rear.in_teeth": 12,
        "belts.rear.out_teeth": 18,
        "belts.rear.pitch": 0.0023056571117354733,
        "belts.front.out_teeth": 48,
        "rear_tyre.radius": 0.10913576412500174,
        "rear_tyre.stiffness_factor": 69.44022501502997,
        "rear_tyre.relaxation": 0.04028965521114692,
        "front_tyre.radius": 0.1188771826327057,
        "front_tyre.shape": 1.5238842294645636,
        "front_tyre.curvature": -15.954289596134128,
        "driver.response_time": 0.008304092703550064,
        "driver.slip_target": 0.007325908256080878,
    }
)


def test_a_one_way_bearing_does_not_take_and_let_go_for_nothing():
    """Bell and wheels slow down together, pressed by next to nothing: first gear holds."""
    run = layshaft.launch(
        ROLLS_OUT, start_speed=0.117, pedals=[(3.4, 0.665, 0.0)], longest_time=1.0
    )
    fine = layshaft.launch(
        ROLLS_OUT,
        start_speed=0.117,
        pedals=[(3.4, 0.665, 0.0)],
        longest_time=1.0,
        tolerance=1e-9,
    )

    assert [change.text for change in run.changes] == [change.text for change in fine.changes]


def test_nor_does_it_at_the_tolerance_of_laps() -> None:
    """A guard's noise follows the tolerance, and must not reach so far."""
    runs = [
        layshaft.launch(
            ROLLS_OUT,
            start_speed=0.117,
            pedals=[(3.4, 0.665, 0.0)],
            longest_time=1.0,
            tolerance=tolerance,
        )
        for tolerance in (1e-5, 1e-9)
    ]
    loose, fine = ([each.text for each in run.changes if each.part == "first"] for run in runs)

    assert fine
    assert loose == fine


def test_an_engine_that_stays_where_its_clutch_bites_is_told():
    """The clutch bites at what speed the engine reaches without load, so the car judders."""
    run = layshaft.launch(BITES_TOO_LATE, longest_time=5.0, most_steps=20_000, on_failure="return")
    ((section, _code, sentence),) = (row for row in run.warnings() if row[1] == "judders")

    assert section == "clutch"
    assert "likely the engine stays" in sentence
    assert "let it bite earlier" in sentence
    bites = [c.time for c in run.changes if c.text == "engine clutch begins to press"]
    most = max(sum(at <= other < at + 1.0 for other in bites) for at in bites)
    assert f"{most} times in a second" in sentence


def test_a_judder_is_what_no_driver_asks_for():
    """The pedal may shift up and down ten times a second."""
    Change = collections.namedtuple("Change", "time part text")
    slow = [Change(0.1 * k, "second", "drum locks") for k in range(100)]
    fast = [Change(0.01 * k, "rear_belt", "rear belt slips") for k in range(100)]

    assert judder_warnings(slow) == ()
    ((section, _, sentence),) = judder_warnings(slow + fast)
    assert section == "belts.rear"
    assert "100 times in a second from 0.0 s" in sentence
