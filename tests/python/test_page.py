"""The page for the pit in a browser, from its file and offline."""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import layshaft
import pit_page
import pytest
from axe_playwright_python.sync_playwright import Axe
from layshaft.page import page_file
from layshaft.reports.advice_report import advice_sentences
from pit_page import number, opened
from playwright.sync_api import Browser, Page, expect

CAR = layshaft.demo_car()
HOSTILE = (
    "</script><script>document.title='bad'</script><img src=x onerror=\"document.title='bad'\">"
)
#: Half of the last digit shown.
SHOWN = {"km/h": 0.05, "s": 0.0005, "rpm": 50.0}
#: Height of the smallest thing to be touched.
SMALLEST = """() => Math.min(...[...document.querySelectorAll("button, select, input, summary")]
  .filter((target) => target.checkVisibility())
  .map((target) => target.getBoundingClientRect().height))"""
SIZES = [(360, 740), (390, 844), (820, 1180)]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with pit_page.browser() as started:
        yield started


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "pit.html"
    layshaft.write_page(CAR, path)
    return path


@pytest.fixture
def page(browser: Browser, file: Path) -> Iterator[Page]:
    with opened(browser, file) as shown:
        yield shown


def note(page: Page, gap: str, speed: str) -> None:
    page.fill("#heard-gap", gap)
    page.fill("#heard-speed", speed)
    page.get_by_role("button", name="Note it").click()


def heard(page: Page) -> list[str]:
    return texts(page, "#heard-list span")


def texts(page: Page, of: str) -> list[str]:
    """Read what a reader would, whose numbers are tied to their units."""
    return [text.replace("\xa0", " ") for text in page.locator(of).all_inner_texts()]


def keep(page: Page, text: str, name: str | None = None) -> None:
    """Put a text where the page keeps its own, or where one of another name does."""
    ask = """([name, text]) => {
      name ??= JSON.parse(document.getElementById("data").textContent).key;
      localStorage.setItem(`layshaft-page-${name}`, text);
    }"""
    page.evaluate(ask, [name, text])


def tried(page: Page) -> tuple[float, float, float]:
    return tuple(number(page, f"{name}-1") for name in ("shift", "second", "peak"))


def expected(gap: str) -> tuple[float, float, float]:
    run = layshaft.launch(CAR.replace({"two_speed.gap": gap}), distance="60 m")
    speed, revs = float(run.scalars.shift_speed), float(run.scalars.peak_engine_speed)
    return speed * 3.6, float(run.times[-1]), revs * 60.0 / 6.283185307179586


def assert_shown(page: Page, gap: str) -> None:
    bounds = SHOWN["km/h"], SHOWN["s"], SHOWN["rpm"]
    for shown, own, bound in zip(tried(page), expected(gap), bounds, strict=True):
        assert shown == pytest.approx(own, abs=bound * 1.001)


def test_a_file_is_small_and_asks_for_nothing(browser: Browser, file: Path) -> None:
    assert file.stat().st_size <= 500_000
    asked: list[str] = []
    context = browser.new_context(viewport=pit_page.SIZE)
    context.on("request", lambda request: asked.append(request.url))
    page = context.new_page()
    page.goto(file.as_uri())
    page.wait_for_selector("body[data-ready]")
    context.close()
    assert [each for each in asked if not each.startswith("data:")] == [file.as_uri()]


def test_it_begins_with_the_car_as_it_is(page: Page) -> None:
    assert_shown(page, "4.4 mm")
    expect(page.locator("#shift-0")).to_have_text(page.locator("#shift-1").inner_text())


def test_a_slider_moves_by_keys_in_fine_steps(page: Page) -> None:
    for _ in range(20):
        page.press("#slider-gap", "ArrowLeft")
    expect(page.locator("output[for=slider-gap]")).to_have_text("4.20 mm, screws 0.29 in")
    assert_shown(page, "4.2 mm")
    page.get_by_role("button", name="Back to now").click()
    assert_shown(page, "4.4 mm")


def test_a_slider_moves_by_touch(browser: Browser, file: Path) -> None:
    with opened(browser, file, has_touch=True, is_mobile=True) as page:
        page.get_by_role("button", name="Gap: more").tap()
        expect(page.locator("output[for=slider-gap]")).to_contain_text("4.41 mm")
        assert_shown(page, "4.41 mm")
        slider = page.locator("#slider-gap")
        slider.scroll_into_view_if_needed()
        box = slider.bounding_box()
        page.touchscreen.tap(box["x"] + 0.8 * box["width"], box["y"] + 0.5 * box["height"])
        gap = page.locator("output[for=slider-gap]").inner_text().split()[0]
        assert 4.75 < float(gap) < 5.1
        assert_shown(page, f"{gap} mm")


def test_three_heard_speeds_lead_to_the_setting_that_the_command_line_gives(page: Page) -> None:
    heard = [("4.2 mm", "67 km/h"), ("4.5 mm", "63 km/h"), ("4.8 mm", "57 km/h")]
    for gap, speed in heard:
        note(page, gap.split()[0], speed.split()[0])
    page.fill("#goal-speed", "68")
    page.locator("#goal-speed").blur()
    learned = layshaft.learn(
        CAR,
        [layshaft.observe("shift_speed", s, changes={"two_speed.gap": g}) for g, s in heard],
    )
    for goal, name in ((layshaft.goals.shift_at("68 km/h"), "shift"), (None, "quickest")):
        page.select_option("#goal", name)
        expect(page.locator("#doing")).to_have_attribute("aria-busy", "false", timeout=60_000)
        advice = layshaft.recommend(learned.car, goal=goal, learned=learned)
        told = advice_sentences(advice)
        assert ": ".join(texts(page, "#what, #reached")) == told[0]
        *lines, resolved = texts(page, "#how-sure li")
        assert lines == told[1:-1]
        assert len(lines) == 4  # how sure, plateau, caliper, slugs
        # The command line echoes the range before.
        assert re.sub(r" from [\d.]+ to [\d.]+ mm", "", resolved) == told[-1]
    expect(page.locator("#learned")).to_be_visible()
    run = layshaft.launch(learned.car, distance="60 m")
    shift = float(run.scalars.shift_speed) * 3.6
    assert number(page, "shift-0") == pytest.approx(shift, abs=SHOWN["km/h"] * 1.001)


@pytest.mark.parametrize("speeds", [("67", "20", "150"), ("5",), ("67",)])
def test_what_does_not_agree_is_said_as_the_library_finds(
    page: Page, speeds: tuple[str, ...]
) -> None:
    for speed in speeds:
        note(page, "4.2", speed)
    expect(page.locator("#doing")).to_have_attribute("aria-busy", "false", timeout=60_000)
    gap = {"two_speed.gap": "4.2 mm"}
    seen = [layshaft.observe("shift_speed", f"{speed} km/h", changes=gap) for speed in speeds]
    assert page.locator("#disagrees").is_visible() == (not layshaft.learn(CAR, seen).agrees)


def test_gears_and_a_lap_can_be_tried(page: Page) -> None:
    page.select_option("#gears", label="18/49 and 23/44")
    page.select_option("#track", label="fast (invented)")
    expect(page.locator("#lap-1")).to_have_text(re.compile(r"^\d"), timeout=30_000)
    other = CAR.replace(
        {"first.pinion": 18, "first.spur": 49, "second.pinion": 23, "second.spur": 44}
    )
    for place, car in enumerate((CAR, other)):
        lap = layshaft.lap(car, "fast")
        assert number(page, f"lap-{place}") == pytest.approx(lap.time, abs=SHOWN["s"] * 1.01)


def test_what_is_heard_is_kept_and_taken_back(page: Page) -> None:
    note(page, "4.2", "67")
    note(page, "4,5", "62.5")
    page.select_option("#heard-moment", "lock_speed")
    page.get_by_role("button", name="Speed heard: 1 km/h more").click()
    page.get_by_role("button", name="Note it").click()
    lines = heard(page)
    assert lines[0] == "gap 4.20 mm, shift at 67 km/h"
    assert lines[1:] == [
        "gap 4.50 mm, shift at 62.5 km/h",
        "gap 4.50 mm, shoes lock at 63.5 km/h",
    ]
    page.get_by_role("button", name=f"Remove: {lines[0]}").click()
    assert heard(page) == lines[1:]
    page.get_by_role("button", name="Undo").click()
    assert heard(page) == lines
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert heard(page) == lines


def test_the_list_is_exported_as_the_library_reads_it(page: Page, tmp_path: Path) -> None:
    note(page, "4.2", "67")
    page.select_option("#heard-moment", "contact_speed")
    note(page, "4.55", "51.5")
    with page.expect_download() as loaded:
        page.get_by_role("button", name="Export CSV").click()
    loaded.value.save_as(tmp_path / "heard.csv")
    first, second = layshaft.read_observations(tmp_path / "heard.csv")
    assert (first.measure, first.value) == ("shift_speed", pytest.approx(67 / 3.6, rel=1e-9))
    assert (second.measure, second.value) == ("contact_speed", pytest.approx(51.5 / 3.6, rel=1e-9))
    assert dict(second.changes) == {"two_speed.gap": pytest.approx(4.55e-3, rel=1e-9)}


def test_what_was_heard_with_another_car_is_told_and_exported_with_it(
    page: Page, tmp_path: Path
) -> None:
    note(page, "4.2", "67")
    page.get_by_role("button", name="Rear tyre diameter: less").click(click_count=5)
    page.get_by_role("button", name="Air: more").click()
    note(page, "4.5", "63")
    first, second = "gap 4.20 mm, shift at 67 km/h", "gap 4.50 mm, shift at 63 km/h"
    diameter = 2e3 * (CAR["rear_tyre.radius"] - CAR["rear_tyre.wear"])
    tyres = page.locator("output[for=slider-rear-tyre-diameter]")
    expect(tyres).to_have_text(f"{diameter - 0.5:.1f} mm")
    before = f"{first}, rear tyre diameter {diameter:.1f} mm, air 20 °C"
    assert heard(page) == [before, second]
    with page.expect_download() as loaded:
        page.get_by_role("button", name="Export CSV").click()
    loaded.value.save_as(tmp_path / "heard.csv")
    one, other = layshaft.read_observations(tmp_path / "heard.csv")
    assert dict(one.changes) == {"two_speed.gap": pytest.approx(4.2e-3, rel=1e-9)}
    assert dict(other.changes) == {
        "two_speed.gap": pytest.approx(4.5e-3, rel=1e-9),
        "rear_tyre.radius": pytest.approx(CAR["rear_tyre.radius"] - 0.25e-3, rel=1e-9),
        "air.temperature": pytest.approx(294.15, rel=1e-9),
    }
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert heard(page) == [before, second]
    page.get_by_role("button", name="Rear tyre diameter: more").click(click_count=5)
    page.get_by_role("button", name="Air: less").click()
    after = f"{second}, rear tyre diameter {diameter - 0.5:.1f} mm, air 21 °C"
    assert heard(page) == [first, after]


def test_what_was_heard_with_other_gears_counts_as_heard_with_them(page: Page) -> None:
    note(page, "4.4", "66")
    page.select_option("#gears", label="18/49 and 23/44")
    page.press("#slider-slugs", "ArrowRight")
    page.press("#slider-gap", "ArrowLeft")
    expect(page.locator("#doing")).to_have_attribute("aria-busy", "false", timeout=60_000)
    page.get_by_role("button", name="The car is so now").click()
    expect(page.locator("#heard-gap")).to_have_value("4.39")
    note(page, "4.39", "70")
    assert heard(page) == [
        "gap 4.40 mm, shift at 66 km/h, first pinion 17, first spur 50, second pinion 22,"
        f" second spur 45, shoe 1 slug mass {1e3 * CAR['two_speed.shoe_1.slug_mass']:g} g,"
        f" shoe 2 slug mass {1e3 * CAR['two_speed.shoe_2.slug_mass']:g} g",
        "gap 4.39 mm, shift at 70 km/h",
    ]
    expect(page.locator("#doing")).to_have_attribute("aria-busy", "false", timeout=60_000)
    gears = {"first.pinion": 18, "first.spur": 49, "second.pinion": 23, "second.spur": 44}
    slug = float(page.locator("output[for=slider-slugs]").inner_text().split()[0])
    now = CAR.replace({**gears, "two_speed.gap": "4.39 mm", "two_speed.slug_mass": f"{slug} g"})
    before = {path: CAR[path] for path in (*gears, "two_speed.shoe_1.slug_mass")}
    before |= {"two_speed.shoe_2.slug_mass": CAR["two_speed.shoe_2.slug_mass"]}
    seen = [
        layshaft.observe("shift_speed", "66 km/h", changes=before | {"two_speed.gap": "4.4 mm"}),
        layshaft.observe("shift_speed", "70 km/h", changes={"two_speed.gap": "4.39 mm"}),
    ]
    learned = layshaft.learn(now, seen).car
    speed = 3.6 * float(layshaft.launch(learned, distance="60 m").scalars.shift_speed)
    assert number(page, "shift-0") == pytest.approx(speed, abs=SHOWN["km/h"] * 1.001)


def test_what_can_be_tried_are_the_parts_at_hand(browser: Browser, tmp_path: Path) -> None:
    box = tmp_path / "box.toml"
    box.write_text(
        "[first]\npinions = [17, 18]\nspurs = [49, 50]\n[second]\npinions = [22, 23]\n"
        'spurs = [44, 45]\n[slugs]\nmasses = ["0.8 g", "1.4 g"]\n',
        encoding="utf-8",
    )
    path = tmp_path / "pit.html"
    layshaft.write_page(CAR, path, parts=layshaft.read_parts(box))
    slug = f"{1e3 * CAR['two_speed.shoe_1.slug_mass']:.2f} g"
    slugs, gears = "output[for=slider-slugs]", "#gears option"
    with opened(browser, path) as page:
        assert "18/49 and 23/44" in texts(page, gears)
        expect(page.locator(slugs)).to_have_text(slug)
        page.press("#slider-slugs", "ArrowRight")
        expect(page.locator(slugs)).to_have_text("1.40 g")
        for part in ("18", "1.40"):
            page.get_by_role("button", name=part, exact=True).click()
        assert "18/49 and 23/44" not in texts(page, gears)
        page.press("#slider-slugs", "PageDown")
        expect(page.locator(slugs)).to_have_text("0.80 g")
        page.press("#slider-slugs", "PageUp")
        expect(page.locator(slugs)).to_have_text(slug)
        page.reload()
        page.wait_for_selector("body[data-ready]")
        expect(page.get_by_role("button", name="1.40")).to_have_attribute("aria-pressed", "false")
        page.get_by_role("button", name="18", exact=True).click()
        assert "18/49 and 23/44" in texts(page, gears)


def test_a_page_of_another_car_with_this_title_offers_what_was_heard_and_shares_nothing(
    browser: Browser, file: Path, tmp_path: Path
) -> None:
    other = tmp_path / "pit.html"
    layshaft.write_page(CAR.replace({"first.pinion": 18}), other)
    with opened(browser, file) as page:
        note(page, "4.2", "67")
        page.goto(other.as_uri())
        page.wait_for_selector("body[data-ready]")
        assert heard(page) == []
        expect(page.locator("#others")).to_have_text(
            re.compile(r"Heard with other files of this title: 1\.")
        )
        page.get_by_role("button", name="Take them over").click()
        expect(page.locator("#others")).to_be_hidden()
        assert heard(page) == ["gap 4.20 mm, shift at 67 km/h, first pinion 17"]
        page.goto(file.as_uri())
        page.wait_for_selector("body[data-ready]")
        assert heard(page) == ["gap 4.20 mm, shift at 67 km/h"]


def test_what_was_kept_under_the_title_alone_is_offered(page: Page) -> None:
    change = ["air.temperature", 303.15]
    old = {"gap": 0.0042, "moment": "shift_speed", "speed": 18.0, "changes": [change]}
    keep(page, json.dumps({"version": 1, "heard": [old], "changes": [], "goal": None}), "pit")
    keep(page, "{", "other")
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert heard(page) == []
    page.get_by_role("button", name="Take them over").click()
    assert heard(page) == ["gap 4.20 mm, shift at 64.8 km/h, air 30 °C"]
    page.get_by_role("button", name="Undo").click()
    assert heard(page) == []


@pytest.mark.parametrize(
    ("gap", "speed", "said"),
    [
        ("4.2", "", "Speed  must be from 5 to 200 km/h."),
        ("4.2", "670", "Speed 670 must be from 5 to 200 km/h."),
        ("4.2", "0x43", "Speed 0x43 must be from 5 to 200 km/h."),
        ("4.2", "6e1", "Speed 6e1 must be from 5 to 200 km/h."),
        ("four", "67", "Gap four must be from 1 to 10 mm."),
        ("0.0042", "67", "Gap 0.0042 must be from 1 to 10 mm."),
        ("0.99", "67", "Gap 0.99 must be from 1 to 10 mm."),
        ("10.01", "67", "Gap 10.01 must be from 1 to 10 mm."),
    ],
)
def test_what_cannot_have_been_is_refused(page: Page, gap: str, speed: str, said: str) -> None:
    note(page, gap, speed)
    expect(page.locator("#heard-fault")).to_have_text(said)
    assert heard(page) == []


def test_a_refusal_takes_back_what_was_said_before(page: Page) -> None:
    note(page, "4.2", "67")
    expect(page.locator("#heard-said")).to_have_text("Noted: gap 4.20 mm, shift at 67 km/h.")
    note(page, "4.2", "x")
    expect(page.locator("#heard-said")).to_have_text("")


@pytest.mark.parametrize(
    ("typed", "then"), [("abc", "5"), ("", "5"), ("62,5", "63.5"), ("200", "200"), ("-3", "5")]
)
def test_a_step_from_what_is_typed_is_a_number(page: Page, typed: str, then: str) -> None:
    for field, more in (
        ("#heard-speed", "Speed heard: 1 km/h more"),
        ("#goal-speed", "Shift at: 1 km/h more"),
    ):
        page.fill(field, typed)
        page.get_by_role("button", name=more).click()
        expect(page.locator(field)).to_have_value(then)


def test_a_change_of_the_car_counts_in_all_and_is_kept(page: Page) -> None:
    page.get_by_role("button", name="Air: more").click(click_count=5)
    warm = CAR.replace({"air.temperature": "25 degC"})
    time = float(layshaft.launch(warm, distance="60 m").times[-1])
    assert number(page, "second-0") == pytest.approx(time, abs=SHOWN["s"] * 1.001)
    page.reload()
    page.wait_for_selector("body[data-ready]")
    expect(page.locator("output[for=slider-air]")).to_have_text("25 °C")
    page.get_by_role("button", name="As in the file").click()
    assert_shown(page, "4.4 mm")


def test_the_goal_is_kept(page: Page) -> None:
    page.fill("#goal-speed", "70,5")
    page.locator("#goal-speed").blur()
    page.select_option("#goal", "quickest")
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert page.input_value("#goal") == "quickest"
    expect(page.locator("#goal-speed")).to_have_value("70.5")
    expect(page.locator("#goal-speed-row")).to_be_hidden()


def test_warnings_follow_the_sliders(page: Page) -> None:
    expect(page.locator("#warnings li")).to_have_count(0)
    for _ in range(4):
        page.press("#slider-front-tyre-diameter", "PageDown")
    smaller = CAR.replace({"front_tyre.radius": CAR["front_tyre.radius"] - 2e-3})
    lags = next(text for _, code, text in smaller.warnings() if code == "front_lags")
    expect(page.locator("#warnings li")).to_have_text([lags])
    page.get_by_role("button", name="As in the file").click()
    expect(page.locator("#warnings li")).to_have_count(0)


def test_warnings_are_those_of_the_command_line(browser: Browser, tmp_path: Path) -> None:
    early = CAR.replace({"two_speed.gap": "6 mm", "body.centre_height": "90 mm"})
    path = tmp_path / "early.html"
    layshaft.write_page(early, path)
    with opened(browser, path) as page:
        told = [text for _, code, text in early.warnings() if code != "outside_published"]
        assert len(told) > 1
        expect(page.locator("#warnings li")).to_have_text(told)


def test_what_the_advised_gap_would_be_warned_of_is_said(browser: Browser, tmp_path: Path) -> None:
    car = CAR.replace({"two_speed.gap": "4 mm"})
    path = tmp_path / "late.html"
    layshaft.write_page(car, path)
    with opened(browser, path) as page:
        page.fill("#goal-speed", "85")
        page.locator("#goal-speed").blur()
        expect(page.locator("#doing")).to_have_attribute("aria-busy", "false", timeout=60_000)
        advice = layshaft.recommend(car, goal=layshaft.goals.shift_at("85 km/h"))
        told = [f"Warning, with that setting: {text}" for _, _, text in advice.warnings]
        assert advice.is_worth_it
        assert told
        expect(page.locator("#advised-warnings li")).to_have_text(told)


@pytest.mark.parametrize("kept", ["{", "null", '{"version":1}', '{"version":99,"heard":[]}'])
def test_it_begins_where_what_was_kept_is_damaged(page: Page, kept: str) -> None:
    keep(page, kept)
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert heard(page) == []
    assert_shown(page, "4.4 mm")


def test_of_what_was_kept_only_what_can_have_been_is_taken(page: Page) -> None:
    good = {"gap": 0.0042, "moment": "shift_speed", "speed": 18.0, "changes": []}
    kept = {
        "version": 1,
        "heard": [
            *(good, good | {"speed": -1}, good | {"moment": HOSTILE}, None, {"gap": 1}),
            *(good | {"changes": 1}, good | {"changes": [["x = 1\ny", 1]]}),
            *(good | {"gap": 1e300}, good | {"speed": 1e300}, good | {"speed": 1e-300}),
        ],
        "changes": [],
    }
    text = json.dumps(kept)
    keep(page, text)
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert heard(page) == ["gap 4.20 mm, shift at 64.8 km/h"]


def test_of_changes_that_were_kept_only_what_can_be_is_taken(page: Page) -> None:
    # Nothing is heard, so that no learned car takes this one's place meanwhile.
    changes = [["x = 1\ny", 1], ["two_speed.gap", "1"], ["no.such_field", 1]]
    text = json.dumps({"version": 1, "heard": [], "changes": changes})
    keep(page, text)
    page.reload()
    page.wait_for_selector("body[data-ready]")
    assert_shown(page, "4.4 mm")


def test_of_too_many_kept_the_last_are_taken(page: Page) -> None:
    last = {"gap": 0.0042, "moment": "shift_speed", "changes": []}
    kept = [last | {"speed": n / 36} for n in range(500, 1011)]
    text = json.dumps({"version": 1, "heard": kept, "changes": []})
    keep(page, text)
    page.reload()
    page.wait_for_selector("body[data-ready]")
    lines = heard(page)
    assert len(lines) == 500
    assert lines[-1] == "gap 4.20 mm, shift at 101 km/h"


def test_names_from_files_are_text_and_cannot_run(browser: Browser, tmp_path: Path) -> None:
    track = layshaft.Track(HOSTILE, layshaft.demo_track("club").pieces)
    path = tmp_path / "pit.html"
    path.write_text(page_file.page_text(CAR, HOSTILE[:80], tracks=[track]), encoding="utf-8")
    with opened(browser, path) as page:
        assert page.title() == HOSTILE[:80]
        expect(page.locator("h1")).to_have_text(HOSTILE[:80])
        assert page.locator("#track option").nth(1).inner_text() == HOSTILE
        assert page.locator("img").count() == 0


def test_the_policy_lets_no_other_script_run_and_nothing_be_loaded(
    browser: Browser, file: Path
) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(file.as_uri())
    page.wait_for_selector("body[data-ready]")
    page.evaluate(
        """() => {
          const script = document.createElement("script");
          script.textContent = "document.title = 'bad'";
          document.body.append(script);
          const mark = "<b id=b onclick=\\"document.title='bad'\\">";
          document.body.insertAdjacentHTML("beforeend", mark);
          document.getElementById("b").click();
        }"""
    )
    assert page.title() == "pit"
    load = "() => fetch('http://127.0.0.1:9/').then(() => 'loaded', (fault) => fault.name)"
    refused: list[str] = []
    page.on("console", lambda said: refused.append(said.text))
    assert page.evaluate(load) == "TypeError"
    assert any("Content Security Policy" in each for each in refused)
    context.close()


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize(("width", "height"), SIZES)
def test_it_fits_the_screen_and_all_can_use_it(
    browser: Browser, file: Path, width: int, height: int, colours: str
) -> None:
    size = {"width": width, "height": height}
    with opened(browser, file, viewport=size, color_scheme=colours) as page:
        note(page, "4.2", "67")
        page.locator("summary").click()
        assert page.evaluate("document.documentElement.scrollWidth") == width
        assert page.evaluate(SMALLEST) >= 47.5  # a fingertip
        faults = Axe().run(page)
        assert faults.violations_count == 0, faults.generate_report()
