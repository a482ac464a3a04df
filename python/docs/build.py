"""Build the site: gather its sources, run the notebooks, call Sphinx, look for dead links.

    python python/docs/build.py            # into build/docs/html; any warning is an error
    python python/docs/build.py --no-run   # the notebooks without their output: in seconds

The pages here are written by hand; the others are made from the headers, the field table, the
package's docstrings, the notebooks and the documents of the repository.
"""

import argparse
import shutil
import sys
from pathlib import Path

import cpp_pages
import demo_page
import law_pages
import layshaft
import links
import measuring_pages
import notebook_pages
import python_pages
import repository_pages
import table_pages
from sphinx.cmd.build import main as sphinx
from text import ROOT

HERE = Path(__file__).resolve().parent
SITE = ROOT / "build" / "docs"

WRITERS = (
    repository_pages.write_documents,
    table_pages.write_parameters,
    table_pages.write_results,
    demo_page.write_demo,
    measuring_pages.write_measuring,
    law_pages.write_laws,
    cpp_pages.write_cpp,
    python_pages.write_python,
    python_pages.write_commands,
)


def main() -> int:
    """Build; return 0 if all is well."""
    parser = argparse.ArgumentParser(description="Build the site into build/docs/html.")
    parser.add_argument("--no-run", action="store_true", help="leave the notebooks without output")
    run_notebooks = not parser.parse_args().no_run
    shutil.rmtree(SITE, ignore_errors=True)
    source, html = SITE / "source", SITE / "html"
    shutil.copytree(
        HERE, source, ignore=shutil.ignore_patterns("__pycache__", "[!c]*.py", "cpp*.py")
    )
    for write in WRITERS:
        write(source)
    notebook_pages.write_notebooks(source, run=run_notebooks)
    failed = sphinx(["-q", "-W", "--keep-going", "-j2", "-b", "html", str(source), str(html)])
    if failed:
        return failed
    if run_notebooks:  # beside its page, so that a notebook opens with its output too
        for notebook in (source / "notebooks").glob("*.ipynb"):
            shutil.copy(notebook, html / "notebooks")
    layshaft.write_page(layshaft.demo_car(), html / "pit.html", title="Demo car")
    found = list(links.faults(html.resolve()))
    print(*found, sep="\n", file=sys.stderr, end="\n" if found else "")
    print(
        f"{len(list(html.rglob('*.html')))} pages in {html.relative_to(ROOT)}, {len(found)} faults"
    )
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
