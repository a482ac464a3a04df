"""What other programs set and read has the names, units and words of the Python package."""

from pathlib import Path

import layshaft
import pytest
from layshaft import _core
from layshaft.cli.main import app
from layshaft.quantities import units
from typer.testing import CliRunner

# The opening reached; `throttle` is an input here.
RENAMED = {"throttle_opening": "throttle"}

# A conversion is up to three roundings of half a unit in the last place.
ROUND_OFF = 4e-16


def test_outputs_are_the_samples_of_a_launch() -> None:
    samples = layshaft.launch(layshaft.demo_car(), distance=1.0).samples
    found = {}
    for variable in _core.variables():
        if variable.role == "output" and variable.name != "stopwatch":
            sample = samples[RENAMED.get(variable.name, variable.name)]
            found[sample.name] = (variable.unit, variable.meaning, " ".join(variable.choices))
    assert found == {
        name: (sample.units, sample.long_name, sample.attrs.get("flag_meanings", ""))
        for name, sample in samples.data_vars.items()
    }


@pytest.mark.parametrize("si_unit", units.QUANTITIES)
def test_usual_units_are_read_as_in_python(si_unit: str) -> None:
    quantity = units.QUANTITIES[si_unit]
    for spelling in (quantity.unit, *quantity.others, si_unit):
        text = f"12.34 {spelling}" if spelling != "1" else "12.34"
        exact = units.to_si(text, si_unit)
        assert _core.to_si(text, si_unit) == pytest.approx(exact, rel=ROUND_OFF), text


def test_the_lines_of_a_car_are_a_set_up_file(tmp_path: Path) -> None:
    car = layshaft.Car({"two_speed.shoe_2.gap": "4.71 mm", "front_axle": "one_way"})
    layshaft.write_car(car, tmp_path / "car.toml")
    words = ["car", str(tmp_path / "lines.toml"), "--car", str(tmp_path / "car.toml"), "--lines"]
    assert CliRunner().invoke(app, words).exit_code == 0
    assert _core.car_from_text((tmp_path / "lines.toml").read_text()) == car._core
    assert layshaft.read_car(tmp_path / "lines.toml") == car
