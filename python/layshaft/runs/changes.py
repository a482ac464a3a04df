"""What happened in a run, part by part, in the words of the pit."""

from typing import Any, NamedTuple


class Change(NamedTuple):
    """One change of what a part does.

    `part`, `was`, `now` and `cause` are as the core names them; `text` says it in words.
    """

    time: float  #: [s]
    text: str
    part: str  #: coupling or switch
    was: str | int  #: mode of the coupling or position of the switch before
    now: str | int
    cause: str

    def __str__(self) -> str:
        return f"{self.time:8.4f} s  {self.text}"


_STUCK = ("stuck", "stuck_back")

# (part, now) or (part, now, was); `stuck` stands for both directions of a coupling that holds.
_SENTENCES = {
    ("clutch", 0): "engine clutch stops pressing",
    ("clutch", 1): "engine clutch begins to press",
    ("clutch", "open"): "engine clutch is free",
    ("clutch", "stuck"): "engine clutch locks",
    ("clutch", "slip_positive"): "engine clutch slips, engine faster",
    ("clutch", "slip_negative"): "engine clutch slips, car pushes the engine",
    ("first", "stuck"): "first gear takes hold",
    ("first", "slip_negative"): "first gear lets go",
    ("second", "open"): "drum is free",
    ("second", "stuck"): "drum locks: second gear",
    ("second", "slip_positive"): "drum slips, engine side faster",
    ("second", "slip_negative"): "drum slips, car side faster",
    ("second", "slip_positive", "open"): "shoes begin to drag the drum",
    ("second", "slip_negative", "open"): "shoes begin to be dragged by the drum",
    ("brake", "stuck"): "two-speed shaft stands still",
    ("brake", "slip_positive"): "two-speed shaft begins to turn",
    ("brake", "slip_negative"): "two-speed shaft turns backwards",
    ("rolling", "stuck"): "car stands still",
    ("rolling", "slip_positive"): "car begins to roll",
    ("rolling", "slip_negative"): "car rolls back",
}
_SHOE_SENTENCES = {0: "{shoe} comes back", 1: "{shoe} touches the drum"}
_BOTH_SHOES_SENTENCES = {0: "both shoes come back", 1: "both shoes touch the drum"}
_AXLE_SENTENCES = {
    "stuck": "{axle} belt drives its axle",
    "stuck_back": "{axle} wheels drive their belt",
    "slip_positive": "{axle} belt jumps teeth under power",
    "slip_negative": "{axle} belt jumps teeth under braking",
}
_ONE_WAY_SENTENCES = {
    "stuck": "front one-way takes hold",
    "slip_negative": "front one-way lets the wheels run ahead",
}


def sentence(part: str, was: str | int, now: str | int, *, one_way: bool) -> str:
    """Say one change in words.

    Parameters
    ----------
    part
        Coupling or switch, as in `layshaft._core`.
    was, now
        Its mode or position.
    one_way
        Whether the front axle has a one-way bearing.

    Examples
    --------
    >>> sentence("first", "stuck", "slip_negative", one_way=False)
    'first gear lets go'
    """
    if part == "pedals":
        return "pedals reach the next point of their course"
    if part in ("rear_belt", "front_belt"):
        axle = part.removesuffix("_belt")
        if one_way and axle == "front" and now in _ONE_WAY_SENTENCES:
            return _ONE_WAY_SENTENCES[now]
        return _AXLE_SENTENCES.get(str(now), "{axle} belt is off").format(axle=axle)
    if _is_shoe(part):
        return _SHOE_SENTENCES[int(now)].format(shoe=part.replace("_", " "))
    if now in _STUCK and was in _STUCK:
        pushing = "car pushes the engine" if now == "stuck_back" else "engine pulls again"
        return f"{part} gear: {pushing}"
    held = "stuck" if now in _STUCK else now
    said = _SENTENCES.get((part, held, was)) or _SENTENCES.get((part, held))
    return said or f"{part}: from {was} to {now}".replace("_", " ")


def read_changes(rows: list[dict[str, Any]], *, one_way: bool) -> tuple[Change, ...]:
    """Turn the core's rows, the fields of a `Change` without its text, into changes."""
    return tuple(
        Change(text=sentence(row["part"], row["was"], row["now"], one_way=one_way), **row)
        for row in rows
    )


def main_changes(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """Pick the changes a mechanic cares about, two shoes at one instant as one.

    Left out: what only follows from another entry of the same instant, a part that holds and is
    now driven from its other side, bearings and pedals.
    """
    picked: list[Change] = []
    for change in changes:
        if change.part in ("pedals", "brake") or _only_follows(change) or _only_turns_round(change):
            continue
        previous = picked[-1] if picked else None
        if previous and _at_one_instant(previous, change) and _same_shoes(previous, change):
            picked[-1] = change._replace(text=_BOTH_SHOES_SENTENCES[int(change.now)])
            continue
        picked.append(change)
    return tuple(picked)


def _at_one_instant(first: Change, second: Change) -> bool:
    # As the core counts: a root is located to round-off, so two of one instant may differ by it.
    return second.time - first.time <= 1e-9


def _only_follows(change: Change) -> bool:
    return change.part in ("clutch", "second") and "open" in (change.was, change.now)


def _only_turns_round(change: Change) -> bool:
    return change.was in _STUCK and change.now in _STUCK


def _same_shoes(previous: Change, change: Change) -> bool:
    return _is_shoe(previous.part) and _is_shoe(change.part) and previous.now == change.now


def _is_shoe(part: str) -> bool:
    return part.startswith("shoe_")
