"""A list of parts that does not fit together does not compile, and says what is wrong."""

import shutil
import subprocess
from importlib.metadata import files
from pathlib import Path

import pytest
from layshaft import _core

pytestmark = pytest.mark.skipif(shutil.which("g++") is None, reason="needs a compiler")

#: Two bodies and what each fault replaces.
SOURCE = """
#include <layshaft/network/assemble.hpp>
using namespace layshaft::parts;
struct Motor : Part {
  static constexpr std::array nodes{Row{"motor", "rad/s", 100.0, "Speed of the motor"}};
  static constexpr std::array states{Row{"rise", "K", 10.0, "Rise over the air"}};
  static constexpr std::array signals{Row{"power", "W", 1.0, "Power of the motor"}};
  static constexpr std::array reads{state("motor"), state("rise"), now()};
  static constexpr std::array gives{force("motor"), rate("rise"), signal("power")};
  template <class X>
  static std::array<X, 3> run(const auto&, const auto&, const std::array<X, 3>& in) {
    return {1.0 - in[0], in[0] * in[1], in[0] * in[2]};
  }
};
struct Clutch : Part {
  static constexpr std::array nodes{Row{"load", "rad/s", 100.0, "Speed of the load"}};
  static constexpr std::array couplings{
      CouplingRow{"clutch", 1.0, 100.0, "Clutch", {"motor", "load"}}};
  static constexpr std::array reads{signal("power")};
  static constexpr std::array gives{capacity("clutch")};
  template <class X>
  static std::array<X, 1> run(const auto&, const auto&, const std::array<X, 1>& in) {
    return {in[0]};
  }
};
struct List { using parts = std::tuple<Motor, Clutch>; };
using Parts = Assembly<List>;
layshaft::Column<double, Parts::kStates> state_now, slope;
layshaft::Grid<double, Parts::kStates, Parts::kStates> jacobian;
layshaft::Frozen<double, Parts::kNodes, Parts::kCouplings> frozen;
void work() {
  Parts::linearise(Laws<List, double>{}, Actives<List, double>{}, frozen, 0.0, state_now, jacobian,
                   slope);
}
"""


def compiled(source: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Hand the source to the compiler, without making an object."""
    path = folder / "list.cpp"
    path.write_text(source, encoding="utf-8")
    eigen = next(file for file in files("cmeel-eigen") if str(file).endswith("Eigen/Core"))
    includes = (Path(_core.__file__).parent / "include", Path(eigen.locate()).parents[1])
    options = [f"-I{include}" for include in includes]
    command = ["g++", "-std=c++20", "-fsyntax-only", *options, str(path)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_a_list_that_fits_compiles(tmp_path: Path) -> None:
    made = compiled(SOURCE, tmp_path)
    assert made.returncode == 0, made.stderr


@pytest.mark.parametrize(
    ("was", "now", "message"),
    [
        ('reads{signal("power")}', 'reads{signal("powder")}', "no part of the list brings in"),
        ('Row{"load"', 'Row{"motor"', "two parts bring in the same name"),
        ('"motor", "load"}}', '"motor", "lode"}}', "a coupling joins a node that no part brings"),
        ("<Motor, Clutch>", "<Clutch, Motor>", "a signal or rate is read before it is given"),
        ('rate("rise"), ', 'force("motor"), ', "a state has no part that gives its rate"),
        (
            'signal("power")};\n  template',
            'force("motor")};\n  template',
            "a signal is given by",
        ),
        ('gives{capacity("clutch")}', 'gives{force("load")}', "a coupling's limits are not given"),
        (
            'reads{signal("power")}',
            'reads{acceleration("load")}',
            "a part that reads an acceleration or a sliding torque gives a force or a limit",
        ),
        (
            'gives{capacity("clutch")}',
            'gives{state("load")}',
            "a port stands in a list that does not take its kind",
        ),
        (
            'gives{capacity("clutch")};',
            'gives{capacity("clutch")}; static constexpr std::array sees{acceleration("load")};',
            "a port stands in a list that does not take its kind",
        ),
        ("std::array<X, 1> run", "std::array<X, 2> run", "`run` gives one value for each of"),
    ],
)
def test_a_fault_in_a_list_is_named(was: str, now: str, message: str, tmp_path: Path) -> None:
    assert was in SOURCE
    made = compiled(SOURCE.replace(was, now), tmp_path)
    assert made.returncode != 0
    assert message in made.stderr


def test_an_unknown_name_is_shown_with_its_part(tmp_path: Path) -> None:
    made = compiled(SOURCE.replace('reads{signal("power")}', 'reads{signal("powder")}'), tmp_path)
    assert "Named<Clutch" in made.stderr
    assert "powder" in made.stderr
