"""The README's examples run."""

import re
import shlex
from pathlib import Path

import pytest
from layshaft.cli import app
from typer.testing import CliRunner

TOP = Path(__file__).resolve().parents[2]
README = (TOP / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)


def test_the_python_examples_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    exec(compile("\n".join(blocks("python")), "README.md", "exec"), {})
    assert (tmp_path / "sweep.nc").exists()
    assert (tmp_path / "runs.nc").exists()


def masked(text: str) -> list[str]:
    """Return the lines with every number hidden, and the two ways that a screw turns."""
    lines = re.sub(r"\d+(\.\d+)?", "0", text).splitlines()
    return [re.sub(r" (in|out), from", " in, from", line).strip() for line in lines]


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
        printed += masked(result.stdout)
    assert set(masked(shown)) <= set(printed)


def test_pictures_are_there() -> None:
    for name in re.findall(r"!\[.*?\]\((.*?)\)", README):
        assert (TOP / name).read_bytes().startswith(b"\x89PNG"), name
