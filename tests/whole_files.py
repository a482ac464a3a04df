"""One whole file of each kind that layshaft reads back."""

from pathlib import Path

import layshaft


def write_each(folder: Path) -> Path:
    """Write a launch, a sweep saved and one written as it ran, and what was learned."""
    car = layshaft.demo_car()
    axes = {"two_speed.gap": ["4.4 mm", "4.6 mm"]}
    layshaft.launch(car, distance=2.0).save(folder / "run.nc")
    table = layshaft.sweep(car, axes, distance=2.0)
    layshaft.save(table, folder / "sweep.nc")
    layshaft.save(table, folder / "sweep.csv")
    layshaft.sweep(car, axes, distance=2.0, file=folder / "runs.nc")
    heard = layshaft.observe("shift_speed", "55 km/h", changes={"two_speed.gap": "4.8 mm"})
    layshaft.learn(car, [heard]).save(folder / "learned.json")
    return folder
