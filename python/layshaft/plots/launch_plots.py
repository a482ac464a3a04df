"""Pictures of one run. Each takes the run and returns the `Axes` or `Figure` it drew on."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft import _core
from layshaft.plots.style import DASHES, Look, Theme, drawn_on, dress, legend, new_figure, palette
from layshaft.quantities import pit_units
from layshaft.quantities.pit_units import KMH
from layshaft.reports.energy_report import sorted_sinks, sorted_sources
from layshaft.runs.launch_run import LaunchRun
from layshaft.setup.handed_over import checked

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


_PARTS = {"clutch": "engine clutch", "first": "first gear", "second": "second gear"}
_MODE_COLOURS = {
    "open": "free",
    "stuck": "holds",
    "stuck_back": "holds",
    "slip_positive": "slips",
    "slip_negative": "slips",
}
_KILO = 1e3


def car_speed(run: "LaunchRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the speed of the car over time.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    return _over_time(run, {"car_speed": ""}, axes, theme, title="Car speed")


def engine_speed(run: "LaunchRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the speeds of engine and clutch bell; they part while the clutch slips.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    names = {"crank_speed": "engine", "bell_speed": "clutch bell"}
    return _over_time(
        run, names, axes, theme, title="Engine speed", scale=1 / _KILO, prefix="1000 "
    )


def shift_speeds(run: "LaunchRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the speeds of engine and two-speed shaft over the car speed: the shift is the drop.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    axes, colours = drawn_on(axes, theme)
    speed, unit = _sampled(run, "car_speed")
    names = {"crank_speed": "engine", "bell_speed": "clutch bell", "shaft_speed": "two-speed shaft"}
    for number, (name, text) in enumerate(names.items()):
        values, _ = _sampled(run, name)
        look: Look = {"color": colours.lines[number], "linestyle": DASHES[number]}
        axes.plot(speed, values / _KILO, linewidth=2.8, label=text, **look)
    shift = float(run.plain.scalars["shift_speed"][1])
    if np.isfinite(shift):
        axes.axvline(shift * KMH, color=colours.ink, linewidth=1.6, linestyle=(0, (2, 2)))
    dress(axes, theme, x=f"Car speed [{unit}]", title="Speeds through the shift [1000 rpm]")
    legend(axes, theme)
    return axes


def torques(run: "LaunchRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the torques of engine clutch, first gear and drum.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    names = {
        "clutch_torque": "engine clutch",
        "first_torque": "first gear",
        "second_torque": "second gear (drum)",
    }
    return _over_time(run, names, axes, theme, title="Torque")


def tyre_slip(run: "LaunchRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the slip of rear and front tyres; positive drives the car.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    names = {"rear_slip": "rear", "front_slip": "front"}
    return _over_time(run, names, axes, theme, title="Tyre slip", scale=100.0, prefix="%")


def modes(run: "LaunchRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw when clutch and gears hold, slip and are free, as bands over time.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    from matplotlib.patches import Patch

    axes, colours = drawn_on(axes, theme)
    times, _ = _sampled(run, "time")
    for row, part in enumerate(_PARTS):
        values, _ = _sampled(run, f"{part}_mode")
        starts = np.flatnonzero(np.diff(values, prepend=values[:1] - 1))
        edges = [*times[starts], times[-1]]
        for number, start in enumerate(starts):
            name = band_look(part, values[start])
            length = edges[number + 1] - edges[number]
            hatch = "///" if name == "slips" else None
            axes.barh(
                row,
                length,
                left=edges[number],
                height=0.7,
                color=getattr(colours, name),
                hatch=hatch,
                edgecolor=colours.paper,
                linewidth=0.0,
            )
    dress(axes, theme, x="Time [s]")
    axes.set_yticks(range(len(_PARTS)), _PARTS.values())
    axes.set_ylim(len(_PARTS) - 0.5, -0.5)
    axes.grid(visible=False, axis="y")
    shown = [("holds", "holds", None), ("slips", "slips", "///"), ("free", "free", None)]
    patches = [
        Patch(facecolor=getattr(colours, name), label=text, hatch=hatch, edgecolor=colours.paper)
        for name, text, hatch in shown
    ]
    legend(axes, theme, handles=patches, ncols=3, loc="lower right", bbox_to_anchor=(1.0, 1.0))
    return axes


def band_look(part: str, mode: int) -> str:
    """Return what a mode of a part is drawn as: `holds`, `slips` or `free`.

    Examples
    --------
    >>> band_look("clutch", 0)
    'free'
    """
    name = _core.mode_names[mode]
    # A one-way bearing that overruns carries nothing.
    return "free" if (part, name) == ("first", "slip_negative") else _MODE_COLOURS[name]


def launch_story(run: "LaunchRun", *, theme: Theme = "light") -> "Figure":
    """Draw a run over time: speeds, torques, tyre slip, and what clutch and gears did.

    Parameters
    ----------
    run
        A run with samples.
    theme
        `light` or `dark`.

    Returns
    -------
    matplotlib.figure.Figure
        A new figure.

    Examples
    --------
    >>> import layshaft
    >>> run = layshaft.launch(layshaft.demo_car(), distance=10.0)
    >>> len(launch_story(run).axes)
    5
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    figure = new_figure(theme, 10.0, 13.0)
    panels = figure.subplots(5, 1, sharex=True, height_ratios=(3, 3, 3, 2.4, 2))
    for draw, panel in zip((car_speed, engine_speed, torques, tyre_slip), panels[:4], strict=True):
        draw(run, panel, theme=theme)
        panel.set_xlabel("")
    modes(run, panels[4], theme=theme)
    scalars = run.plain.scalars
    start, length = (float(scalars[name][1]) for name in ("contact_time", "hand_over"))
    if np.isfinite(length):
        for panel in panels[:4]:
            panel.axvspan(start, start + length, color=palette(theme).plateau, zorder=0)
        look: Look = {"fontsize": 15, "color": palette(theme).ink}
        panels[0].set_title("shaded: hand-over", loc="right", **look)
    return figure


def energy_sinks(run: "LaunchRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw where the work went, the largest first.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    axes, colours = drawn_on(axes, theme)
    rows = sorted_sinks(run)
    sources = sorted_sources(run)
    work = sum(energy for _, energy in sources)
    for row, (name, energy, is_gain) in enumerate(rows):
        axes.barh(row, energy, height=0.7, color=colours.holds if is_gain else colours.slips)
        text = f" {name}  {energy:.0f} J, {energy / work:.0%}"
        axes.annotate(text, (energy, row), va="center", fontsize=14, color=colours.ink)
    dress(axes, theme, x="Energy [J]", title=_work_title(sources))
    axes.set_yticks([])
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.set_xlim(right=1.7 * max(energy for _, energy, _ in rows))
    axes.grid(visible=False, axis="y")
    return axes


def _work_title(sources: list[tuple[str, float]]) -> str:
    if [name for name, _ in sources] == ["engine"]:
        return f"Where {sources[0][1]:.0f} J of engine work went"
    given = " + ".join(f"{energy:.0f} J ({name})" for name, energy in sources)
    return f"Where the work went: {given}"


def _over_time(
    run: "LaunchRun",
    names: dict[str, str],
    axes: "Axes | None",
    theme: Theme,
    *,
    title: str,
    scale: float = 1.0,
    prefix: str = "",
) -> "Axes":
    times, _ = _sampled(run, "time")
    if len(times) == 0:
        raise ValueError("the run has no samples: launch it with a sample_interval above 0")
    axes, colours = drawn_on(axes, theme)
    unit = ""
    for number, (name, text) in enumerate(names.items()):
        values, unit = _sampled(run, name)
        look: Look = {"color": colours.lines[number], "linestyle": DASHES[number]}
        axes.plot(times, values * scale, linewidth=2.8, label=text, **look)
    dress(axes, theme, x="Time [s]", title=f"{title} [{prefix}{unit}]")
    if len(names) > 1:
        legend(axes, theme)
    return axes


def _sampled(run: "LaunchRun", name: str) -> tuple[np.ndarray, str]:
    """Return a variable of the samples in the workshop's unit, and name the unit."""
    _, values, labels = run.plain.samples[name]
    return pit_units.of_run(values, labels["units"])
