"""Description of the car as a co-simulation unit: `modelDescription.xml` of FMI 2.0 and 3.0.

Source: Functional Mock-up Interface for Model Exchange and Co-Simulation, version 2.0.4, section
2.2, and Functional Mock-up Interface Specification, version 3.0, section 2.4.
"""

import math
import re
from xml.etree import ElementTree

from layshaft import _core
from layshaft.quantities import units
from layshaft.setup import field_table
from layshaft.setup.car import Car

#: Name of a unit's shared library, without its ending.
IDENTIFIER = "layshaft"

#: Exponents of the base units, of units that are none themselves.
_DERIVED = {
    "N": {"kg": 1, "m": 1, "s": -2},
    "J": {"kg": 1, "m": 2, "s": -2},
    "W": {"kg": 1, "m": 2, "s": -3},
    "Pa": {"kg": 1, "m": -1, "s": -2},
    "turn": {"rad": 1},
}

_ABILITIES = {
    "2.0": {
        "canHandleVariableCommunicationStepSize": "true",
        "canGetAndSetFMUstate": "true",
        "canSerializeFMUstate": "true",
        "canNotUseMemoryManagementFunctions": "true",
    },
    "3.0": {
        "canHandleVariableCommunicationStepSize": "true",
        "canGetAndSetFMUState": "true",
        "canSerializeFMUState": "true",
        "mightReturnEarlyFromDoStep": "true",
        "hasEventMode": "true",
    },
}
VERSIONS = tuple(_ABILITIES)

_ELEMENTS = {
    "2.0": {"number": "Real", "count": "Integer", "choice": "Enumeration", "yes_no": "Boolean"},
    "3.0": {"number": "Float64", "count": "Int32", "choice": "Enumeration", "yes_no": "Boolean"},
}


def describe_unit(car: Car, version: str, token: str) -> str:
    """Return the text of `modelDescription.xml`.

    Parameters
    ----------
    car
        Its settings are the start values of the parameters.
    version
        `"2.0"` or `"3.0"`.
    token
        Ties the description to the files beside it.
    """
    token_name = "guid" if version == "2.0" else "instantiationToken"
    root = ElementTree.Element(
        "fmiModelDescription",
        {
            "fmiVersion": version,
            "modelName": "Layshaft car",
            token_name: token,
            "description": "Drivetrain and two-speed of a 1/8-scale nitro on-road car",
            "version": _core.version(),
            "generationTool": f"layshaft {_core.version()}",
            "variableNamingConvention": "structured",
        },
    )
    ElementTree.SubElement(
        root, "CoSimulation", {"modelIdentifier": IDENTIFIER, **_ABILITIES[version]}
    )
    _add_units(root)
    _add_choices(root, version)
    ElementTree.SubElement(
        root, "DefaultExperiment", {"startTime": "0", "stopTime": "5", "stepSize": "0.01"}
    )
    _add_variables(root, version, car)
    _add_structure(root, version, car)
    ElementTree.indent(root)
    body = ElementTree.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}\n'


def _exponents(unit: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for sign, name, power in re.findall(r"([*/]?)([A-Za-z]+)(?:\^([0-9]))?", unit):
        factor = (-1 if sign == "/" else 1) * int(power or 1)
        for base, exponent in _DERIVED.get(name, {name: 1}).items():
            found[base] = found.get(base, 0) + factor * exponent
    return {base: exponent for base, exponent in found.items() if exponent}


def _shown_unit(unit: str) -> str:
    return "" if unit == "1" else units.QUANTITIES[unit].unit


def _add_units(root: ElementTree.Element) -> None:
    definitions = ElementTree.SubElement(root, "UnitDefinitions")
    for unit in dict.fromkeys(variable.unit for variable in _core.variables()):
        if unit == "1":
            continue
        element = ElementTree.SubElement(definitions, "Unit", {"name": unit})
        base = {name: str(exponent) for name, exponent in _exponents(unit).items()}
        if unit == "turn":
            base["factor"] = repr(2.0 * math.pi)
        ElementTree.SubElement(element, "BaseUnit", base)
        shown = _shown_unit(unit)
        if shown == unit:
            continue
        offset = units.from_si(0.0, unit, shown)
        factor = units.from_si(1.0, unit, shown) - offset
        display = {"name": shown, "factor": repr(factor)}
        if offset:
            display["offset"] = repr(offset)
        ElementTree.SubElement(element, "DisplayUnit", display)


def _shown_variables(car: Car) -> list[tuple[int, _core.Variable]]:
    """Return the variables of a unit with their numbers; one for all shoes while these are alike.

    Its start value would be none where they differ.
    """
    pairs = field_table.pairs()
    shown = []
    for number, variable in enumerate(_core.variables()):
        values = {car._core.get(path) for path in pairs.get(variable.name, ())}
        if len(values) < 2:
            shown.append((number, variable))
    return shown


def _type_names() -> dict[tuple[str, ...], str]:
    """Name each list of choices after the first variable that has it."""
    names: dict[tuple[str, ...], str] = {}
    for variable in _core.variables():
        if variable.choices:
            names.setdefault(variable.choices, f"{variable.name}.choice")
    return names


def _add_choices(root: ElementTree.Element, version: str) -> None:
    definitions = ElementTree.SubElement(root, "TypeDefinitions")
    for choices, name in _type_names().items():
        if version == "2.0":
            outer = ElementTree.SubElement(definitions, "SimpleType", {"name": name})
            enumeration = ElementTree.SubElement(outer, "Enumeration")
        else:
            enumeration = ElementTree.SubElement(definitions, "EnumerationType", {"name": name})
        for position, choice in enumerate(choices):
            ElementTree.SubElement(enumeration, "Item", {"name": choice, "value": str(position)})


def _start_value(variable: _core.Variable, car: Car) -> str:
    is_field = variable.role == "parameter" and not variable.name.startswith("run.")
    value = car._core.get(variable.name) if is_field else variable.fallback
    if variable.kind == "number":
        return repr(value)
    return str(bool(value)).lower() if variable.kind == "yes_no" else str(int(value))


def _typed(variable: _core.Variable, car: Car) -> dict[str, str]:
    """Return what the element of a variable's type says."""
    said: dict[str, str] = {}
    if variable.kind == "choice":
        said["declaredType"] = _type_names()[variable.choices]
    if variable.unit != "1":
        said["unit"] = variable.unit
        if _shown_unit(variable.unit) != variable.unit:
            said["displayUnit"] = _shown_unit(variable.unit)
    if variable.role != "output":
        if variable.kind in ("number", "count"):
            text = repr if variable.kind == "number" else lambda bound: str(int(bound))
            said |= {"min": text(variable.minimum), "max": text(variable.maximum)}
        said["start"] = _start_value(variable, car)
    return said


def _variability(variable: _core.Variable) -> str:
    if variable.role == "parameter":
        return "fixed"
    return "continuous" if variable.kind == "number" else "discrete"


def _add_variables(root: ElementTree.Element, version: str, car: Car) -> None:
    elements = _ELEMENTS[version]
    parent = ElementTree.SubElement(root, "ModelVariables")
    for number, variable in _shown_variables(car):
        common = {
            "name": variable.name,
            "valueReference": str(number),
            "description": variable.meaning,
            "causality": variable.role,
            "variability": _variability(variable),
        }
        element, said = elements[variable.kind], _typed(variable, car)
        if version == "2.0":
            outer = ElementTree.SubElement(parent, "ScalarVariable", common)
            ElementTree.SubElement(outer, element, said)
        else:
            ElementTree.SubElement(parent, element, common | said)
    if version == "3.0":
        ElementTree.SubElement(
            parent,
            "Float64",
            {
                "name": "time",
                "valueReference": str(len(_core.variables())),
                "description": "Time",
                "causality": "independent",
                "variability": "continuous",
                "unit": "s",
            },
        )


def _add_structure(root: ElementTree.Element, version: str, car: Car) -> None:
    structure = ElementTree.SubElement(root, "ModelStructure")
    # FMI 2.0 counts the variables that are shown, from 1; FMI 3.0 has their value references.
    outputs = [
        (position, number)
        for position, (number, variable) in enumerate(_shown_variables(car), start=1)
        if variable.role == "output"
    ]
    if version == "2.0":
        for group in ("Outputs", "InitialUnknowns"):
            parent = ElementTree.SubElement(structure, group)
            for position, _ in outputs:
                ElementTree.SubElement(parent, "Unknown", {"index": str(position)})
        return
    for element in ("Output", "InitialUnknown"):
        for _, number in outputs:
            ElementTree.SubElement(structure, element, {"valueReference": str(number)})
