"""Whether a run judders: parts that take and let go by turns far faster than anyone could ask."""

import collections
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from layshaft.runs.changes import Change

#: As often as this in one second no driver, and no shift, changes a part's mode.
MOST_IN_A_SECOND = 40

#: Section, name and remedy by the part that drives the judder, the likeliest first.
_REMEDIES = {
    "clutch": (
        "clutch",
        "The engine clutch",
        "the engine stays at the speed where it bites; let it bite earlier, or idle slower",
    ),
    "rear_belt": (
        "belts.rear",
        "The rear belt",
        "it is too slack for what the wheels do; tighten it",
    ),
    "front_belt": (
        "belts.front",
        "The front belt or the middle one",
        "it is too slack for what the wheels do; tighten it",
    ),
    "second": (
        "two_speed",
        "The two-speed's drum",
        "the shoes only just hold it; turn the screws, or change the weights",
    ),
    "first": (
        "first",
        "First gear's one-way bearing",
        "engine and wheels push by turns; look at pedals, idle and engine brake",
    ),
}
_OTHERS = ("car", "The car", "it stands and creeps by turns; look at throttle, brake and grade")


def judder_warnings(changes: Iterable["Change"]) -> tuple[tuple[str, str, str], ...]:
    """Return the warning of a run whose parts take and let go by turns, or nothing.

    The cause that it names is the likeliest for that part, not one that was found.

    Each of the changes is true of the model: a part that only just holds has nothing else to do.

    Parameters
    ----------
    changes
        Changes of mode in the order of time.

    Returns
    -------
    tuple
        No triple (section, code, sentence), or one.

    Examples
    --------
    >>> import layshaft
    >>> judder_warnings(layshaft.launch(layshaft.demo_car()).changes)
    ()
    """
    times = collections.defaultdict(list)
    for change in changes:
        times[change.part, change.text].append(change.time)
    most: dict[str, tuple[int, float]] = {}
    for (part, _), at in times.items():
        first = np.searchsorted(at, np.array(at) - 1.0)
        within = np.arange(1, len(at) + 1) - first
        last = int(within.argmax())
        count = int(within[last])
        if count > MOST_IN_A_SECOND and count > most.get(part, (0, 0.0))[0]:
            most[part] = (count, at[int(first[last])])
    if not most:
        return ()
    part = next((name for name in _REMEDIES if name in most), next(iter(most)))
    section, what, remedy = _REMEDIES.get(part, _OTHERS)
    count, begin = most[part]
    often = f"{what} takes and lets go {count} times in a second from {begin:.1f} s"
    sentence = f"{often}: likely {remedy}."
    return ((section, "judders", sentence),)
