"""Build source archive and wheel, look at what is in them, and run the tests on the wheel alone.

    python tests/check_wheel.py            # into build/wheel
    python tests/check_wheel.py --no-run   # builds and looks, installs nothing

The wheel is built from the archive, and repaired for the lowest manylinux tag that this machine's
system library permits. It is installed where no compiler can be found: once with all that it asks
for, to run the Python tests, and once beside numpy alone, where the demo launch must give the same
time.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tarfile
import venv
import zipfile
from fnmatch import fnmatch
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "build" / "wheel"
LAUNCH = (
    "import layshaft; run = layshaft.launch(layshaft.demo_car(), distance=60.0); "
    "print(run.arrays['time_to_distance'][-1].hex())"
)
MOST_BYTES = 10_000_000  # of a wheel; a build folder in it by mistake is greater
#: What a wheel holds besides files of the repository: the module, what others link, metadata.
BUILT = (
    "layshaft/_core.*.so",
    "layshaft/lib/*.a",
    "layshaft/lib/*.so",
    "layshaft/lib/cmake/layshaft/*",
    "layshaft/lib/pkgconfig/*.pc",
    "layshaft/fmi/*.so",
    "layshaft/page/core.wasm",
    "layshaft-*.dist-info/*",
)


def main() -> int:
    """Build, look, run."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--no-run", action="store_true", help="install nothing, run nothing")
    options = parser.parse_args()
    shutil.rmtree(OUT, ignore_errors=True)
    call(sys.executable, "-m", "build", "--outdir", OUT / "raw", ROOT)
    (archive,) = (OUT / "raw").glob("*.tar.gz")
    (raw,) = (OUT / "raw").glob("*.whl")
    call(sys.executable, "-m", "auditwheel", "repair", "--wheel-dir", OUT, raw)
    (wheel,) = OUT.glob("*.whl")
    faults = archive_faults(archive) + wheel_faults(wheel)
    print(*faults, sep="\n", end="\n" if faults else "")
    if not options.no_run:
        run_beside_numpy(wheel)
        run_tests(wheel)
    return 1 if faults else 0


def call(*words: object, **options: object) -> str:
    """Run a command and return what it printed; stop where it fails."""
    done = subprocess.run(
        [str(word) for word in words], text=True, stdout=subprocess.PIPE, **options
    )
    if done.returncode != 0:
        sys.exit(f"{done.stdout}\nfailed: {' '.join(map(str, words))}")
    return done.stdout


def tracked() -> set[str]:
    """List the files of the repository."""
    return set(call("git", "-C", ROOT, "ls-files", "-z").rstrip("\0").split("\0"))


def archive_faults(archive: Path) -> list[str]:
    """Compare the source archive with the repository: nothing missing, nothing astray."""
    with tarfile.open(archive) as file:
        held = {
            name.partition("/")[2] for name in file.getnames() if not file.getmember(name).isdir()
        }
    print(f"{archive.name}: {archive.stat().st_size / 1e3:.0f} kB, {len(held)} files")
    expected = tracked() | {"PKG-INFO"}
    astray = [f"{archive.name} holds {name}, which is not tracked" for name in held - expected]
    return sorted(astray + [f"{archive.name} lacks {name}" for name in expected - held])


def wheel_faults(wheel: Path) -> list[str]:
    """List the wheel: the package and headers as the repository has them, and what is built."""
    with zipfile.ZipFile(wheel) as file:
        held = {info.filename: info.file_size for info in file.infolist() if not info.is_dir()}
    size = wheel.stat().st_size
    print(f"{wheel.name}: {size / 1e3:.0f} kB, {len(held)} files")
    for name, length in sorted(held.items()):
        print(f"  {length / 1e3:9.1f} kB  {name}")
    python = {name[7:] for name in tracked() if name.startswith("python/layshaft/")}
    headers = {f"layshaft/{name[4:]}" for name in tracked() if name.startswith("cpp/include/")}
    built = {name for name in held if any(fnmatch(name, pattern) for pattern in BUILT)}
    faults = [f"{wheel.name} lacks {name}" for name in python - held.keys()]
    faults += [f"{wheel.name} holds {name}" for name in held.keys() - python - headers - built]
    if sum(fnmatch(name, BUILT[0]) for name in held) != 1:
        faults.append(f"{wheel.name} must hold one module {BUILT[0]}")
    if size > MOST_BYTES:
        faults.append(f"{wheel.name} is greater than {MOST_BYTES / 1e6:g} MB")
    return sorted(faults)


def fresh(name: str, *wanted: object) -> tuple[Path, dict[str, str]]:
    """Make an environment where no compiler can be found; return its Python and its variables."""
    folder = OUT / name
    venv.create(folder, with_pip=True)
    kept = ("HOME", "LANG", "LC_ALL", "TMPDIR")
    variables = {key: value for key, value in os.environ.items() if key in kept or "PIP_" in key}
    variables |= {"PATH": str(folder / "bin"), "MPLBACKEND": "agg", "CC": "none", "CXX": "none"}
    python = folder / "bin" / "python"
    # `--group` came with pip 25.1.
    call(python, "-m", "pip", "install", "-q", "--upgrade", "pip", env=variables)
    call(
        python,
        "-m",
        "pip",
        "install",
        "-q",
        "--only-binary=:all:",
        *wanted,
        env=variables,
        cwd=ROOT,
    )
    return python, variables


def run_beside_numpy(wheel: Path) -> None:
    """Run the demo launch beside numpy alone."""
    python, variables = fresh("numpy", "--no-deps", wheel, "numpy")
    time = call(python, "-c", LAUNCH, env=variables, cwd=OUT).strip()
    print(f"beside numpy alone: {float.fromhex(time):.6f} s to 60 m")
    (OUT / "time-to-60-m.txt").write_text(time)


def run_tests(wheel: Path) -> None:
    """Run the Python tests on the wheel; its demo launch gives the same bits as before."""
    python, variables = fresh("tests", wheel, "--group", "test")
    time = call(python, "-c", LAUNCH, env=variables, cwd=OUT).strip()
    if time != (OUT / "time-to-60-m.txt").read_text():
        sys.exit(f"with all packages the launch takes {float.fromhex(time)} s")
    print(
        call(python, "-m", "pytest", "-q", "tests/python", env=variables, cwd=ROOT).splitlines()[-1]
    )


if __name__ == "__main__":
    sys.exit(main())
