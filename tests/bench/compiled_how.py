"""Whether a library was compiled with optimisation, as its code shows.

Without it a compiler stores the arguments of a function in its frame before it does anything else;
with it they stay in registers. A solver compiled so runs several times slower than it can, and a
comparison with it says nothing.
"""

import re
import subprocess
from pathlib import Path

#: A function that makes its frame and stores a first argument there, a few instructions on.
_STORED = re.compile(
    r"\bmov +%rsp,%rbp\n(?:.*\n){0,3}.*\bmov\w* +%(?:rdi|edi|xmm0),-0x[0-9a-f]+\(%rbp\)"
)
_RETURN = re.compile(r"\bret\b")
#: Share of the returns above which a library was compiled without optimisation: with it the share
#: lies below a hundredth; without it nearly every function with an argument shows the store.
_MOST_STORED = 0.2


def is_optimised(library: Path) -> bool | None:
    """Tell whether a library was compiled with optimisation; None where that cannot be seen."""
    share = stored_share(library)
    return None if share is None else share <= _MOST_STORED


def stored_share(library: Path) -> float | None:
    """Count the stores of a first argument at the beginning of a function, for each return."""
    command = ["objdump", "-d", "--no-show-raw-insn", str(library)]
    try:
        listing = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    except (OSError, subprocess.CalledProcessError):
        return None
    returns = len(_RETURN.findall(listing)) if "x86-64" in listing else 0
    return len(_STORED.findall(listing)) / returns if returns else None
