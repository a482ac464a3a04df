"""What the site is made from is complete, and its look for dead links finds them."""

import importlib.util
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import layshaft
import pytest

TOP = Path(__file__).resolve().parents[2]
LAWS = sorted((TOP / "cpp" / "include" / "layshaft" / "laws").glob("*.hpp"))


def loaded(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, TOP / "python" / "docs" / f"{name}.py")
    module = sys.modules[name] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def headers() -> ModuleType:
    return loaded("headers")


@pytest.mark.parametrize("path", LAWS, ids=lambda path: path.stem)
def test_a_law_says_what_it_is_where_it_is_from_and_what_it_declares(
    headers: ModuleType, path: Path
) -> None:
    header = headers.read_header(path)
    assert header.about[0].endswith(".")
    assert header.paragraph("Source") or header.paragraph("Source (from memory)")
    assert any(each.kind == "function" for each in header.declarations)
    for each in header.declarations:
        if each.kind == "struct":
            assert each.members, each.code


def test_every_law_is_typeset() -> None:
    equations = tomllib.loads((TOP / "python/docs/equations.toml").read_text(encoding="utf-8"))
    assert set(equations) == {path.stem for path in LAWS}
    assert all(equations.values())


HEADER = """#pragma once

/// What it is.
///
/// Sign: forwards, and
///     force = 2 slip
/// holds.
// clang-format off
/// Source: a book.

namespace layshaft {

struct Elsewhere;

/// Two numbers. A brace in text: "}".
struct Pair {
  double first;  ///< Of them [m],
                 ///< the one.
  std::function<void(int)> second;
  bool operator==(const Pair&) const = default;
};

/// Adds.
[[nodiscard]] inline double sum(const Pair& pair, double start = 0.0) {
  return start + pair.first;  // }
}

enum class Kind { plain, other };

inline constexpr double kLimit = 2.0;  ///< [m].

}  // namespace layshaft
"""


def test_a_header_is_read_as_it_is_written(headers: ModuleType, tmp_path: Path) -> None:
    file = tmp_path / "pair.hpp"
    file.write_text(HEADER, encoding="utf-8")
    header = headers.read_header(file)
    assert header.about == [
        "What it is.",
        "Sign: forwards, and\nforce = 2 slip\nholds.",
        "Source: a book.",
    ]
    assert [(each.kind, each.code) for each in header.declarations] == [
        ("struct", "struct Pair"),
        ("function", "double sum(const Pair& pair, double start = 0.0)"),
        ("enum", "enum class Kind"),
        ("value", "inline constexpr double kLimit = 2.0"),
    ]
    pair, _, kind, limit = header.declarations
    assert [(each.kind, each.doc) for each in pair.members[:2]] == [
        ("value", "Of them [m], the one."),
        ("value", ""),
    ]
    assert [each.code for each in kind.members] == ["plain", "other"]
    assert limit.doc == "[m]."


def test_documents_of_the_repository_link_each_other_s_pages_and_bring_their_pictures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = loaded("text")
    monkeypatch.setattr(text, "ROOT", tmp_path)
    site = tmp_path / "site"
    site.mkdir()
    (tmp_path / "tests" / "bench").mkdir(parents=True)
    (tmp_path / "work.png").write_bytes(b"drawn")
    (tmp_path / "DEVELOPERS.md").write_text(
        "[results](tests/bench/results.md#sweeps), [picture](work.png), ![shown](work.png), "
        "[elsewhere](https://example.org/a.md), [below](#place)",
        encoding="utf-8",
    )
    assert text.document("DEVELOPERS.md", site) == (
        "[results](benchmark.md#sweeps), [picture](pictures/work.png), "
        "![shown](pictures/work.png), [elsewhere](https://example.org/a.md), [below](#place)"
    )
    assert (site / "pictures" / "work.png").read_bytes() == b"drawn"
    (tmp_path / "DEVELOPERS.md").write_text("[set-up](pyproject.toml)", encoding="utf-8")
    with pytest.raises(ValueError, match=r"DEVELOPERS.md links pyproject.toml"):
        text.document("DEVELOPERS.md", site)


def test_dead_links_and_what_is_fetched_are_found(tmp_path: Path) -> None:
    (tmp_path / "b.html").write_text('<p id="here">', encoding="utf-8")
    links = ("b.html", "b.html#here", "#top", "https://example.org", "c.html", "b.html#gone")
    text = "".join(f'<a href="{link}">x</a>' for link in links)
    page = f'<body id="top">{text}<script src="https://example.org/a.js"></script>'
    (tmp_path / "a.html").write_text(page, encoding="utf-8")
    assert list(loaded("links").faults(tmp_path.resolve())) == [
        "a.html: c.html leads nowhere",
        "a.html: b.html#gone has no such place",
        "a.html: fetches https://example.org/a.js",
    ]


def test_the_page_of_measuring_has_a_row_for_each_setting_with_what_a_guess_costs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(str(TOP / "python" / "docs"))
    loaded("measuring_pages").write_measuring(tmp_path)
    rows = [
        line.split(" | ") for line in (tmp_path / "measuring.md").read_text("utf-8").split("\n")
    ]
    by_path = {row[0].strip("| `"): row for row in rows if row[0].startswith("| `")}
    fields = [field.path for field in layshaft.fields()]
    assert set(by_path) == {*fields, "engine.torque"}
    assert all(len(row) == 8 for row in by_path.values())
    moved = by_path["two_speed.zero_preload_reading"]
    assert moved[1:4] == ["caliper", "good", "0.05\N{NO-BREAK SPACE}mm"]
    # A reading at which the spring is slack, 0.3 mm out, moves the best gap by as much.
    assert float(moved[5].split("\N{NO-BREAK SPACE}")[0]) == pytest.approx(0.3, abs=0.02)
    assert moved[6].endswith("ms")
