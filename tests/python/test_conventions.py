"""netCDF files follow the CF conventions; tables have their units in their header."""

from pathlib import Path

import layshaft
import numpy as np
import pytest
import xarray
from layshaft import _core
from layshaft.quantities import units
from layshaft.setup import field_table

cf_units = pytest.importorskip("cf_units")
runner = pytest.importorskip("compliance_checker.runner")

#: Axes that fall, that neither rise nor fall, and that are words.
AXES = {
    "two_speed.gap": ["4.6 mm", "4.4 mm"],
    "first.pinion": [16, 18, 17],
    "two_speed.hold_in": ["spring", "detent"],
}


@pytest.fixture(scope="module")
def results() -> dict[str, xarray.Dataset]:
    car = layshaft.Car({"two_speed.gap": "4.65 mm"})
    run = layshaft.launch(car, distance=20.0, speeds=[5.0])
    table = layshaft.sweep(car, AXES, distance=20.0, speeds=[5.0])
    return {"run": run.to_dataset(), "samples": run.samples, "sweep": table}


def faults_of(path: Path) -> list[str]:
    suite = runner.CheckSuite()
    suite.load_all_available_checkers()
    scores, stopped = suite.run_all(suite.load_dataset(str(path)), ["cf:1.11"])["cf:1.11"]
    assert not stopped
    assert len(scores) > 20  # it looked
    return [message for score in scores if _is_low(score.value) for message in score.msgs]


def _is_low(value: object) -> bool:
    """Whether less was gained than could be: a full score may still carry a remark."""
    return value[0] < value[1] if isinstance(value, tuple) else value is False


@pytest.mark.filterwarnings("ignore")  # of the checker, not of this library
@pytest.mark.parametrize("kind", ["run", "sweep"])
def test_files_follow_the_conventions(
    results: dict[str, xarray.Dataset], kind: str, tmp_path: Path
) -> None:
    layshaft.save(results[kind], tmp_path / "result.nc")
    assert faults_of(tmp_path / "result.nc") == []


@pytest.mark.filterwarnings("ignore")
def test_the_checker_finds_a_fault(results: dict[str, xarray.Dataset], tmp_path: Path) -> None:
    spoilt = results["sweep"].copy()
    spoilt["shift_heat"] = spoilt.shift_heat.assign_attrs(units="calories a lap")
    layshaft.save(spoilt, tmp_path / "spoilt.nc")
    assert any("shift_heat" in fault for fault in faults_of(tmp_path / "spoilt.nc"))


@pytest.mark.parametrize("kind", ["run", "samples", "sweep"])
def test_a_file_comes_back_as_it_was(
    results: dict[str, xarray.Dataset], kind: str, tmp_path: Path
) -> None:
    before = results[kind].copy(deep=True)
    layshaft.save(results[kind], tmp_path / "result.nc")
    assert results[kind].identical(before)
    assert layshaft.load(tmp_path / "result.nc").identical(before)


def test_a_part_of_a_sweep_comes_back_too(
    results: dict[str, xarray.Dataset], tmp_path: Path
) -> None:
    part = results["sweep"].sel(two_speed_gap=0.0044, two_speed_hold_in="detent")
    layshaft.save(part, tmp_path / "part.nc")
    assert layshaft.load(tmp_path / "part.nc").identical(part)
    layshaft.save(part, tmp_path / "part.csv")
    table = layshaft.load(tmp_path / "part.csv")
    assert table.two_speed_gap.values.tolist() == [0.0044]
    assert table.two_speed_hold_in.values.tolist() == ["detent"]
    np.testing.assert_array_equal(table.shift_speed.squeeze(), part.shift_speed)


@pytest.mark.parametrize("unit", units.QUANTITIES)
def test_every_unit_is_one_of_udunits_and_of_the_same_size(unit: str) -> None:
    quantity = units.QUANTITIES[unit]
    one = units.from_si(1.0, unit, quantity.unit or "1")
    usual = {"degC": "celsius", "deg": "degree"}.get(quantity.unit, quantity.unit)
    known = cf_units.Unit(unit).convert(1.0, cf_units.Unit(usual or "1"))
    round_off = 1e-12  # of the other's conversion in doubles, relative to 1 SI unit
    assert one == pytest.approx(known, rel=round_off)


@pytest.mark.parametrize("kind", ["run", "sweep"])
def test_every_number_has_a_unit_and_every_variable_a_meaning(
    results: dict[str, xarray.Dataset], kind: str
) -> None:
    for name, variable in results[kind].variables.items():
        assert variable.attrs["long_name"], name
        assert variable.dtype == object or variable.attrs["units"] in units.QUANTITIES, name


def test_plain_names_of_settings_stay_apart(results: dict[str, xarray.Dataset]) -> None:
    paths = [*field_table.positions(), *field_table.pairs()]
    names = [field_table.column_of(path) for path in paths]
    assert all(name.isidentifier() for name in names)
    assert [field_table.path_of(name) for name in names] == paths
    names += [f"{name}_values" for name in names]
    of_results = {*results["sweep"].data_vars, *(name for name, _, _ in _core.lap_scalars)}
    assert not of_results & set(names)
    assert len(set(names)) == len(names)


def test_a_file_tells_of_the_car_and_the_program_alone(
    results: dict[str, xarray.Dataset], tmp_path: Path
) -> None:
    layshaft.save(results["run"], tmp_path / "result.nc")
    with xarray.open_dataset(tmp_path / "result.nc") as file:
        of_the_result = set(results["run"].attrs)
        assert set(file.attrs) - of_the_result == {
            "Conventions",
            "source",
            "history",
            "references",
            "comment",
        }
        assert file.attrs["history"] == f"Computed by layshaft {layshaft.__version__}"


@pytest.mark.parametrize("kind", ["samples", "sweep"])
def test_a_table_comes_back_with_its_values_and_units(
    results: dict[str, xarray.Dataset], kind: str, tmp_path: Path
) -> None:
    saved = results[kind]
    layshaft.save(saved, tmp_path / "result.csv")
    read = layshaft.load(tmp_path / "result.csv")
    assert set(read.variables) == set(saved.variables)
    for name, variable in saved.variables.items():
        assert read[name].dims == variable.dims
        if variable.dtype.kind in "fi":
            np.testing.assert_array_equal(read[name], variable)
            assert read[name].attrs["units"] == variable.attrs["units"]
        else:
            assert read[name].values.tolist() == variable.values.tolist()


def test_a_table_with_a_row_missing_is_refused(
    results: dict[str, xarray.Dataset], tmp_path: Path
) -> None:
    file = tmp_path / "result.csv"
    layshaft.save(results["sweep"], file)
    file.write_text("\n".join(file.read_text().splitlines()[:-1]) + "\n")
    with pytest.raises(ValueError, match="a row for each point of its axes"):
        layshaft.load(file)
