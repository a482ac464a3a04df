"""What the command line prints of gears and tyres."""

from typing import TYPE_CHECKING

from layshaft import units

if TYPE_CHECKING:
    import xarray
    from rich.table import Table

    from layshaft.axle_lead import TyrePair

_MOST_ROWS = 12
_TEETH = ("first_spur", "first_pinion", "second_spur", "second_pinion")


def pit_table(*headings: str) -> "Table":
    """Return an empty table, all columns to the right."""
    from rich import box
    from rich.table import Table

    rows = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0))
    for heading in headings:
        rows.add_column(heading, justify="right", no_wrap=True)
    return rows


def mesh_rows(chart: "xarray.Dataset", present: tuple[int, ...] = ()) -> "Table":
    """Return the gear chart, one line a set."""
    rows = pit_table("first", "second", "ratio\n1st", "ratio\n2nd", "step", "drop\n%")
    for heading in ("mm/turn\n1st", "mm/turn\n2nd"):
        rows.add_column(heading, justify="right", no_wrap=True)
    speeds = units.from_si(chart.engine_speed.values, "rad/s", "krpm")
    rows.add_column(f"km/h 2nd\nat {speeds[-1]:.3g} krpm", justify="right", no_wrap=True)
    rows.add_column("", no_wrap=True)
    for i in range(chart.sizes["set"]):
        each = chart.isel(set=i)
        teeth = tuple(int(each[name]) for name in _TEETH)
        note = "now" if teeth == present else ""
        rows.add_row(
            f"{teeth[0]}/{teeth[1]}",
            f"{teeth[2]}/{teeth[3]}",
            f"{float(each.first_ratio):.3f}",
            f"{float(each.second_ratio):.3f}",
            f"{float(each.step):.2f}",
            f"{float(each.speed_drop) * 100:.0f}",
            f"{float(each.first_rollout) * 1e3:.1f}",
            f"{float(each.second_rollout) * 1e3:.1f}",
            f"{float(each.second_speed[-1]) * 3.6:.0f}",
            note,
            style="bold" if note else "",
        )
    return rows


def tyre_sentences(pairs: "list[TyrePair]") -> list[str]:
    """Say which axle pulls the other, for each pair of tyres and belts."""
    return [
        f"Tyres {pair.rear_diameter * 1e3:.1f} mm rear, {pair.front_diameter * 1e3:.1f} mm front,"
        f" belts {pair.rear_ratio:.3f} and {pair.front_ratio:.3f}: {pair.text};"
        f" {pair.force:.1f} N circulate and take {pair.loss_per_metre:.2f} J/m."
        for pair in pairs[:_MOST_ROWS]
    ]
