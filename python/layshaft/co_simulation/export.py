"""The car as a co-simulation unit of the open functional mock-up interface (FMI)."""

import hashlib
import os
import platform
import sys
import zipfile
from pathlib import Path

from layshaft import _core
from layshaft.co_simulation.description import IDENTIFIER, VERSIONS, describe_unit
from layshaft.setup.car import Car, checked_car
from layshaft.setup.handed_over import checked_path, one_of
from layshaft.storage.atomic import atomic_write

_ENDINGS = {"linux": ".so", "darwin": ".dylib", "win32": ".dll"}
_SYSTEMS = {"linux": "linux", "darwin": "darwin", "win32": "windows"}
_MACHINES = {"x86_64": "x86_64", "AMD64": "x86_64", "aarch64": "aarch64", "arm64": "aarch64"}
_SHORT = {"linux": "linux64", "darwin": "darwin64", "win32": "win64"}


def write_fmu(car: Car, path: str | os.PathLike[str], *, fmi: str = "3.0") -> None:
    """Write the car as a co-simulation unit, to be loaded by other simulation programs.

    Its parameters are the settings of the car with their units and ranges, and those of the run
    (`run.own_driver` and others); its inputs `throttle`, `brake` and `grade`; its outputs speeds,
    torques, slips, modes, temperatures and accounts. `two_speed.gap` and `two_speed.slug_mass` set
    both shoes, and what is set last counts; a car whose shoes differ has those of each shoe alone.
    The torque curve is fixed at the export; `engine.power_scale` scales it. The unit runs on the
    kind of machine that wrote it. Its state can be saved and restored; a unit of FMI 3.0 also has
    event mode and returns early at a change of mode.

    Parameters
    ----------
    car
        Its settings are the start values of the parameters.
    path
        File to write, ending in `.fmu`; one that is there is replaced.
    fmi
        Version of the standard, `"2.0"` or `"3.0"`.

    Raises
    ------
    ValueError
        For another version or ending.
    FileNotFoundError
        If this installation has no unit library.

    Examples
    --------
    >>> import layshaft, pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = pathlib.Path(folder, "car.fmu")
    ...     layshaft.write_fmu(layshaft.demo_car(), file)
    ...     file.stat().st_size > 0
    True
    """
    checked_car(car)
    one_of("fmi", fmi, tuple(VERSIONS))
    name = checked_path("path", path)
    if Path(name).suffix != ".fmu":
        raise ValueError(f"path = {name!r} must end in .fmu")
    library = _library()
    setup = _core.setup_text(car._core)
    # The token stands for all that the unit says and holds.
    content = describe_unit(car, fmi, "") + setup
    token = hashlib.sha256(content.encode()).hexdigest()[:32]
    with atomic_write(name) as aside, zipfile.ZipFile(aside, "w") as archive:
        _put(archive, "modelDescription.xml", describe_unit(car, fmi, token).encode())
        binary = f"binaries/{_platform(fmi)}/{IDENTIFIER}{library.suffix}"
        _put(archive, binary, library.read_bytes())
        _put(archive, "resources/token.txt", f"{token}\n".encode())
        _put(archive, "resources/car.txt", setup.encode())


def _put(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    """Add a file without the time of day, so that the same car gives the same bytes."""
    info = zipfile.ZipInfo(name)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    archive.writestr(info, content)


def _library() -> Path:
    ending = _ENDINGS.get(sys.platform, ".so")
    return Path(_core.__file__).parent / "fmi" / f"layshaft_fmi{ending}"


def _platform(fmi: str) -> str:
    """Name the folder of the binaries as the standard does."""
    machine = _MACHINES.get(platform.machine(), platform.machine())
    if fmi == "2.0" and machine == "x86_64":
        return _SHORT.get(sys.platform, sys.platform)
    return f"{machine}-{_SYSTEMS.get(sys.platform, sys.platform)}"
