"""Pictures of a stint. Each takes it and returns the `Axes` or `Figure` it drew on."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.plots.style import DASHES, Look, Theme, drawn_on, dress, legend, new_figure, widen
from layshaft.quantities.pit_units import KMH
from layshaft.runs.stint_result import Stint
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


_ZERO_CELSIUS = 273.15  #: [K]
#: Least height of a panel, so that what nobody notices is not drawn from edge to edge.
_LEAST_TIMES, _LEAST_SPEEDS, _LEAST_MM, _LEAST_KELVIN = 0.2, 4.0, 0.4, 20.0


def lap_times(race: "Stint", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the time of each lap.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("race", race, Stint, "layshaft.stint")
    return _over_laps(race, {"lap_time": ""}, axes, theme, "Lap time [s]", least_range=_LEAST_TIMES)


def shift_drift(race: "Stint", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the car speed at the first upshift of each lap.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("race", race, Stint, "layshaft.stint")
    title = "Car speed at the shift [km/h]"
    return _over_laps(
        race, {"shift_speed": ""}, axes, theme, title, scale=KMH, least_range=_LEAST_SPEEDS
    )


def tyres(race: "Stint", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the diameters of the tyres.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("race", race, Stint, "layshaft.stint")
    names = {"rear_radius": "rear", "front_radius": "front"}
    return _over_laps(
        race, names, axes, theme, "Tyre diameter [mm]", scale=2e3, least_range=_LEAST_MM
    )


def temperatures(race: "Stint", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the largest temperature of clutch and shoe linings in each lap.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("race", race, Stint, "layshaft.stint")
    names = {"clutch_temperature": "clutch", "shoe_temperature": "two-speed"}
    title = "Hottest lining, warm car [°C]"
    return _over_laps(
        race, names, axes, theme, title, offset=-_ZERO_CELSIUS, least_range=_LEAST_KELVIN
    )


def fuel(race: "Stint", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the fuel left after each lap.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("race", race, Stint, "layshaft.stint")
    axes = _over_laps(race, {"fuel_left": ""}, axes, theme, "Fuel left [%]", scale=100.0)
    axes.set_ylim(0.0, 105.0)
    return axes


def stint_story(race: "Stint", *, theme: Theme = "light") -> "Figure":
    """Draw a stint over its laps: times, shift, tyres, heat, fuel; stops are dashed.

    Returns
    -------
    matplotlib.figure.Figure
        A new figure.

    Examples
    --------
    >>> import layshaft
    >>> race = layshaft.stint(layshaft.demo_car(), "club", duration="1 min")
    >>> len(stint_story(race).axes)
    5
    """
    checked("race", race, Stint, "layshaft.stint")
    figure = new_figure(theme, 10.0, 14.0)
    panels = figure.subplots(5, 1, sharex=True)
    draws = (lap_times, shift_drift, tyres, temperatures, fuel)
    for draw, panel in zip(draws, panels, strict=True):
        draw(race, panel, theme=theme)
        if panel is not panels[-1]:
            panel.set_xlabel("")
    return figure


def _over_laps(
    race: "Stint",
    names: dict[str, str],
    axes: "Axes | None",
    theme: Theme,
    title: str,
    *,
    scale: float = 1.0,
    offset: float = 0.0,
    least_range: float = 0.0,
) -> "Axes":
    from matplotlib.ticker import MaxNLocator

    axes, colours = drawn_on(axes, theme)
    laps = race.laps.lap.values.astype(float)
    stops = [np.searchsorted(laps, stop.lap + 0.5) for stop in race.stops]
    for number, (name, text) in enumerate(names.items()):
        values = race.laps[name].values * scale + offset
        look: Look = {"color": colours.lines[number], "linestyle": DASHES[number]}
        # Nothing between the last lap of a tank and the first of the next.
        apart = [np.insert(each, stops, np.nan) for each in (laps, values)]
        axes.plot(*apart, linewidth=2.8, label=text or None, **look)
    for stop in race.stops:
        axes.axvline(stop.lap + 0.5, color=colours.ink, linewidth=1.4, linestyle=(0, (2, 2)))
    axes.set_xlim(0.5, float(np.max(laps)) + 0.5)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    widen(axes, least_range)
    dress(axes, theme, x="Lap; dashed: stops for fuel", title=title)
    if any(names.values()):
        legend(axes, theme)
    return axes
