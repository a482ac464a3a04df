"""Tables, targets and the picture of what was measured."""

import csv
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path

import numpy as np
from measure import EQUAL_ERROR, Line, Pair

TITLES = {
    "layshaft": "Layshaft (Rodas5P)",
    "layshaft_alone": "Layshaft, launches one by one",
    "rodas4p": "Layshaft with RODAS4P",
    "rodas4": "Layshaft with RODAS",
    "dormand_prince": "Layshaft with Dormand-Prince (Odeint)",
    "cvode_bdf": "CVODE BDF from C++",
    "cvode_adams": "CVODE Adams from C++",
    "scipy_rk45": "SciPy RK45",
    "scipy_radau": "SciPy Radau",
    "scipy_lsoda": "SciPy LSODA",
    "sundae_bdf": "scikit-sundae, CVODE BDF",
    "cyrk_rk45": "CyRK RK45",
    "cyrk_lsoda": "CyRK LSODA",
    "cyrk_radau": "CyRK Radau",
    "heyoka": "heyoka (Taylor)",
}
# Colour, dashes and marker of each line in the picture: one colour a family, dark to light.
INK, FAINT, GRID = "#16202b", "#5a6673", "#dde2e8"
LOOKS = {
    "layshaft": ("#0a4f9e", "-", "o"),
    "rodas4p": ("#6fa3d8", "-", "s"),
    "rodas4": ("#6fa3d8", "--", "^"),
    "dormand_prince": ("#0a4f9e", ":", "D"),
    "cvode_bdf": ("#d8660a", "-", "o"),
    "cvode_adams": ("#d8660a", ":", "D"),
    "sundae_bdf": ("#f0a868", "--", "o"),
    "scipy_rk45": ("#17917c", ":", "D"),
    "scipy_radau": ("#17917c", "--", "s"),
    "scipy_lsoda": ("#17917c", "-", "o"),
    "cyrk_rk45": ("#7a5aa6", ":", "D"),
    "cyrk_radau": ("#7a5aa6", "--", "s"),
    "cyrk_lsoda": ("#7a5aa6", "-", "o"),
    "heyoka": ("#5a6673", "-", "v"),
}


COLUMNS = (
    "part", "solver", "tolerance", "settings", "error_end_time_s", "error_shift_start_s",
    "error_shift_end_s", "error_end_speed", "cpu_s", "wall_s", "same_changes", "ratio",
)  # fmt: skip
BUSY = "machine not idle"


@dataclass
class Results:
    """All that was measured in one run."""

    load_before: float
    load_after: float = 0.0
    lines: dict[str, list[Line]] = field(default_factory=dict)
    pairs: dict[str, list[Pair]] = field(default_factory=dict)
    ensemble: dict[str, dict[str, float]] = field(default_factory=dict)
    sweep_lanes: int = 1
    changes: dict[str, float] = field(default_factory=dict)
    threads: dict[str, float] = field(default_factory=dict)
    lanes: dict[int, float] = field(default_factory=dict)
    sizes: list[dict[str, float]] = field(default_factory=list)
    done: list[str] = field(default_factory=list)


@dataclass
class Target:
    """One row of the targets: what, how much is wanted, how much was measured."""

    what: str
    wanted: float
    measured: float | None
    note: str = ""

    @property
    def verdict(self) -> str:
        """Met, or by how much missed."""
        if self.measured is None:
            return "not measured"
        if self.measured >= self.wanted:
            return "met"
        if self.note == BUSY:
            return "no verdict"
        return f"missed by {self.wanted / self.measured:.3g} times"


def targets(results: Results) -> list[Target]:
    """Return the targets that are ratios, in the order they were set."""
    ratios = {p.line.solver: p.ratio for p in results.pairs["launch, 96 settings"]}
    scipy = {s: r for s, r in ratios.items() if s.startswith("scipy")}
    fastest = min(scipy, key=scipy.get)
    idle = BUSY if results.load_before > 0.5 else ""
    none = "the sweep of this build has no such lanes"
    return [
        Target("one launch against CVODE BDF", 15.0, ratios["cvode_bdf"]),
        Target("one launch against SciPy's fastest", 120.0, scipy[fastest], TITLES[fastest]),
        Target("a launch in a sweep against CVODE", 50.0, results.ensemble["cvode_bdf"]["ratio"]),
        Target("two threads against one", 1.9, results.threads["ratio"], idle),
        Target("8 lanes against 1", 3.0, results.lanes.get(8), "" if 8 in results.lanes else none),
        Target("4 lanes against 1", 2.3, results.lanes.get(4), "" if 4 in results.lanes else none),
    ]


def _target_table(results: Results) -> list[str]:
    rows = ["| what | target | measured | |", "|---|---|---|---|"]
    for t in targets(results):
        measured = "-" if t.measured is None else f"{t.measured:.2f}"
        note = f"{t.verdict} ({t.note})" if t.note else t.verdict
        rows.append(f"| {t.what} | {t.wanted:g} | {measured} | {note} |")
    times = np.array([size["cpu"] for size in results.sizes])
    spread = 100.0 * (times.max() / times.min() - 1.0)
    sizes = f"{results.sizes[0]['runs']} to {results.sizes[-1]['runs']}"
    rows.append(
        f"| time per launch from {sizes} settings | constant within 10 % | {spread:.1f} % | "
        f"{'met' if spread <= 10.0 else 'missed'} |"
    )
    same, settings = results.changes["layshaft"], results.changes["settings"]
    rows.append(
        f"| mode changes as at tolerance 1e-12, default tolerance | all of {settings} | {same} | "
        f"{'met' if same == settings else 'missed'} |"
    )
    return rows


def _pair_table(pairs: list[Pair], speed_unit: str) -> list[str]:
    rows = [
        f"| solver | tolerance | error in times [s] | in end speed [{speed_unit}] | CPU [ms] "
        "| wall [ms] | CPU over Layshaft's (quartiles) |",
        "|---|---|---|---|---|---|---|",
    ]
    for pair in sorted(pairs, key=lambda p: p.ratio):
        line = pair.line
        rows.append(
            f"| {TITLES[line.solver]} | {line.tolerance:.2g} | {line.error:.1e} | "
            f"{line.errors[3]:.1e} | {1e3 * line.cpu:.3g} | {1e3 * line.wall:.3g} | "
            f"**{pair.ratio:.2f}** ({pair.low:.2f} to {pair.high:.2f}) |"
        )
    return rows


def _sweep_lines(results: Results) -> list[str]:
    rows = [
        "| sweep of 10 000 in one thread | CPU a launch [ms] | over Layshaft's |",
        "|---|---|---|",
    ]
    for solver, found in results.ensemble.items():
        title = f"Layshaft, {results.sweep_lanes} lanes" if solver == "layshaft" else TITLES[solver]
        rows.append(f"| {title} | {1e3 * found['cpu']:.3g} | {found['ratio']:.2f} |")
    rows += [
        "",
        "| launches | CPU a launch [ms] | wall [ms] | memory gained [MB] |",
        "|---|---|---|---|",
    ]
    for size in results.sizes:
        rows.append(
            f"| {size['runs']} | {1e3 * size['cpu']:.3g} | {1e3 * size['wall']:.3g} | "
            f"{size['memory'] / 1e6:.1f} |"
        )
    threads, changes = results.threads, results.changes
    default = next(x for x in results.lines["launch"] if abs(x.tolerance / 1e-6 - 1.0) < 1e-9)
    rows += [
        "",
        f"One launch at the default tolerance 1e-6: {1e3 * default.cpu:.2f} ms, median error in "
        f"times {default.error:.1e} s.",
        "",
        f"Two threads against one: wall {threads['ratio']:.2f} times as fast (best of the turns "
        f"{threads['best']:.2f}); processor time {threads['cpu']:.2f} times that of one thread; "
        "same bits.",
        "",
        f"Reference against CVODE at 1e-12: same changes in {changes['cvode_bdf']} of "
        f"{changes['checked']}, times at most {changes['farthest']:.1e} s apart.",
    ]
    for width, ratio in results.lanes.items():
        rows.append(f"{width} lanes against 1: {ratio:.2f} times as fast.")
    return rows


FAIR_PLAY = f"""\
All solvers in turn on each setting, those of Python on every fourth, in one process and one thread;
medians, and ratios pair by pair. Each at its largest tolerance (half decades) whose median errors
in time to 60 m, shift start and shift end are all at most {EQUAL_ERROR:g} s. The same right-hand
side, analytic Jacobian (where a method takes one), guards and mode changes, compiled with the
project's flags; a SUNDIALS without optimisation is refused. From Python they are called through
functions compiled by Numba before the clock runs, with all guards as one event. Errors are weighed
against tolerance * (scale + |state|) by all; Layshaft and Odeint take the largest component, the
others a mean square, and heyoka has one tolerance of its own. Steps are at most 100 ms, since
guards are looked at when a step ends (by the library also twice inside). Foreign solvers carry the
distance as one more state and nothing else; `layshaft::launch` also sums 14 energies and notes
marks, peaks and the shift. Building the plant counts, compiling does not; CVODE keeps its memory
from run to run. Processor time is compared, since other work may run on the machine; wall times
show it. heyoka runs O1 alone: it cannot call a compiled right-hand side, and the car's is not
analytic."""


def _markdown(results: Results) -> str:
    packages = ("scipy", "numba", "scikit-sundae", "CyRK", "heyoka")
    made_with = ", ".join(f"{name} {version(name)}" for name in packages)
    parts = [
        "# Layshaft against general solvers",
        "Made by `python tests/bench/run.py`; all lines of the picture stand in `results.csv`.",
        f"Load of the two-core machine meanwhile: {results.load_before:.1f} before, "
        f"{results.load_after:.1f} after. {made_with}.",
        "\n".join(_target_table(results)),
    ]
    for title, pairs in results.pairs.items():
        unit = "rad/s" if title == "O1" else "m/s"
        parts += [f"## {title}", "\n".join(_pair_table(pairs, unit))]
    parts += ["## Sweeps", "\n".join(_sweep_lines(results)), "## Fair play", FAIR_PLAY]
    return "\n\n".join(parts) + "\n"


def _csv(results: Results, path: Path) -> None:
    with path.open("w", newline="") as out:
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(COLUMNS)
        for lines in results.lines.values():
            for x in lines:
                rows.writerow([f"work and error, {x.problem}", *_cells(x), ""])
        for title, pairs in results.pairs.items():
            for pair in pairs:
                rows.writerow([f"side by side, {title}", *_cells(pair.line), f"{pair.ratio:.4g}"])
        for solver, found in results.ensemble.items():
            blank = [""] * 6
            cells = [solver, *blank, f"{found['cpu']:.4g}", "", "", f"{found['ratio']:.4g}"]
            rows.writerow(["sweep in one thread", *cells])
        for target in targets(results):
            measured = "" if target.measured is None else f"{target.measured:.4g}"
            rows.writerow([f"target {target.wanted:g}", target.what, *[""] * 9, measured])


def _cells(line: Line) -> list[str]:
    found = [f"{x:.4g}" for x in (*line.errors, line.cpu, line.wall)]
    return [
        line.solver,
        f"{line.tolerance:.4g}",
        str(line.settings),
        *found,
        str(line.same_changes),
    ]


def _picture(results: Results, path: Path) -> None:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(13.0, 6.2), layout="constrained", facecolor="white")
    problems = (("launch", "One launch to 60 m"), ("o1", "Chain of clutches O1"))
    for axes, (problem, title) in zip(figure.subplots(1, 2), problems, strict=True):
        for solver, (colour, dashes, marker) in LOOKS.items():
            lines = [
                x for x in results.lines[problem] if x.solver == solver and np.isfinite(x.error)
            ]
            if not lines:
                continue
            axes.loglog(
                [max(x.error, 1e-12) for x in lines], [1e3 * x.cpu for x in lines], color=colour,
                linestyle=dashes, marker=marker, markersize=5, label=TITLES[solver],
                linewidth=3.5 if solver == "layshaft" else 1.6,
                zorder=3 if solver == "layshaft" else 2,
            )  # fmt: skip
        axes.axvline(EQUAL_ERROR, color=FAINT, linewidth=1.0)
        axes.set_title(title, loc="left", color=INK, fontsize=17, fontweight="bold")
        axes.set_xlabel("median error in times [s]", color=INK, fontsize=15)
        axes.grid(color=GRID)
        axes.tick_params(colors=INK, labelsize=13, length=0, which="both")
        axes.set_xlim(1e-11, 3e-3)
        for spine in axes.spines.values():
            spine.set_visible(False)
    figure.axes[0].set_ylabel("processor time [ms]", color=INK, fontsize=15)
    handles = {
        h.get_label(): h for axes in figure.axes for h in axes.get_legend_handles_labels()[0]
    }
    figure.legend(
        handles.values(), handles.keys(), loc="outside right upper", frameon=False, fontsize=12,
        labelcolor=INK,
    )  # fmt: skip
    figure.savefig(path, dpi=110)


def write_report(results: Results, folder: Path, pictures: Path) -> str:
    """Write results.csv, results.md and the picture; return the text."""
    pictures.mkdir(parents=True, exist_ok=True)
    text = _markdown(results)
    (folder / "results.md").write_text(text)
    _csv(results, folder / "results.csv")
    _picture(results, pictures / "work-against-error.png")
    return text
