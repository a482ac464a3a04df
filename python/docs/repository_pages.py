"""Pages that show documents of the repository: the README part by part, checks, benchmark."""

import ast
import re
from pathlib import Path

import published_checks
from text import ROOT, document, paragraphs, sections

#: Sections of the README that have a page of their own; the others are the first run.
_TOOLS = "In other tools"
_LIMITS = ("What the numbers depend on", "Take care")
_BENCHMARK = "tests/bench/results.md"
_ANSWERS = "tests/bench/answers.md"
_NOT_MEASURED = """# Benchmark

The same launches and the same test problem, solved by this library and by general solvers side by
side in one run. `python tests/bench/run.py` measures on the machine at hand and writes its report,
which then stands here. What it does:

"""


def write_documents(out: Path) -> None:
    """Write the pages."""
    readme = sections(document("README.md", out))
    _write_first_run(out, readme)
    limits = (f"## {title}\n{readme[title]}" for title in _LIMITS)
    _write(out, "limits", "# Limits and cautions\n\n" + "\n".join(limits))
    _write(out, "other-tools", f"# {_TOOLS}\n{readme[_TOOLS]}")
    cases = document("reference-cases/README.md", out)
    cases = re.sub(r"^(#+) ", r"#\1 ", cases, flags=re.MULTILINE)
    _write(
        out, "checks", f"# Checks\n\n{cases}\n\n## Published checks\n\n{published_checks.page()}"
    )
    _write(out, "developers", document("DEVELOPERS.md", out))
    _write(out, "benchmark", _benchmark(out))


def _write_first_run(out: Path, readme: dict[str, str]) -> None:
    introduction = readme[""].partition("\n\n")[2].partition("\n\n")
    _write(out, "introduction", introduction[0])
    parts = [
        f"## {title}\n{text}"
        for title, text in readme.items()
        if title and title not in (_TOOLS, *_LIMITS)
    ]
    _write(out, "first-run", f"# A first run\n\n{introduction[2]}\n" + "\n".join(parts))


def _benchmark(out: Path) -> str:
    if (ROOT / _BENCHMARK).exists():
        return "\n".join(document(page, out) for page in (_BENCHMARK, _ANSWERS))
    module = ast.parse((ROOT / "tests" / "bench" / "run.py").read_text(encoding="utf-8"))
    return _NOT_MEASURED + "\n".join(paragraphs(ast.get_docstring(module) or "", "sh"))


def _write(out: Path, page: str, text: str) -> None:
    (out / f"{page}.md").write_text(text, encoding="utf-8")
