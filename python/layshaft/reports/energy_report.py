"""Where the work of a run went, and what gave it."""

from layshaft.reports.pit_table import PitTable
from layshaft.runs.launch_run import LaunchRun
from layshaft.setup.handed_over import checked

_SINKS = {
    "car_energy": "speed of the car",
    "rotating_energy": "all that turns",
    "clutch_loss": "engine clutch slip",
    "shoe_loss": "two-speed slip",
    "mesh_loss": "gear meshes",
    "belt_loss": "belts",
    "brake_loss": "bearings and brake",
    "rolling_loss": "rolling drag",
    "rear_tyre_loss": "rear tyre slip",
    "front_tyre_loss": "front tyre slip",
    "air_loss": "air drag",
    "grade_work": "climbing",
    "engine_work": "engine, driven by the car",
}
#: What drives a run where the sign is the other one.
_SOURCES = {
    "engine_work": "engine",
    "car_energy": "speed of the car",
    "rotating_energy": "all that turns",
    "grade_work": "the fall of the road",
}
_LEAST_SHARE = 1e-3


def energy_rows(run: "LaunchRun") -> PitTable:
    """Return where the work went, the largest first, as shares of all that was given.

    Returns
    -------
    PitTable
        Its rows, numbers in the units of the workshop.
    """
    checked("run", run, LaunchRun, "layshaft.launch")
    rows = PitTable("energy\nJ", "\n%")
    rows.add_column("", is_text=True)
    sources = sorted_sources(run)
    work = sum(energy for _, energy in sources)
    for name, energy, _ in sorted_sinks(run):
        rows.add_row(f"{energy:.0f}", f"{100 * energy / work:.0f}", name)
    if [name for name, _ in sources] != ["engine"]:
        given = ", ".join(f"{name} {energy:.0f} J" for name, energy in sources)
        rows.caption = f"given by: {given}"
    return rows


def sorted_sinks(run: "LaunchRun") -> list[tuple[str, float, bool]]:
    """List where the work went, largest first: name, energy [J], whether it is motion.

    Sinks below a thousandth of all that `sorted_sources` gave are left out.

    Examples
    --------
    >>> import layshaft
    >>> sorted_sinks(layshaft.launch(layshaft.demo_car()))[0][0]
    'speed of the car'
    """
    flows = _flows(run)
    least = _LEAST_SHARE * sum(-energy for energy in flows.values() if energy < 0.0)
    rows = [
        (text, flows[name], name in ("car_energy", "rotating_energy"))
        for name, text in _SINKS.items()
        if flows[name] > least
    ]
    return sorted(rows, key=lambda row: -row[1])


def sorted_sources(run: "LaunchRun") -> list[tuple[str, float]]:
    """List what gave the work, largest first: name, energy [J].

    A car that coasts or brakes lives on its own motion; one that rolls down also on the fall.

    Examples
    --------
    >>> import layshaft
    >>> [name for name, _ in sorted_sources(layshaft.launch(layshaft.demo_car()))]
    ['engine']
    """
    flows = _flows(run)
    least = _LEAST_SHARE * sum(-energy for energy in flows.values() if energy < 0.0)
    rows = [(text, -flows[name]) for name, text in _SOURCES.items() if -flows[name] > least]
    return sorted(rows, key=lambda row: -row[1])


def _flows(run: "LaunchRun") -> dict[str, float]:
    """Return what each part took [J], below 0 what it gave."""
    energy = run.energy
    return {name: energy[name] for name in _SINKS} | {"engine_work": -energy["engine_work"]}
