"""What the tests of the page share: a browser, and the page in it."""

import contextlib
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

#: By the names that systems give it.
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
#: Of a phone in portrait.
SIZE = {"width": 390, "height": 844}


@contextlib.contextmanager
def browser() -> Iterator[Browser]:
    """Start the system's Chromium; `.ci/needs tests` installs it."""
    program = next(filter(None, map(shutil.which, BROWSERS)), None)
    if program is None:
        pytest.skip("there is no Chromium")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield started
        started.close()


@contextlib.contextmanager
def opened(browser: Browser, file: Path, **options: Any) -> Iterator[Page]:
    """Open the page from its file, offline; whatever it complains of is a fault."""
    context = browser.new_context(offline=True, **({"viewport": SIZE} | options))
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("console", lambda said: complaints.append(said.text))
    page.goto(file.as_uri())
    page.wait_for_selector("body[data-ready]")
    yield page
    context.close()
    assert complaints == []


def number(page: Page, name: str) -> float:
    """Read a number of the page."""
    text = page.locator(f"#{name}").inner_text()
    return float(text.replace(",", "").replace("\N{MINUS SIGN}", "-").split()[0])
