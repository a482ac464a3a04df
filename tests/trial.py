"""The car and the track of the tests: invented, and left as they are when the demo's change."""

from pathlib import Path

import layshaft

CAR = layshaft.read_car(Path(__file__).with_name("trial-car.toml"))
CLUB = layshaft.read_track(Path(__file__).with_name("trial-club.toml"))
