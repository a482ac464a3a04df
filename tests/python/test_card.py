"""The card is one A6 page on which nothing is too small, cut or on top of another."""

import re
from dataclasses import replace
from pathlib import Path

import layshaft
import matplotlib.figure
import pytest
from layshaft import goals
from layshaft.cli.main import app
from layshaft.mounting.setting_moves import moves_to
from layshaft.plots.card import text_width, wrapped
from layshaft.reports import card_advice, card_settings
from matplotlib.backends.backend_agg import FigureCanvasAgg
from typer.testing import CliRunner

A6 = (105.0, 148.0)  # ISO 216 [mm]
#: Height of a letter seen under 16 minutes of arc, the least that ISO 9241-303 asks for (from
#: memory), at an arm's length of 0.6 m: 0.6 * tan(16/60 deg) = 2.8 mm.
LEAST_LETTER = 2.8
#: Height of a capital of the font, in shares of its size: as its file says.
CAPITAL = 0.729
LONG = "The summer championship of all the clubs of the valley, third round, second heat, " * 3


@pytest.fixture(scope="module")
def advice() -> layshaft.Recommendation:
    return layshaft.recommend(layshaft.demo_car(), goal=goals.shift_at("60 km/h"))


@pytest.fixture(scope="module")
def worst(advice: layshaft.Recommendation) -> layshaft.Recommendation:
    """Ask for all that hands can change at once, from a car whose shoes differ."""
    car = layshaft.Car({"two_speed.shoe_1.gap": "4.35 mm", "two_speed.shoe_2.slug_mass": "1.25 g"})
    settings = {
        "two_speed.shoe_1.gap": 0.0041,
        "two_speed.shoe_2.gap": 0.0043,
        "first.pinion": 18.0,
        "first.spur": 49.0,
        "second.pinion": 23.0,
        "second.spur": 44.0,
        "clutch.axial.nut_turns": 2.25,
        "two_speed.slug_mass": 0.0012,
        "rear_tyre.radius": 0.037,
        "belts.rear.in_teeth": 20.0,
    }
    return replace(advice, car=car, settings=settings, moves=moves_to(car, settings))


def lines(page: matplotlib.figure.Figure) -> list[str]:
    return [text.get_text() for text in page.axes[0].texts]


def check_page(page: matplotlib.figure.Figure) -> None:
    """Measure what is drawn, not what was planned."""
    assert (page.get_size_inches() * 25.4).tolist() == pytest.approx(A6)
    renderer = FigureCanvasAgg(page).get_renderer()
    boxes = []
    for text in page.axes[0].texts:
        assert text.get_fontsize() * CAPITAL * 25.4 / 72.0 >= LEAST_LETTER
        box = text.get_window_extent(renderer)
        scale = 25.4 / page.dpi
        left, low, right, high = (edge * scale for edge in (*box.min, *box.max))
        assert left >= 5.0 and right <= A6[0] - 5.0, text.get_text()  # noqa: PT018
        assert low >= 5.0 and high <= A6[1] - 5.0, text.get_text()  # noqa: PT018
        boxes.append((left, low, right, high))
    for i, one in enumerate(boxes):
        for other in boxes[i + 1 :]:
            across = min(one[2], other[2]) - max(one[0], other[0])
            along = min(one[3], other[3]) - max(one[1], other[1])
            # Boxes have room for accents and tails that the lines above and below share.
            assert across <= 0.0 or along <= 1.2, (one, other)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_plain_card(advice: layshaft.Recommendation, theme: str) -> None:
    page = layshaft.plots.setup_card(advice.car, advice, title="Club, dry", theme=theme)
    check_page(page)
    text = " ".join(lines(page))
    for name, value in card_settings(advice.car):
        assert f"{name} {value}" in text
    (move,) = advice.moves
    assert move.text.partition(" ")[2] in text
    assert "better than now" in text
    assert lines(page)[0] == "Club, dry"


def test_a_card_without_advice_is_the_set_up_alone() -> None:
    page = layshaft.plots.setup_card(layshaft.demo_car())
    check_page(page)
    assert len(lines(page)) == 1 + 2 * len(card_settings(layshaft.demo_car())) + 1


def test_the_worst_case_says_how_much_is_left_out(worst: layshaft.Recommendation) -> None:
    page = layshaft.plots.setup_card(worst.car, worst, title=LONG)
    check_page(page)
    text = lines(page)
    assert text[1].endswith("\u2026")  # the title goes on
    steps, sentences = card_advice(worst)
    (rest,) = (int(found[1]) for each in text if (found := re.match(r"(\d+) more on the", each)))
    whole = " ".join(text).replace("\u2610 ", "")
    shown = [each for each in (*steps, *sentences) if each in whole]
    # Each step stands whole or not at all.
    assert len(shown) + rest == len(steps) + len(sentences)
    assert len(shown) >= 5
    assert "4.35 / 4.40 mm" in text


@pytest.mark.parametrize(
    "title",
    ["x" * 300, "$\\nosuch$ 5", "", "a\nb\tc", "%s {} <b>", "L\u00e4ngsn\u00e4sse \u00df"],
)
def test_any_title_is_plain_text(title: str) -> None:
    page = layshaft.plots.setup_card(layshaft.demo_car(), title=title)
    check_page(page)
    first = lines(page)[0]
    assert (" ".join(title.split()) or "Set-up").startswith(first.rstrip("\u2026"))


def test_the_files_are_one_page_of_a6(tmp_path: Path, advice: layshaft.Recommendation) -> None:
    page = layshaft.plots.setup_card(advice.car, advice)
    page.savefig(tmp_path / "card.pdf")
    page.savefig(tmp_path / "card.svg")
    pdf = (tmp_path / "card.pdf").read_bytes()
    (box,) = re.findall(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", pdf)
    svg = (tmp_path / "card.svg").read_text()
    sizes = [float(each) for each in re.findall(r'(?:width|height)="([\d.]+)pt"', svg)[:2]]
    assert sorted(sizes) == pytest.approx([side / 25.4 * 72.0 for side in A6], abs=0.01)
    # A PDF is written in hundredths of a point.
    assert [float(side) for side in box] == pytest.approx([s / 25.4 * 72.0 for s in A6], abs=0.01)


def test_lines_break_between_words_and_long_words_anywhere() -> None:
    assert wrapped("", 12.0, 30.0) == [""]
    text = "turn both screws 0.56 in, from 4.50 to 4.11 mm"
    broken = wrapped(text, 12.0, 40.0)
    assert " ".join(broken) == text
    assert len(broken) > 2
    folded = wrapped("x" * 60, 12.0, 40.0)
    assert "".join(folded) == "x" * 60
    assert all(text_width(line, 12.0) <= 40.0 for line in (*broken, *folded))


def test_what_differs_between_the_shoes_is_shown_as_both() -> None:
    car = layshaft.Car({"two_speed.shoe_2.gap": "4.55 mm", "clutch.design": "thrown_shoes"})
    rows = dict(card_settings(car))
    assert rows["Gap"] == "4.40 / 4.55 mm"
    assert rows["1st gear"] == "17 / 50"
    assert rows["Clutch spring"].endswith(" N")
    wide = 2e3 * (car["rear_tyre.radius"] - car["rear_tyre.wear"])
    assert rows["Tyres rear / front"].startswith(f"{wide:.1f} / ")


def call(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["card", *words])
    return result.exit_code, result.output


def test_the_verb_writes_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    code, text = call()
    assert code == 0, text
    assert "Picture: layshaft-card.pdf" in text
    assert Path("layshaft-card.pdf").read_bytes().startswith(b"%PDF")
    code, text = call("--goal", "shift-at=60km/h", "--title", "Club", "--out", "card.svg")
    assert code == 0, text
    assert Path("card.svg").read_text().startswith("<?xml")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--out", "card.doc"), "--out card.doc: must be a folder or end in .png, .pdf, .svg"),
        (("--goal", "fastest"), "--goal fastest: must be quickest"),
        (("--track", "club"), "--track club: there is no --goal that it could belong to"),
        (("--over", "first.pinion=16,17"), "there is no --goal that it could belong to"),
    ],
)
def test_what_is_wrong_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], says: str
) -> None:
    monkeypatch.chdir(tmp_path)
    code, text = call(*words)
    assert code == 2
    assert says in text
    assert list(tmp_path.iterdir()) == []
