"""Units as they stand in the names of columns."""


def column_unit(si_unit: str) -> str:
    """Write a unit as it stands in the name of a column; nothing for a ratio.

    Examples
    --------
    >>> column_unit("rad/s"), column_unit("N*m"), column_unit("1")
    ('rad_per_s', 'N_m', '')
    """
    return "" if si_unit == "1" else si_unit.replace("/", "_per_").replace("*", "_")


def unit_of_column(text: str) -> str:
    """Read a unit as it stands in the name of a column.

    Examples
    --------
    >>> unit_of_column("km_per_h")
    'km/h'
    """
    return text.replace("_per_", "/").replace("_", "*")
