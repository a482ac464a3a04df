"""The car and the track of the tests: invented, and left as they are when the demo's change."""

from pathlib import Path

import layshaft

CAR_FILE, CLUB_FILE = (
    Path(__file__).with_name(name) for name in ("trial-car.toml", "trial-club.toml")
)
CAR = layshaft.read_car(CAR_FILE)
CLUB = layshaft.read_track(CLUB_FILE)
