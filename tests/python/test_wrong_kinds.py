"""Every public function, called with a thing of a wrong kind in each of its places.

What is refused is refused by the name of the argument in a bounded message, and never by an error
that comes from inside.
"""

import inspect
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path

import layshaft
import numpy as np
import pandas
import pytest
from layshaft import goals, plots, reports

CAR = layshaft.demo_car()
LONGEST = 500  #: letters of a message that a reader takes in
HERE = str(Path(layshaft.__file__).parent)
#: By name: what no argument of any function takes all of.
WRONG = {
    "none": None,
    "text": "no such thing",
    "number": -3.5,
    "empty list": [],
    "list of nothing known": [object()],
    "array": np.zeros(3),
    "car": CAR,
    "table": {1: 2},
    "long text": "y" * 5000,
    "long number": 10**400,
}
#: Hold results, and take them unlooked at: nobody makes one by hand.
RESULTS = {name for name in layshaft.__all__ if name[0].isupper()} - {"Car", "Track", "TyreWear"}
#: Write to what they are given.
WRITERS = {"write_schemas"}
#: May do without: many runs, by default.
LONG = {"gear_map", "stint", "scatter", "suggest", "recommend", "trade_off"}


@pytest.fixture(scope="module")
def given() -> dict[str, object]:
    """Return what each argument takes, by its name."""
    heard = [layshaft.observe("shift_speed", "66 km/h")]
    box = layshaft.Parts(first_pinions=(16, 17), first_spurs=(50, 51))
    sweep = layshaft.sweep(CAR, {"two_speed.gap": ["4.4 mm", "4.6 mm"]}, distance=20.0)
    over = {"two_speed.gap": ["4.4 mm", "4.6 mm"]}
    both = [goals.quickest(distance=20.0), goals.coolest_shoes(distance=20.0)]
    log = pandas.DataFrame({"time_s": [0.5, 1.0], "car_speed_km_per_h": [18.0, 36.0]})
    return {
        "advice": layshaft.best_setting(sweep),
        "axes": over,
        "car": CAR,
        "cases": [{}],
        "chart": layshaft.mesh(CAR, box),
        "data": sweep,
        "distances": [1.0, 2.0],
        "error": 0.5,
        "function": len,
        "given": log,
        "goals": both,
        "learned": layshaft.learn(CAR, heard, ["two_speed.zero_preload_reading"]),
        "measure": "shift_speed",
        "name": "club",
        "over": over,
        "parts": box,
        "path": "two_speed.gap",
        "pieces": layshaft.demo_track("club").pieces,
        "point": sweep.isel(two_speed_gap=0),
        "quantity": "car_speed",
        "run": layshaft.launch(CAR, distance=20.0),
        "section": "clutch.heat",
        "seen": heard,
        "speed": "60 km/h",
        "table": sweep,
        "temperature": 300.0,
        "times": [1.0, 1.1],
        "track": "club",
        "value": 15.0,
        "values": [1.0, 2.0],
    }


def functions() -> Iterator[tuple[str, Callable]]:
    """Go through what is public and can be called by hand, by its name."""
    rooms = {
        "": (layshaft, set(layshaft.__all__) - RESULTS - WRITERS),
        "goals.": (goals, set(goals.__all__) - {"Goal"}),
        "plots.": (plots, set(plots.__all__)),
        "reports.": (reports, set(reports.__all__) - {"PitTable"}),
    }
    for prefix, (room, names) in rooms.items():
        for name in sorted(names):
            thing = getattr(room, name)
            is_error = inspect.isclass(thing) and issubclass(thing, Exception)
            if callable(thing) and not is_error:
                yield prefix + name, thing


FUNCTIONS = dict(functions())


@pytest.mark.parametrize("name", FUNCTIONS)
def test_what_is_of_a_wrong_kind_is_refused_by_its_name(
    name: str, given: dict[str, object], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    function = FUNCTIONS[name]
    named = inspect.signature(function).parameters.values()
    places = [p for p in named if p.kind not in (p.VAR_KEYWORD, p.VAR_POSITIONAL)]
    for place in places:
        for kind, wrong in WRONG.items():
            if place.default is None and wrong is None:
                continue
            if name in LONG and wrong is CAR and place.name == "car":
                continue
            others = {
                each.name: given.get(each.name) for each in places if each.default is each.empty
            }
            _call(f"{name}({place.name} = {kind})", function, others | {place.name: wrong})


def _call(what: str, function: Callable, arguments: dict[str, object]) -> None:
    places = inspect.signature(function).parameters
    first = [
        arguments.pop(name)
        for name, place in places.items()
        if place.kind is place.POSITIONAL_ONLY and name in arguments
    ]
    caught = _refused(function, first, arguments)
    if caught is None:  # taken as it is: some values suit some places
        return
    told = str(caught)
    assert len(told) <= LONGEST, (what, told)
    assert "incompatible function arguments" not in told, (what, told)
    if not isinstance(caught, OSError):  # of a file that is not there
        last = traceback.extract_tb(caught.__traceback__)[-1]
        assert last.filename.startswith(HERE), (what, told, last)
        assert "raise" in (last.line or "") or "_core" in (last.line or ""), (what, told, last)


def _refused(function: Callable, first: list, arguments: dict[str, object]) -> Exception | None:
    try:
        function(*first, **arguments)
    except (TypeError, ValueError, OSError) as error:
        return error
    return None


@pytest.mark.parametrize(
    ("name", "call"),
    [
        ("table", lambda: layshaft.best_setting(None, CAR)),
        ("table", lambda: layshaft.best_gears(None)),
        ("pieces", lambda: layshaft.Track("x", "x")),
        ("pieces", lambda: layshaft.Track("x", None)),
        ("cases", lambda: layshaft.run_cases(CAR, CAR)),
        ("on_failure", lambda: layshaft.launch(CAR, on_failure=np.zeros(3))),
        ("on_failure", lambda: layshaft.lap(CAR, "club", on_failure=np.zeros(3))),
        ("within", lambda: goals.quickest(within=[])),
        ("wear", lambda: layshaft.stint(CAR, "club", wear=8e-8)),
        ("run", lambda: plots.car_speed(CAR)),
        ("race", lambda: plots.fuel(CAR)),
        ("theme", lambda: plots.engine_shares(layshaft.lap(CAR, "club"), theme="blue")),
        ("axes", lambda: plots.car_speed(layshaft.launch(CAR, distance=5.0), "upper")),
        ("progress", lambda: layshaft.sweep(CAR, {"first.pinion": [16]}, progress="yes")),
        ("unknown", lambda: layshaft.learn(CAR, [layshaft.observe("shift_speed", 18.0)], 3)),
    ],
)
def test_what_came_bare_before_names_its_argument(name: str, call: Callable) -> None:
    with pytest.raises((TypeError, ValueError), match=rf"^{name} = .* must be "):
        call()
