"""Expected values of this case: the car written once more with SciPy, see `independent_car`."""

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "independent_car"))

from table import make_expected  # noqa: E402

if __name__ == "__main__":
    make_expected(HERE)
