"""Format every C++ and C file with clang-format; with `--check`, name those that differ instead."""

import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
FOLDERS = ("cpp", "tests", "reference-cases")


def main() -> int:
    """Run clang-format once over all files."""
    patterns = ("*.[ch]pp", "*.[ch]")
    files = sorted(f for d in FOLDERS for each in patterns for f in (TOP / d).rglob(each))
    mode = ["--dry-run", "--Werror"] if "--check" in sys.argv[1:] else ["-i"]
    result = subprocess.run(["clang-format", *mode, *map(str, files)], check=False)
    print("Some" if result.returncode else "None", f"of {len(files)} files left to format")
    return result.returncode


if __name__ == "__main__":
    sys.exit(main())
