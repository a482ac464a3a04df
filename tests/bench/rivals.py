"""Fetch the rivals: packages of PyPI at one version each, known by their digests.

    sundials4py, wheel   CVODES and ARKODE of SUNDIALS, compiled with -O2, headers and archives
    assimulo, source     dopri5.f and rodas_decsol.f of E. Hairer and G. Wanner (BSD, 2 clauses)

Nothing of them is kept in the project. GSL and gfortran are the system's: `apt install libgsl-dev
gfortran`.
"""

import hashlib
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Package:
    """One file of PyPI, and the folder that it is unpacked into."""

    folder: str
    requirement: str
    sha256: str
    options: tuple[str, ...]
    archive: str  #: as `shutil.unpack_archive` calls its format


PACKAGES = (
    Package(
        "sundials",
        "sundials4py==7.9.0",
        "695cb4f356b451c65175ce67dff41240e79bc50d93a996896f5010c51bfa3a0d",
        ("--only-binary", "--py", "3.12", "--platforms", "manylinux_2_28_x86_64"),
        "zip",
    ),
    Package(
        "assimulo",
        "assimulo==3.0",
        "61cdca4562745078c966cc4fab44d8bc0db11a9e6856b45c470ac65c16af9e8a",
        ("--no-binary",),
        "gztar",
    ),
)


def fetch(into: Path) -> None:
    """Fetch and unpack what is not there yet; end where a file is not the one that is known."""
    for package in PACKAGES:
        folder = into / package.folder
        if folder.exists():
            continue
        downloads = into / "downloads" / package.folder
        shutil.rmtree(downloads, ignore_errors=True)
        command = [sys.executable, "-m", "unearth", *package.options, package.requirement]
        subprocess.run(
            [*command, "--download", str(downloads)], check=True, stdout=subprocess.DEVNULL
        )
        file = next(path for path in downloads.iterdir() if path.is_file())
        digest = hashlib.sha256(file.read_bytes()).hexdigest()
        if digest != package.sha256:
            sys.exit(f"{file.name} has the digest {digest}, not {package.sha256}")
        unpacked = downloads / "unpacked"
        shutil.unpack_archive(file, unpacked, package.archive)
        inside = list(unpacked.iterdir())
        (inside[0] if len(inside) == 1 else unpacked).rename(folder)
