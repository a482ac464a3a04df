"""Tables, targets and the picture of what was measured."""

import csv
import subprocess
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path

import numpy as np
from bench_library import DO_SAME_WORK, OWN, PROBLEMS
from measure import LEVELS, Line, time_at
from rivals import PACKAGES

TITLES = {
    "layshaft": "**Layshaft**",
    "rodas4p": "Layshaft with RODAS4P",
    "dormand_prince": "Layshaft with Odeint's Dormand-Prince",
    "cvode_bdf": "CVODE BDF, as it comes",
    "cvode_tuned": "CVODE BDF, tuned",
    "cvode_adams": "CVODE Adams",
    "esdirk": "ARKODE ESDIRK436, tuned",
    "sofroniou": "ARKODE Sofroniou-Spaletta 4(3), explicit",
    "tsitouras": "ARKODE Tsitouras 5(4), explicit",
    "gsl_rkck": "GSL Cash-Karp, explicit",
    "gsl_rkf45": "GSL Fehlberg 4(5), explicit",
    "dopri5": "Hairer's DOPRI5, explicit",
    "rodas": "Hairer's RODAS",
    "hairer_rodas4p": "Hairer's RODAS with RODAS4P",
    "scipy_rk45": "SciPy RK45",
    "scipy_radau": "SciPy Radau",
    "scipy_lsoda": "SciPy LSODA",
    "sundae_bdf": "scikit-sundae, CVODE BDF",
    "cyrk_rk45": "CyRK RK45",
    "cyrk_lsoda": "CyRK LSODA",
    "cyrk_radau": "CyRK Radau",
    "heyoka": "heyoka (Taylor)",
}
PROBLEM_TITLES = {
    "earlier_launch": "Launch of the car as it was at 1c348e7",
    "launch": "Launch of the present demo car",
    "stiff_launch": "Launch on tyres that settle 4000 times a second",
    "clutches": "O1: four bodies, three clutches",
    "springs": "20 bodies on springs, 39 states, decay of 300/s",
    "stiff_springs": "the same, decay of 4000/s",
}
#: Colour, dashes and marker of each line in the picture: one colour a family.
INK, FAINT, GRID = "#16202b", "#5a6673", "#dde2e8"
LOOKS = {
    "layshaft": ("#0a4f9e", "-", "o"),
    "cvode_bdf": ("#d8660a", "-", "s"),
    "cvode_tuned": ("#d8660a", ":", "s"),
    "esdirk": ("#7a5aa6", "-", "^"),
    "tsitouras": ("#7a5aa6", ":", "D"),
    "gsl_rkck": ("#5a6673", ":", "D"),
    "dopri5": ("#17917c", ":", "D"),
    "hairer_rodas4p": ("#17917c", "-", "^"),
}


@dataclass
class Results:
    """All that was measured in one run."""

    loads: list[float]
    lines: dict[str, list[Line]] = field(default_factory=dict)
    python_lines: dict[str, list[Line]] = field(default_factory=dict)
    sweeps: dict[str, list[Line]] = field(default_factory=dict)
    changes: dict[str, dict[str, float]] = field(default_factory=dict)
    threads: dict[float, dict[str, float]] = field(default_factory=dict)
    lanes: dict[float, dict[int, float]] = field(default_factory=dict)
    sweep_lanes: int = 1
    sizes: list[dict[str, float]] = field(default_factory=list)
    done: list[str] = field(default_factory=list)


def of(lines: list[Line], solver: str, same_work: bool = False) -> list[Line]:
    """Return the lines of one solver."""
    return [x for x in lines if x.solver == solver and x.same_work == same_work]


def ratios(
    lines: list[Line], base: list[Line], solver: str, same_work: bool = False
) -> list[float]:
    """Return a solver's time over that of `base` at each error."""
    mine = of(lines, solver, same_work)
    return [time_at(mine, level) / time_at(base, level) for level in LEVELS]


def fastest(
    lines: list[Line], base: list[Line], level: float, same_work: bool = False
) -> tuple[float, str]:
    """Return the least ratio of any rival at an error, and whose it is."""
    at = LEVELS.index(level)
    known = DO_SAME_WORK if same_work else TITLES
    rivals = [s for s in known if s not in OWN and of(lines, s, same_work)]
    found = [(ratios(lines, base, s, same_work)[at], s) for s in rivals]
    return min((pair for pair in found if np.isfinite(pair[0])), default=(np.nan, ""))


@dataclass(frozen=True, slots=True)
class Target:
    """One row of the targets: what, at 1c348e7, how much is wanted, how much was measured."""

    what: str
    before: str
    wanted: float
    measured: float
    whose: str

    @property
    def verdict(self) -> str:
        """Met, or by how much missed."""
        if self.measured >= self.wanted:
            return "met"
        return f"missed by {self.wanted / self.measured:.3g} times"


def targets(results: Results) -> list[Target]:
    """Return the targets that are ratios to a rival, on the car as it was."""
    lines = results.lines["earlier_launch"]
    alone, sweep = of(lines, "layshaft"), results.sweeps["earlier_launch"]
    rows = []
    for what, base, levels in (
        ("a launch over the fastest rival", alone, ((1e-5, "1.46", 2.5), (1e-7, ".70", 1.3))),
        ("a launch in a sweep", sweep, ((1e-5, "3.7", 7.0), (1e-7, "2.25", 4.0))),
    ):
        for level, before, wanted in levels:
            ratio, whose = fastest(lines, base, level)
            rows.append(Target(f"{what}, error {level:g} s", before, wanted, ratio, whose))
    for what, base, before, wanted in (
        ("a launch over CVODE as it comes", alone, "2.5", 4.5),
        ("a launch in a sweep over CVODE as it comes", sweep, "6.3", 12.0),
    ):
        ratio = ratios(lines, base, "cvode_bdf")[LEVELS.index(1e-5)]
        rows.append(Target(f"{what}, error 1e-05 s", before, wanted, ratio, "cvode_bdf"))
    least = min(
        (*fastest(some, of(some, "layshaft"), level, same_work=True), problem, level)
        for problem, some in results.lines.items()
        for level in LEVELS
        if np.isfinite(fastest(some, of(some, "layshaft"), level, same_work=True)[0])
    )
    what = f"any problem, any error, the same work: {PROBLEM_TITLES[least[2]]}, {least[3]:g} s"
    return [*rows, Target(what, ".55", 1.0, least[0], least[1])]


def _target_table(results: Results) -> list[str]:
    rows = ["| what | 1c348e7 | target | measured | fastest rival | |", "|---|---|---|---|---|---|"]
    rows += [
        f"| {t.what} | {t.before} | {t.wanted:g} | {t.measured:.2f} | {TITLES[t.whose]} | "
        f"{t.verdict} |"
        for t in targets(results)
    ]
    for problem, found in results.changes.items():
        same, settings = found["layshaft"], found["settings"]
        rows.append(
            f"| mode changes as at tolerance 1e-12: {PROBLEM_TITLES[problem]} | all | all of "
            f"{settings} | {same} | | {'met' if same == settings else 'missed'} |"
        )
    return rows


def _number(ratio: float) -> str:
    return "-" if np.isnan(ratio) else f"{ratio:.2f}"


def _ratio_table(lines: list[Line], base: list[Line]) -> list[str]:
    head = " | ".join(f"{level:g} s" for level in LEVELS)
    rows = [f"| solver | {head} |", "|---" * (1 + len(LEVELS)) + "|"]
    us = " | ".join(f"{1e6 * time_at(base, level):.0f} us" for level in LEVELS)
    rows.append(f"| {TITLES['layshaft']} | {us} |")
    kinds = {(x.solver, x.same_work) for x in lines} - {("layshaft", False)}
    found = [(ratios(lines, base, *kind), kind) for kind in kinds]
    for ratio, (solver, same_work) in sorted(
        found, key=lambda pair: np.nan_to_num(pair[0][1], nan=99)
    ):
        work = ", the same work" if same_work else ""
        rows.append(f"| {TITLES[solver]}{work} | {' | '.join(map(_number, ratio))} |")
    return rows


def _least_table(results: Results) -> list[str]:
    head = " | ".join(f"{level:g} s" for level in LEVELS)
    rows = [f"| problem | work | {head} |", "|---" * (2 + len(LEVELS)) + "|"]
    for problem in PROBLEMS:
        lines = results.lines[problem]
        for same_work in (False, True):
            cells = []
            for level in LEVELS:
                ratio, whose = fastest(lines, of(lines, "layshaft"), level, same_work)
                cells.append(f"{_number(ratio)} {TITLES.get(whose, '')}")
            work = "the same" if same_work else "raw"
            rows.append(f"| {PROBLEM_TITLES[problem]} | {work} | {' | '.join(cells)} |")
    return rows


def _sweep_lines(results: Results) -> list[str]:
    rows = []
    for problem, sweep in results.sweeps.items():
        table = _ratio_table(results.lines[problem], sweep)
        rows += ["", f"### {PROBLEM_TITLES[problem]}", "", *table]
    rows += [
        "",
        "| launches, tolerance 1e-6 | CPU a launch [us] | wall [us] | memory gained [MB] |",
        "|---|---|---|---|",
    ]
    rows += [
        f"| {x['runs']} | {1e6 * x['cpu']:.0f} | {1e6 * x['wall']:.0f} | {x['memory'] / 1e6:.1f} |"
        for x in results.sizes
    ]
    for tolerance, found in results.threads.items():
        lanes = ", ".join(f"{w} lanes {r:.2f}" for w, r in results.lanes[tolerance].items())
        rows += [
            "",
            f"At tolerance {tolerance:g}: two threads against one, on the wall, "
            f"{found['ratio']:.2f} times as fast (best of the turns {found['best']:.2f}), with "
            f"{found['cpu']:.2f} times the processor time and the same bits; against launches one "
            f"by one: {lanes}.",
        ]
    for problem, found in results.changes.items():
        rows += [
            "",
            f"{PROBLEM_TITLES[problem]}: the reference against CVODE at 1e-12 has the same changes "
            f"in {found['other']} of {found['checked']}, times at most {found['farthest']:.1e} s "
            "apart.",
        ]
    return rows


FAIR_PLAY = """\
Each solver over its tolerances in half decades; its time at an error is interpolated on logarithmic
scales between those of its points that no more exact one beats. The error is the largest of the
median errors of the time to 60 m, of the first contact and of the lock-up, over settings of gap,
slug and pinion; without such times, that of any change. A time is the least of two rounds, in which
all solvers take their turn on each setting, in one process and one thread; processor time counts,
since other work may run on the machine. All share the right-hand side, the analytic Jacobian (where
a method takes one), guards and mode changes, compiled with the project's flags; the rivals are
optimised builds, which is looked at, and one that is not is refused. Errors are weighed against
tolerance * (scale + |state|) by all; Layshaft takes the largest component, the others a mean
square. Steps are at most 100 ms. *Tuned*: with the library's own sparse factors, a convergence
coefficient of .33 and orders up to 4 (CVODE), of .3 and the highest predictor (ESDIRK436).

*Raw*: rivals carry the distance as one more state and look at the guards where a step ends, or as
their own root finding does; Layshaft looks twice inside each step as well, sums 14 energies and
notes marks, peaks and the shift. *The same work*: Hairer's codes look twice inside each step and
sum all energies by the library's rule, CVODE carries them as quadratures without error test.

From Python, solvers are called through functions compiled by Numba before the clock runs, with all
guards as one event. heyoka runs O1 alone: it cannot call a compiled right-hand side, and the car's
is not analytic."""


def _commit() -> str:
    command = ["git", "-C", str(Path(__file__).parent), "describe", "--always", "--dirty"]
    return subprocess.run(command, capture_output=True, text=True, check=False).stdout.strip()


def _made_with() -> str:
    compiler = subprocess.run(["g++", "--version"], capture_output=True, text=True, check=True)
    gsl = subprocess.run(["gsl-config", "--version"], capture_output=True, text=True, check=True)
    packages = ("scipy", "numba", "scikit-sundae", "CyRK", "heyoka")
    fetched = [package.requirement.replace("==", " ") for package in PACKAGES]
    installed = [f"{name} {version(name)}" for name in packages]
    return ", ".join(
        [f"Library of commit {_commit()}", compiler.stdout.splitlines()[0],
         "-O3, SUNDIALS and GSL -O2", *fetched, f"GSL {gsl.stdout.strip()}", *installed]
    )  # fmt: skip


def _markdown(results: Results) -> str:
    loads = ", ".join(f"{load:.1f}" for load in results.loads)
    parts = [
        "# Layshaft against general solvers",
        "Made by `python tests/bench/run.py`; all points of the picture stand in `results.csv`. "
        "Ratios are processor times over Layshaft's at equal error: above 1 Layshaft is faster.",
        f"Load of the two-core machine between the parts: {loads}. {_made_with()}.",
        "\n".join(_target_table(results)),
        "## The fastest rival on each problem",
        "\n".join(_least_table(results)),
    ]
    for problem in PROBLEMS:
        lines = results.lines[problem]
        parts += [
            f"## {PROBLEM_TITLES[problem]}",
            "\n".join(_ratio_table(lines, of(lines, "layshaft"))),
        ]
    for problem, lines in results.python_lines.items():
        parts += [
            f"## From Python: {PROBLEM_TITLES[problem]}",
            "\n".join(_ratio_table(lines, of(lines, "layshaft"))),
        ]
    parts += [
        f"## Sweeps in one thread and {results.sweep_lanes} lanes",
        "\n".join(_sweep_lines(results)).strip(),
        "## Fair play",
        FAIR_PLAY,
    ]
    return "\n\n".join(parts) + "\n"


COLUMNS = (
    "problem", "solver", "work", "tolerance", "settings", "error_s", "cpu_s", "steps",
    "same_changes",
)  # fmt: skip


def _csv(results: Results, path: Path) -> None:
    with path.open("w", newline="") as out:
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(COLUMNS)
        for lines in (
            *results.lines.values(),
            *results.python_lines.values(),
            *results.sweeps.values(),
        ):
            for x in lines:
                rows.writerow(
                    [x.problem, x.solver, "same" if x.same_work else "raw", f"{x.tolerance:.4g}",
                     len(x.cpu), f"{x.error():.4g}", f"{x.time():.4g}", f"{x.steps:.4g}",
                     x.same_changes]
                )  # fmt: skip


def _picture(results: Results, path: Path) -> None:
    from matplotlib.figure import Figure

    figure = Figure(figsize=(13.0, 8.2), layout="constrained", facecolor="white")
    for axes, problem in zip(figure.subplots(2, 3).flat, PROBLEMS, strict=True):
        for solver, (colour, dashes, marker) in LOOKS.items():
            lines = [x for x in of(results.lines[problem], solver) if np.isfinite(x.error())]
            ours = solver == "layshaft"
            axes.loglog(
                [max(x.error(), 1e-12) for x in lines], [1e3 * x.time() for x in lines],
                color=colour, linestyle=dashes, marker=marker, markersize=4.5,
                label=TITLES[solver].strip("*"), linewidth=3.2 if ours else 1.4,
                zorder=3 if ours else 2,
            )  # fmt: skip
        axes.set_title(PROBLEM_TITLES[problem], loc="left", color=INK, fontsize=11)
        axes.grid(color=GRID)
        axes.tick_params(colors=INK, labelsize=10, length=0, which="both")
        axes.set_xlim(1e-8, 1e-3)
        for spine in axes.spines.values():
            spine.set_visible(False)
    for axes in figure.axes[3:]:
        axes.set_xlabel("error in times [s]", color=INK, fontsize=11)
    for axes in figure.axes[::3]:
        axes.set_ylabel("processor time [ms]", color=INK, fontsize=11)
    handles, labels = figure.axes[0].get_legend_handles_labels()
    figure.legend(
        handles, labels, loc="outside lower center", ncols=4, frameon=False, fontsize=11,
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
