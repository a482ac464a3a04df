"""The README's examples run."""

import re
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest
from layshaft.cli.main import app
from typer.testing import CliRunner

TOP = Path(__file__).resolve().parents[2]
README = (TOP / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)


def test_the_python_examples_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    exec(compile("\n".join(blocks("python")), "README.md", "exec"), {})
    (shown,) = (block.splitlines() for block in blocks("output"))
    assert capsys.readouterr().out.splitlines()[: len(shown)] == shown
    assert (tmp_path / "sweep.nc").exists()
    assert (tmp_path / "runs.nc").exists()


def masked(text: str) -> list[str]:
    """Return the lines with every number hidden, and the two ways that a screw turns."""
    lines = re.sub(r"\d+(\.\d+)?", "0", text).splitlines()
    return [re.sub(r" (in|out), from", " in, from", line).strip() for line in lines]


def numbers(text: str) -> list[float]:
    """Return every number of a text."""
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]


def test_the_commands_run_in_their_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for text in (*blocks("toml"), *blocks("csv")):
        Path(text.splitlines()[0].removeprefix("# ")).write_text(text, encoding="utf-8")
    (shown,) = blocks("text")
    printed: list[str] = []
    text = "\n".join(blocks("sh"))
    commands = [
        shlex.split(command) for command in re.findall(r"layshaft (\w.*)$", text, re.MULTILINE)
    ]
    assert commands[0] == ["sweep"]
    assert len(commands) >= 4
    for words in commands:
        result = CliRunner().invoke(app, words)
        assert result.exit_code == 0, (words, result.output)
        printed += result.stdout.splitlines()
    masks = masked("\n".join(printed))
    for line, mask in zip(shown.splitlines(), masked(shown), strict=True):
        alike = [numbers(each) for each, other in zip(printed, masks, strict=True) if other == mask]
        # Another processor may end a fit elsewhere by a hundredth of what it is sure of.
        close = pytest.approx(numbers(line), rel=0.03, abs=0.03)
        assert any(close == each for each in alike), (line, alike)


def test_pictures_are_there() -> None:
    for name in re.findall(r"!\[.*?\]\((.*?)\)", README):
        assert (TOP / name).read_bytes().startswith(b"\x89PNG"), name


def test_the_check_runs_the_command_of_the_readme_after_the_look_at_the_machine() -> None:
    install, check = (text.strip() for text in blocks("sh")[:2])
    assert (TOP / ".ci/run").read_text(encoding="utf-8").splitlines()[-1] == check
    for command in (install, check):
        assert command.startswith("sh .ci/needs && python3 -m venv .venv && ")


def test_what_the_machine_lacks_is_said_before_anything_is_begun(tmp_path: Path) -> None:
    for name in ("sh", "id"):  # a machine without compiler, Python and apt-get
        (tmp_path / name).symlink_to(shutil.which(name))
    done = subprocess.run(
        [tmp_path / "sh", TOP / ".ci/needs"],
        env={"PATH": str(tmp_path)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1
    assert done.stdout == ""
    for what in ("a C++20 compiler", "Python >= 3.11", "Python's venv", "Python's headers"):
        assert what in done.stderr.splitlines()[0]
    assert "g++ python3 python3-venv python3-dev" in done.stderr.splitlines()[1]
