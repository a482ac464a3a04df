"""Fuzzer of the set-up reader, guided by the code it reaches; takes `pip install atheris`.

    python tests/fuzz/setup_fuzz.py --seconds 120 --corpus build/fuzz/setup

Starts from the kept files of `tests/fuzz/corpus/setup`, which the test suite replays too. What it
finds on the way goes to the folder `--corpus`; a file that breaks a rule of `setup_check.py` is
written to `crash-...` in the working folder, for the kept files once its fault is mended.
"""

import argparse
import sys
import tempfile
import warnings
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["layshaft", "tomllib"]):
    import tomllib  # noqa: F401


import setup_check
from layshaft.quantities import units
from layshaft.setup import field_table


def words() -> list[str]:
    """List what random bytes would hardly hit: names, units, choices and the marks of TOML."""
    names = {part for path in field_table.positions() for part in path.split(".")}
    names |= {choice for field in field_table.fields() for choice in field.choices}
    names |= {f"[{section}]" for section in field_table.sections() if section}
    for quantity in units.QUANTITIES.values():
        names |= {f" {unit}" for unit in (quantity.unit, *quantity.others) if unit}
    marks = {
        '"""',
        "'''",
        "[[",
        "]]",
        " = ",
        "\n",
        "\r\n",
        "\\u00e9",
        "0x1f",
        "1e400",
        "nan",
        "-inf",
    }
    return sorted(names | marks | {"torque", "gap", "1_000", "2020-01-01T00:00:00Z", "\ufeff"})


def dictionary(folder: Path) -> Path:
    """Write the words in the form that libFuzzer reads."""
    path = folder / "words.dict"
    escaped = ("".join(f"\\x{byte:02x}" for byte in word.encode()) for word in words())
    path.write_text("".join(f'"{word}"\n' for word in escaped))
    return path


def main() -> None:
    """Fuzz for the time that the command line gives."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--corpus", type=Path, default=Path("build/fuzz/setup"))
    asked = parser.parse_args()
    asked.corpus.mkdir(parents=True, exist_ok=True)
    warnings.simplefilter("error")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        arguments = [
            sys.argv[0],
            *(str(asked.corpus), str(setup_check.CORPUS)),
            f"-max_total_time={asked.seconds}",
            f"-seed={asked.seed}",
            f"-dict={dictionary(folder)}",
            *(
                "-timeout=20",
                "-max_len=4096",
                "-len_control=0",
                "-print_final_stats=1",
                "-verbosity=1",
            ),
        ]
        path = folder / "car.toml"
        atheris.Setup(arguments, lambda content: setup_check.check_setup(content, path))
        atheris.Fuzz()


if __name__ == "__main__":
    main()
