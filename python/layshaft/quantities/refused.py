"""What is refused, as its message shows it."""

_LONGEST_SHOWN = 60


def shown(value: object) -> str:
    """Write a value that is refused, no longer than a line takes.

    Examples
    --------
    >>> shown("4,6 mm"), len(shown("4" * 1000)), shown(10**400)
    ("'4,6 mm'", 60, '<int>')
    """
    if isinstance(value, int) and abs(value) >= 10**_LONGEST_SHOWN:
        return f"<{type(value).__name__}>"
    return cut(repr(value[:_LONGEST_SHOWN] if isinstance(value, str | bytes) else value))


def cut(text: str) -> str:
    """Return a text, no longer than a line takes.

    Examples
    --------
    >>> cut("first.pinion"), len(cut("first.pinion" * 1000))
    ('first.pinion', 60)
    """
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 3]}..."
