"""How large the page for the pit is and how soon it answers: `python tests/bench/page.py`.

In Chromium at a phone's size, from the file, offline: from the call to open it until the frame that
shows the first answer, by the browser's own clock, the median of some loads; and a move of the
slider with launches, words and curve, the median of many. At full speed and slowed down fourfold
(the browser stops the thread by slices, which is no phone yet). Exit code 1 where a bound of the
project is missed.
"""

import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import layshaft
import pit_page
from playwright.sync_api import Browser, Page

LOADS, MOVES = 9, 60
SLOWED = 4
#: Bounds: bytes of the file; slowed down, a move [ms] and the first answer [s].
MOST_BYTES, MOST_MOVE, MOST_FIRST = 500_000, 50.0, 1.0
#: What is worked out behind the first answer, as how sure an advice is, comes after that frame.
FIRST = """new MutationObserver((_, watch) => {
  if (document.body?.dataset.ready === undefined) return;
  watch.disconnect();
  requestAnimationFrame(() => setTimeout(() => { window.shownAfter = performance.now(); }));
}).observe(document, { subtree: true, attributeFilter: ["data-ready"] });"""
SHOWN = """async () => {
  while (window.shownAfter === undefined) await new Promise((go) => setTimeout(go, 20));
  return window.shownAfter;
}"""
MOVE = """(count) => {
  const slider = document.getElementById("slider-gap");
  const middle = Number(slider.value);
  const times = [];
  for (let i = 0; i < count; ++i) {
    slider.value = String(middle + 0.4 * Math.sin(i));
    const begun = performance.now();
    slider.dispatchEvent(new Event("input"));
    times.push(performance.now() - begun);
  }
  return times;
}"""


def slowed(page: Page, rate: int) -> None:
    """Slow the page's processor down."""
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": rate})


def first_answers(browser: Browser, file: Path, rate: int) -> list[float]:
    """Time loads of the page [s]."""
    times = []
    for _ in range(LOADS):
        page = browser.new_context(viewport=pit_page.SIZE, offline=True).new_page()
        slowed(page, rate)
        page.add_init_script(FIRST)
        page.goto(file.as_uri(), wait_until="commit")
        times.append(1e-3 * page.evaluate(SHOWN))
        page.context.close()
    return times


def moves(browser: Browser, file: Path, rate: int) -> list[float]:
    """Time moves of the slider for the gap [ms]."""
    with pit_page.opened(browser, file) as page:
        page.evaluate(MOVE, 10)
        slowed(page, rate)
        return page.evaluate(MOVE, MOVES)


def main() -> int:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder, pit_page.browser() as browser:
        file = Path(folder, "pit.html")
        layshaft.write_page(layshaft.demo_car(), file)
        size = file.stat().st_size
        print(f"file: {size} bytes")
        found = {}
        for rate in (1, SLOWED):
            first = first_answers(browser, file, rate)
            move = moves(browser, file, rate)
            found[rate] = statistics.median(first), statistics.median(move)
            print(
                f"slowed {rate} times:"
                f" first answer {found[rate][0]:.2f} s (least {min(first):.2f}),"
                f" a move {found[rate][1]:.1f} ms (least {min(move):.1f}, most {max(move):.1f})"
            )
    first, move = found[SLOWED]
    is_met = size <= MOST_BYTES and first <= MOST_FIRST and move <= MOST_MOVE
    return 0 if is_met else 1


if __name__ == "__main__":
    sys.exit(main())
