"""What must hold for any bytes given as a set-up file, whoever made them."""

from pathlib import Path

import layshaft

CORPUS = Path(__file__).parent / "corpus" / "setup"


def check_setup(content: bytes, path: Path) -> None:
    """Read `content` as a set-up file at `path`: a car that writes back as itself, or clear faults.

    Raises
    ------
    AssertionError
        If it is neither; any other exception is as wrong.
    """
    path.write_bytes(content)
    try:
        car = layshaft.read_car(path)
    except layshaft.SetupError as error:
        check_faults(error, content, path)
        return
    text = car.to_toml()
    path.write_text(text, encoding="utf-8")
    assert layshaft.read_car(path) == car
    assert layshaft.read_car(path).to_toml() == text


def check_faults(error: layshaft.SetupError, content: bytes, path: Path) -> None:
    """Check that each fault stands in one line, says what must be, and names a line that exists."""
    assert error.faults
    lines = content.count(b"\n") + 1
    for fault in error.faults:
        assert fault.must
        assert fault.file == str(path)
        assert fault.line is None or 1 <= fault.line <= lines, (fault.line, lines)
        text = str(fault)
        assert text.isprintable() or not fault.setting.isprintable()
        assert len(text.splitlines()) == 1, text
        text.encode("utf-8")
