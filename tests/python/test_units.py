"""Text with a unit becomes the SI number nearest to what it says, and back."""

import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from layshaft._core import Field
from layshaft.quantities import units, usual_units
from layshaft.setup import field_table

# Factors by definition: inch and pound (1959 agreement), degree Celsius, standard litre.
TEXTS = [
    ("4.3 mm", "m", 4.3e-3),
    ("4.3mm", "m", 4.3e-3),
    ("  -4.3e0\tmm ", "m", -4.3e-3),
    ("4.3\N{NO-BREAK SPACE}mm", "m", 4.3e-3),
    ("1 in", "m", 0.0254),
    ("6 g", "kg", 6e-3),
    ("1 lb", "kg", 0.45359237),
    ("60 rpm", "rad/s", 2.0 * np.pi),
    ("30 krpm", "rad/s", 1000.0 * np.pi),
    ("36 km/h", "m/s", 10.0),
    ("180 deg", "rad", np.pi),
    ("180°", "rad", np.pi),
    ("90 deg", "turn", 0.25),
    ("2.13 turns", "turn", 2.13),
    ("1 turn", "rad", 2.0 * np.pi),
    ("25 degC", "K", 298.15),
    ("25 °C", "K", 298.15),
    ("77 degF", "K", 298.15),
    ("3.5 cm3", "m^3", 3.5e-6),
    ("3.5 cm³", "m^3", 3.5e-6),
    ("3.5 cc", "m^3", 3.5e-6),
    ("3.5 ml", "m^3", 3.5e-6),
    ("1013.25 hPa", "Pa", 101325.0),
    ("1 bar", "Pa", 1e5),
    ("45 N/mm", "N/m", 45e3),
    ("140 g cm^2", "kg*m^2", 1.4e-5),
    ("140 g·cm²", "kg*m^2", 1.4e-5),
    ("140 g * cm2", "kg*m^2", 1.4e-5),
    ("50 %", "1", 0.5),
    ("0.5", "1", 0.5),
    ("1 mNm", "N*m", 1e-3),
    ("150 cm^2", "m^2", 0.015),
    ("17.5 MJ/kg", "J/kg", 17.5e6),
    ("8 J/degC", "J/K", 8.0),
    ("40 ms", "s", 0.04),
    # An angle may be left out where the field's unit leaves it out: 1 mN*m over 1000 rpm.
    ("1 mN*m/krpm", "N*m*s", 1e-3 / (1000.0 * np.pi / 30.0)),
]


@pytest.mark.parametrize(("text", "unit", "expected"), TEXTS)
def test_text_with_a_unit_is_the_number_it_says(text: str, unit: str, expected: float) -> None:
    # Decimal factors are exact; pi is rounded once more in the expected value (2 ulp).
    assert units.to_si(text, unit) == pytest.approx(expected, rel=2.0**-51, abs=0.0)


REFUSED = [
    ("4.3 g", "m", '"g" is no unit of length'),
    ("4.3", "m", "it has no unit"),
    ("4.3 mmm", "m", '"mmm" is not a known unit'),
    ("4,3 mm", "m", "write 4.3 for 4,3: a number has a decimal point, no comma"),
    ("mm", "m", "it is not a number with a unit"),
    ("", "m", "it is not a number with a unit"),
    ("nan mm", "m", "it is not a number with a unit"),
    ("1e999 mm", "m", "it is too great"),
    ("2*3 mm", "m", '"*3 mm" is not a unit'),
    ("4.3 (mm", "m", '"(mm" is not a unit'),
    # Turning is not a frequency, and an angle is not a ratio.
    ("100 Hz", "rad/s", '"Hz" is no unit of speed of turning'),
    ("5 deg", "1", '"deg" is no unit of ratio'),
    ("5 %", "rad", '"%" is no unit of angle'),
    ("25 C", "K", '"C" is not a known unit'),
]


@pytest.mark.parametrize(("text", "unit", "reason"), REFUSED)
def test_what_is_no_value_of_the_quantity_is_refused_with_the_reason(
    text: str, unit: str, reason: str
) -> None:
    expected = f"must be {units.expectation(unit)} ({reason})"
    with pytest.raises(ValueError, match=f"^{re.escape(expected)}$"):
        units.to_si(text, unit)


def test_every_unit_of_the_field_table_is_known() -> None:
    curve = field_table._core.torque_curve_field()
    used = {field.unit for field in field_table.fields()} | {curve.x_unit, curve.y_unit}
    assert used <= set(units.QUANTITIES)


@pytest.mark.parametrize("unit", units.QUANTITIES)
def test_usual_units_measure_their_quantity(unit: str) -> None:
    quantity = units.QUANTITIES[unit]
    assert units.to_si(quantity.example, unit) > 0.0
    for usual in (quantity.unit, *quantity.others):
        assert units.to_si(f"300 {usual}", unit) > 0.0


@given(unit=st.sampled_from(sorted(units.QUANTITIES)), value=st.floats(-1e12, 1e12))
def test_written_text_reads_back_as_the_same_number(unit: str, value: float) -> None:
    text = units.si_text(value, unit)
    # -0.0 has no counterpart on a scale with an offset.
    assert units.to_si(text, unit).hex() == value.hex() or (unit == "K" and value == 0.0)


@given(field=st.sampled_from(field_table.fields()), share=st.floats(0.0, 1.0))
def test_every_value_of_every_field_is_written_exactly(field: Field, share: float) -> None:
    value = field.minimum + share * (field.maximum - field.minimum)
    assert units.to_si(units.si_text(value, field.unit), field.unit).hex() == value.hex()


def test_written_text_has_no_more_digits_than_needed() -> None:
    assert units.si_text(4.3e-3, "m") == "4.3 mm"
    assert units.si_text(2.55, "kg") == "2550 g"
    assert units.si_text(423.15, "K") == "150 degC"
    assert units.si_text(1e-12, "m") == "1e-9 mm"
    assert units.si_text(0.0, "m") == "0 mm"
    assert units.si_text(-0.0, "m") == "-0 mm"
    assert units.si_text(1047.1975511965977, "rad/s", "krpm") == "10 krpm"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("4,6mm", "write 4.6 for 4,6"),
        ("4,6 mm", "write 4.6 for 4,6"),
        ("-0,25 mm", "write -0.25 for -0,25"),
        ("4,6", "write 4.6 for 4,6"),
        ("30,000 mm", "write 30000 or 30.000 for 30,000"),
    ],
)
def test_a_decimal_comma_is_named(text: str, told: str) -> None:
    with pytest.raises(ValueError, match=rf"\({re.escape(told)}: a number has a decimal point"):
        units.to_si(text, "m")


def test_a_bound_is_rounded_to_the_inside() -> None:
    assert units.bound_text(0.18, "rad", is_minimum=True) == "10.3133 deg"  # 10.31324 deg
    assert units.bound_text(0.18, "rad", is_minimum=False) == "10.3132 deg"
    assert units.bound_text(1e-5, "m", is_minimum=True) == "0.01 mm"
    assert units.bound_text(230.0, "K", is_minimum=True) == "-43.15 degC"


def test_arrays_are_converted_for_labels() -> None:
    speeds = units.from_si(np.array([0.0, np.pi]), "rad/s", "rpm")
    np.testing.assert_allclose(speeds, [0.0, 30.0], rtol=1e-15)  # a few roundings
    assert units.from_si(300.0, "K", "degC") == pytest.approx(26.85, abs=1e-12)


def test_scales_of_the_usual_units_are_those_that_pint_works_out() -> None:
    maker = Path(__file__).resolve().parents[1] / "make_units.py"
    # In a process of its own: pint keeps what it worked out before, with fewer digits.
    print_it = "import runpy, sys; print(runpy.run_path(sys.argv[1])['usual_units'](), end='')"
    command = [sys.executable, "-c", print_it, maker]
    made = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    written = Path(usual_units.__file__).read_text(encoding="utf-8")
    assert written == made, "run tests/make_units.py"
