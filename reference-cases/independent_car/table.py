"""The table of expected values of a launch case, as `expected.csv` holds it.

Imports nothing of the library it checks. Quantities are named as the library names its results.
"""

import argparse
import copy
import csv
import tomllib
from pathlib import Path

from drivetrain import BACK, LOSSES, NODES, OPEN, STATES, STUCK, UNITS
from run import Launch

#: Name of a state among the samples, where it differs.
LABELS = {name: f"{name}_speed" for name in NODES} | {
    "clutch_surface": "clutch_lining_temperature",
    "clutch_body": "clutch_bell_temperature",
    "shoe_surface": "shoe_lining_temperature",
    "shoe_body": "drum_temperature",
    "distance": "car_distance",
}


def state_at(state, name):
    return state[STATES.index(name)]


def moment_rows(name, moment):
    return [
        (f"{name}_time", "s", moment.time),
        (f"{name}_speed", "m/s", state_at(moment.state, "car")),
        (f"{name}_engine_speed", "rad/s", state_at(moment.state, "crank")),
    ]


def heard_rows(run, release, lock):
    """Return the engine's peak between first gear's end and the lock, and its low behind that."""
    peak = [turn for turn in run.turns if release.time < turn.time < lock.time]
    low = [turn for turn in run.turns if turn.time > lock.time]
    rows = []
    for turn in peak[:1]:
        rows += [
            ("shift_time", "s", turn.time),
            ("shift_speed", "m/s", state_at(turn.state, "car")),
            ("shift_distance", "m", state_at(turn.state, "distance")),
            ("engine_speed_before", "rad/s", state_at(turn.state, "crank")),
        ]
    for turn in low[:1]:
        rows += [
            ("low_time", "s", turn.time),
            ("low_speed", "m/s", state_at(turn.state, "car")),
            ("engine_speed_after", "rad/s", state_at(turn.state, "crank")),
        ]
    return rows


def shift_rows(run):
    """Return the hand-over that led to the first lock-up of the drum; nothing without one."""
    contact = release = lock = None
    for change in run.changes:
        if (change.part, change.was) == ("second", OPEN):
            contact = change
        if change.part == "first" and change.was == STUCK:
            release = change
        if change.part == "second" and change.now in (STUCK, BACK) and contact:
            lock = change
            break
    if lock is None:
        return []
    heat = state_at(lock.state, "shoe_loss") - state_at(contact.state, "shoe_loss")
    return [
        *moment_rows("contact", contact),
        ("contact_shaft_speed", "rad/s", state_at(contact.state, "shaft")),
        *moment_rows("let_go", release),
        *moment_rows("lock", lock),
        ("hand_over", "s", lock.time - contact.time),
        *heard_rows(run, release, lock),
        ("shift_heat", "J", heat),
    ]


def end_rows(run):
    """Return speed, distance, fuel and energies at the end."""
    gained = run.car.inertia / 2 * (run.state[:6] ** 2 - run.start[:6] ** 2)
    named = ("distance", "fuel", "engine_work", *LOSSES)
    return [
        ("end_time", "s", run.time),
        ("end_speed", "m/s", state_at(run.state, "car")),
        ("car_energy", "J", gained[5]),
        ("rotating_energy", "J", gained[:5].sum()),
        *((f"end_{name}" if name == "distance" else name, UNITS[name], state_at(run.state, name))
          for name in named),
    ]  # fmt: skip


def sample_rows(run):
    """Return the state of the car at every sample; temperatures from absolute zero."""
    air = run.car.setup["air"]["temperature"]
    rows = []
    for time, state in run.samples.items():
        for name, value in zip(STATES, state, strict=True):
            unit = UNITS[name]
            label = LABELS.get(name, name)
            rows.append((f"at {time:g} s: {label}", unit, value + air * (unit == "K")))
    return rows


def expected_rows(run):
    """Return rows (quantity, unit, value): changes, marks, shift, end, samples."""
    rows = [
        (f"change {number}: {change.part} {change.was} to {change.now}", "s", change.time)
        for number, change in enumerate(run.changes, 1)
    ]
    for mark in run.options["distances"]:
        if mark in run.marks:
            time, state = run.marks[mark]
            rows.append((f"time to {mark:g} m", "s", time))
            rows.append((f"speed at {mark:g} m", "m/s", state_at(state, "car")))
    return rows + shift_rows(run) + end_rows(run) + sample_rows(run)


def energy_residual(run):
    """Engine work less all gains and losses [J]."""
    energy = [run.car.inertia @ y[:6] ** 2 / 2 for y in (run.start, run.state)]
    spent = sum(state_at(run.state, name) for name in LOSSES)
    return state_at(run.state, "engine_work") - spent - energy[1] + energy[0]


def read_setup(folder, case):
    """Read the set-up of a case with its changes put in."""
    setup = copy.deepcopy(tomllib.loads((folder / case["car"]).read_text()))
    for path, value in case.get("changes", {}).items():
        *sections, name = path.split(".")
        section = setup
        for key in sections:
            section = section[key]
        section[name] = value
    return setup


def make_expected(folder):
    """Run the case of a folder and write its expected.csv, or the file named on the line."""
    folder = Path(folder)
    parser = argparse.ArgumentParser(description="Write the expected values of this case.")
    parser.add_argument("target", nargs="?", type=Path, default=folder / "expected.csv")
    parser.add_argument("--tolerance", type=float, default=1e-13, help="of a step, relative")
    arguments = parser.parse_args()
    case = tomllib.loads((folder / "case.toml").read_text())
    run = Launch(read_setup(folder, case), case["options"], arguments.tolerance).run()
    turned_over = abs(state_at(run.state, "engine_work")) + run.car.inertia @ run.start[:6] ** 2
    if not abs(energy_residual(run)) < 1e3 * arguments.tolerance * turned_over:
        raise ArithmeticError(f"energy is missing: {energy_residual(run)} J")
    with arguments.target.open("w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(("quantity", "unit", "value"))
        table.writerows((name, unit, f"{value:.15g}") for name, unit, value in expected_rows(run))
