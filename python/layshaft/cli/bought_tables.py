"""Tables of what settings buy, as the verbs of sweeps and maps print them."""

from typing import TYPE_CHECKING, Any

from layshaft.cli.options import print_rows
from layshaft.cli.say import say

if TYPE_CHECKING:
    import xarray

    from layshaft.advice.setting_advice import SettingAdvice
    from layshaft.runs.run_options import Drive
    from layshaft.setup.car import Car

_MOST_GAPS = 9  # lines of a table


def tell_settings(
    car: "Car", table: "xarray.Dataset", advice: "SettingAdvice", way: dict[str, Any]
) -> None:
    """Print what the settings that count buy: the best, the present, ends of plateau and sweep."""
    from layshaft.advice.what_it_buys import what_it_buys
    from layshaft.reports import bought_report
    from layshaft.reports.wording import setting_text, short_name
    from layshaft.runs.corner_exits import tyre_share
    from layshaft.runs.drive import drive
    from layshaft.runs.run_options import read_options
    from layshaft.setup.field_table import column_of
    from layshaft.setup.settings import as_written

    swept = table[column_of(advice.path)].values.astype(float)
    counted = {swept.min(), advice.low, advice.best, advice.high, swept.max()}
    shown = sorted(counted | ({advice.present} if advice.present is not None else set()))
    options = read_options(**way)
    bought = what_it_buys(car, [{advice.path: float(value)} for value in shown], options)
    labels = [setting_text(advice.path, value) for value in shown]
    best = shown.index(advice.best)
    print_rows(bought_report.bought_rows(bought, labels, short_name(advice.path), best))
    run = drive(car.replace(as_written({advice.path: advice.best})), options)
    said = bought_report.no_matter_sentences(bought, advice.path, advice.within, tyre_share(run))
    say(*said)


def tell_gears(car: "Car", table: "xarray.Dataset", best: dict[str, Any], options: "Drive") -> None:
    """Print what each gap buys with the best gears, and each set of gears with the best gap."""
    from layshaft.advice.what_it_buys import what_it_buys
    from layshaft.reports.bought_report import bought_rows
    from layshaft.sweeps.track_gears import settings_of

    gaps, sets = list(map(float, table.gap.values)), list(map(str, table.gears.values))
    step = -(-len(gaps) // _MOST_GAPS)
    gaps = sorted({*gaps[::step], gaps[-1], best["gap"]})
    columns = (
        ("gap\nmm", gaps, "gap", [f"{gap * 1e3:.2f}" for gap in gaps]),
        ("1st 2nd", sets, "gears", sets),
    )
    for heading, values, name, labels in columns:
        if len(values) > 1:
            points = [settings_of(table, best | {name: value}) for value in values]
            bought = what_it_buys(car, points, options)
            print_rows(bought_rows(bought, labels, heading, values.index(best[name])))
