"""Check that code for a larger instruction set can never be taken for the plain one.

usage: lane_objects.py NM OBJECT NAMESPACE KERNEL

Every function the object gives to the linker must be KERNEL or carry NAMESPACE in its name.
"""

import subprocess
import sys


def main() -> int:
    """Return 1 and name the functions that could be mixed up."""
    nm, path, namespace, kernel = sys.argv[1:]
    table = subprocess.run([nm, "-C", path], check=True, capture_output=True, text=True).stdout
    # T and W: functions, to be found or to be merged; lower case t stays in the object.
    given = [line[19:] for line in table.splitlines() if line[17:18] in ("T", "W", "V", "i")]
    wrong = [name for name in given if namespace not in name and not name.startswith(kernel)]
    print(f"{len(given)} functions given to the linker, {len(wrong)} without {namespace}")
    for name in wrong:
        print("  ", name[:200])
    return 1 if wrong or not given else 0


if __name__ == "__main__":
    sys.exit(main())
