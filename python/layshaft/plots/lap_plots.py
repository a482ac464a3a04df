"""Pictures of a lap. Each takes the lap or a track and returns what it drew on."""

from typing import TYPE_CHECKING

import numpy as np

from layshaft.plots.style import DASHES, Look, Theme, drawn_on, dress, legend, new_figure, palette
from layshaft.quantities.pit_units import KMH
from layshaft.reports.lap_report import EVENTS
from layshaft.runs.lap_run import LapRun
from layshaft.setup.handed_over import checked
from layshaft.tracks.track import Track

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from layshaft.tracks.track import Line, Track

_KRPM = 30.0 / np.pi / 1e3
_MARKS = {"upshift": "^", "downshift": "v", "clutch_opens": "o", "clutch_bites": "s"}
_ASIDE = 0.012  #: of the size of a track: from its line to the mark of a shift
_LEAST_SHARE = 0.002  #: of a lap's time that still gets a bar


def track_outline(track: "Track", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the driven line of a track with its corners numbered.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.

    Examples
    --------
    >>> import layshaft
    >>> bool(track_outline(layshaft.demo_track("club")).lines)
    True
    """
    checked("track", track, Track, "layshaft.read_track")
    axes, colours = drawn_on(axes, theme, 9.0, 6.0)
    line = track.line()
    axes.plot(line.x, line.y, color=colours.ink, linewidth=4.0)
    _mark_places(axes, track, line, theme)
    _frame(axes, theme, f"{track.name}: {track.length:.0f} m")
    return axes


def track_map(run: "LapRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the track coloured by speed, with every shift and where the clutch opens and bites.

    A mark with a thick edge lies in a corner or just before one, where a shift upsets the car.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LapRun, "layshaft.lap")
    from matplotlib.collections import LineCollection

    axes, colours = drawn_on(axes, theme, 10.0, 6.5)
    track, line = run.options.track, run.options.track.line()
    samples = run.samples
    at = samples.distance.values
    x, y = (np.interp(at, line.distance, values) for values in (line.x, line.y))
    speed = samples.car_speed.values * KMH
    points = np.column_stack([x, y])
    segments = np.stack([points[:-1], points[1:]], axis=1)
    strip = LineCollection(list(segments), cmap="cividis", linewidths=9.0, capstyle="round")
    strip.set_array(0.5 * (speed[1:] + speed[:-1]))
    axes.add_collection(strip)
    bar = axes.figure.colorbar(strip, ax=axes, shrink=0.8, pad=0.01)
    bar.ax.tick_params(colors=colours.ink, labelsize=13)
    bar.set_label("Car speed [km/h]", color=colours.ink, fontsize=14)
    _mark_places(axes, track, line, theme)
    # Up on the left, down on the right: those near each other would cover each other.
    side = _ASIDE * max(np.ptp(line.x), np.ptp(line.y))
    aside = dict.fromkeys(EVENTS, 0.0) | {"upshift": side, "downshift": -side}
    for kind, text in EVENTS.items():
        events = [event for event in run.events if event.kind == kind]
        if not events:
            continue
        x, y, heading = (
            np.interp([e.distance for e in events], line.distance, values) for values in line[1:]
        )
        x, y = x - aside[kind] * np.sin(heading), y + aside[kind] * np.cos(heading)
        upset = [event.place != "straight" for event in events]
        axes.scatter(
            x,
            y,
            marker=_MARKS[kind],
            s=150,
            color=colours.slips if kind.endswith("shift") else colours.paper,
            edgecolors=colours.ink,
            linewidths=np.where(upset, 3.2, 1.2).tolist(),
            zorder=4,
            label=text,
        )
    legend(axes, theme, loc="upper center", bbox_to_anchor=(0.5, -0.01), ncols=4)
    _frame(axes, theme, f"{track.name}: {run.time:.3f} s, {track.length:.0f} m")
    return axes


def speed_trace(run: "LapRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the car speed over the distance, with what the driver aims at.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LapRun, "layshaft.lap")
    axes, colours = drawn_on(axes, theme)
    at, speed = run.samples.distance.values, run.samples.car_speed.values * KMH
    aimed = run.samples.aimed_speed.values * KMH
    # An aim far beyond the car tells nothing.
    aimed = np.where(aimed < 1.15 * speed.max(), aimed, np.nan)
    look: Look = {"color": colours.faint, "linestyle": DASHES[2], "linewidth": 2.0}
    axes.plot(at, aimed, label="aimed at", **look)
    axes.plot(at, speed, color=colours.lines[0], linewidth=2.8, label="car")
    axes.set_ylim(bottom=0.0, top=1.12 * speed.max())
    return _finish(run, axes, theme, "Car speed [km/h]")


def engine_trace(run: "LapRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw engine and clutch bell over the distance; they part while the clutch slips.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LapRun, "layshaft.lap")
    axes, colours = drawn_on(axes, theme)
    names = {"crank_speed": "engine", "bell_speed": "clutch bell"}
    for number, (name, text) in enumerate(names.items()):
        look: Look = {"color": colours.lines[number], "linestyle": DASHES[number]}
        values = run.samples[name].values * _KRPM
        axes.plot(run.samples.distance.values, values, linewidth=2.4, label=text, **look)
    return _finish(run, axes, theme, "Engine speed [1000 rpm]")


def pedal_trace(run: "LapRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw throttle, brake and the share of the grip used sideways over the distance.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LapRun, "layshaft.lap")
    axes, colours = drawn_on(axes, theme)
    at = run.samples.distance.values
    brake = run.samples.brake_pedal.values
    shares = {
        "throttle": run.samples.throttle_opening.values,
        "brake": brake / max(brake.max(), 1e-9),
        "grip, sideways": run.samples.grip_taken.values,
    }
    for number, (text, values) in enumerate(shares.items()):
        look: Look = {"color": colours.lines[number], "linestyle": DASHES[number]}
        axes.plot(at, 100.0 * values, linewidth=2.2, label=text, **look)
    return _finish(run, axes, theme, "Pedals and grip [%]")


def gear_band(run: "LapRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw what the two gears and the clutch do over the distance, as bands.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LapRun, "layshaft.lap")
    from matplotlib.patches import Patch

    from layshaft.plots.launch_plots import band_look

    axes, colours = drawn_on(axes, theme)
    at = run.samples.distance.values
    parts = {"second": "second gear", "first": "first gear", "clutch": "clutch"}
    for row, part in enumerate(parts):
        values = run.samples[f"{part}_mode"].values
        starts = np.flatnonzero(np.diff(values, prepend=values[:1] - 1))
        edges = [*at[starts], at[-1]]
        for number, start in enumerate(starts):
            name = band_look(part, int(values[start]))
            width = edges[number + 1] - edges[number]
            look: Look = {"color": getattr(colours, name), "height": 0.7}
            look["hatch"] = "///" if name == "slips" else None
            axes.barh(row, width, left=edges[number], edgecolor=colours.paper, linewidth=0, **look)
    _finish(run, axes, theme, "")
    axes.set_yticks(range(len(parts)), parts.values())
    axes.set_ylim(-0.5, len(parts) - 0.5)
    axes.grid(visible=False, axis="y")
    patches = [
        Patch(facecolor=getattr(colours, n), label=n if n != "free" else "free", hatch=h)
        for n, h in (("holds", None), ("slips", "///"), ("free", None))
    ]
    legend(axes, theme, handles=patches, ncols=3, loc="lower right", bbox_to_anchor=(1.0, 1.0))
    return axes


def engine_shares(run: "LapRun", axes: "Axes | None" = None, *, theme: Theme = "light") -> "Axes":
    """Draw the share of the lap's time by engine speed.

    Returns
    -------
    matplotlib.axes.Axes
        Those given, or those of a new figure.
    """
    checked("run", run, LapRun, "layshaft.lap")
    axes, colours = drawn_on(axes, theme)
    times = run.engine_speeds.values
    middles = run.engine_speeds.engine_speed.values * _KRPM
    shown = np.flatnonzero(times > _LEAST_SHARE * times.sum())
    part = slice(shown[0], shown[-1] + 1)
    axes.bar(middles[part], 100.0 * times[part] / times.sum(), width=0.85, color=colours.lines[0])
    title = "Share of the lap's time [%]"
    dress(axes, theme, x="Engine speed [1000 rpm]", title=title)
    return axes


def lap_story(run: "LapRun", *, theme: Theme = "light") -> "Figure":
    """Draw a lap: the track coloured by speed, and what happens along it.

    Returns
    -------
    matplotlib.figure.Figure
        A new figure.

    Examples
    --------
    >>> import layshaft
    >>> len(lap_story(layshaft.lap(layshaft.demo_car(), "club")).axes)
    6
    """
    checked("run", run, LapRun, "layshaft.lap")
    figure = new_figure(theme, 12.0, 16.0)
    panels = figure.subplots(5, 1, height_ratios=(6, 3, 3, 3, 1.6))
    track_map(run, panels[0], theme=theme)
    draws = (speed_trace, engine_trace, pedal_trace, gear_band)
    for draw, panel in zip(draws, panels[1:], strict=True):
        draw(run, panel, theme=theme)
        if panel is not panels[-1]:
            panel.set_xlabel("")
    return figure


def _finish(run: "LapRun", axes: "Axes", theme: Theme, title: str) -> "Axes":
    """Shade the corners, mark the shifts, dress the axes."""
    colours = palette(theme)
    length = run.options.track.length
    for begin, end in run.options.track.corners:
        for low, high in ((begin, min(end, length)), (begin - length, end - length)):
            if high > 0.0:
                axes.axvspan(max(low, 0.0), high, color=colours.plateau, zorder=0)
    for event in run.shifts:
        style = "-" if event.kind == "upshift" else (0, (2, 2))
        axes.axvline(event.distance, color=colours.ink, linewidth=1.1, linestyle=style)
    axes.set_xlim(0.0, length)
    note = "Distance from the line [m]; shaded: corners; lines: shifts up, dashed: down"
    dress(axes, theme, x=note, title=title)
    if title:
        legend(axes, theme, ncols=3, loc="lower right", bbox_to_anchor=(1.0, 0.97))
    return axes


def _mark_places(axes: "Axes", track: "Track", line: "Line", theme: Theme) -> None:
    """Write numbers beside the corners, and draw the line of start and finish."""
    colours = palette(theme)
    size = max(np.ptp(line.x), np.ptp(line.y))
    aside = 0.035 * size
    for number, (begin, end) in enumerate(track.corners, start=1):
        middle = (0.5 * (begin + end)) % track.length
        side = -np.sign(track.curvature(middle))
        x, y, heading = (np.interp(middle, line.distance, values) for values in line[1:])
        x, y = x - side * aside * np.sin(heading), y + side * aside * np.cos(heading)
        look: Look = {
            "ha": "center",
            "va": "center",
            "fontsize": 14,
            "color": colours.faint,
        }
        axes.text(x, y, str(number), **look)
    axes.plot([0.0, 0.0], [-0.6 * aside, 0.6 * aside], color=colours.ink, linewidth=4.0, zorder=3)


def _frame(axes: "Axes", theme: Theme, title: str) -> None:
    dress(axes, theme, title=title)
    axes.set_aspect("equal")
    axes.margins(0.06, 0.12)
    axes.set_axis_off()
