"""The page on the demo car: what each setting decides, beside the former demo car."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import layshaft
import numpy as np
from text import ROOT, plain, table

_HEAD = """# What the settings decide on the demo car

Computed when this page was built. The demo car and its tracks are invented, inside what is common
for the class. The first two tables are of the car with its two engines, on its two tracks. The last
is of the car and the tight track that stood here before, and now serve the tests: there the tyres
limited and not the gear, so that hardly a setting decided anything.

One setting is varied at a time. `60 m` is a standing start at full throttle and `peak` the highest
engine speed of it; `fuel` and the heats of clutch and shoes are those of a lap of the club track.

"""
_VARIED: dict[str, tuple[str, ...]] = {
    "two_speed.gap": ("3.6 mm", "3.8 mm", "4.0 mm", "4.2 mm", "4.5 mm", "4.8 mm", "5.2 mm"),
    "first.pinion": ("15", "16", "17", "18", "19"),
    "second.pinion": ("21", "22", "23", "24"),
    "clutch.axial.nut_turns": ("1.5 turns", "2.1 turns", "2.7 turns"),
    "two_speed.slug_mass": ("0.6 g", "1 g", "1.4 g"),
}
_HEADS = ("setting", "60 m s", "peak krpm", "club s", "fast s", "fuel g", "clutch J", "shoes J")
_KRPM = 60e-3 / (2.0 * np.pi)


def write_demo(out: Path) -> None:
    """Write the page."""
    tests = ROOT / "tests"
    former = layshaft.read_car(tests / "trial-car.toml")
    tracks = layshaft.demo_track("club"), layshaft.demo_track("fast")
    text = _HEAD
    for engine in ("piped", "broad"):
        rows = _rows(layshaft.demo_car(engine), tracks)
        text += f"## The {engine} engine\n\n{_averages(layshaft.demo_car(engine), tracks)}\n\n"
        text += table(_HEADS, rows) + "\n"
    tracks = layshaft.read_track(tests / "trial-club.toml"), layshaft.demo_track("fast")
    text += f"## The former demo car\n\n{_averages(former, tracks)}\n\n"
    text += table(_HEADS, _rows(former, tracks)) + "\n"
    (out / "demo.md").write_text(text, encoding="utf-8")


def _averages(car: layshaft.Car, tracks: tuple[layshaft.Track, ...]) -> str:
    told = (
        f"{track.name}: {track.length:.0f} m at {track.length / lap.time * 3.6:.0f} km/h"
        for track in tracks
        for lap in (layshaft.lap(car, track),)
    )
    return plain("; ".join(told) + ".")


def _rows(car: layshaft.Car, tracks: tuple[layshaft.Track, ...]) -> Iterator[tuple[str, ...]]:
    for path, values in _VARIED.items():
        axis = {path: [int(value) if value.isdigit() else value for value in values]}
        launches = layshaft.sweep(car, axis, distance="60 m", distances=["60 m"])
        laps = [layshaft.sweep(car, axis, track=track) for track in tracks]
        columns: list[tuple[np.ndarray, Callable[[Any], str]]] = [
            (launches.time_to_distance.values[:, 0], "{:.3f}".format),
            (launches.peak_engine_speed.values * _KRPM, "{:.1f}".format),
            *((lap.lap_time.values, "{:.3f}".format) for lap in laps),
            (laps[0].fuel.values * 1e3, "{:.2f}".format),
            (laps[0].clutch_loss.values, "{:z.0f}".format),
            (laps[0].shoe_loss.values, "{:z.0f}".format),
        ]
        for k, value in enumerate(values):
            name = path.replace("_", " ").replace(".", " ")
            yield plain(f"{name} {value}"), *(show(column[k]) for column, show in columns)
