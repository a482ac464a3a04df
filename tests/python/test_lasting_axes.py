"""Axes that stay while a control moves: what they show is what would be drawn anew."""

import io

import layshaft
import numpy as np
import pytest
from layshaft import plots
from layshaft.plots.lasting_axes import LastingAxes
from PIL import Image

CAR = layshaft.demo_car()


def at(gap: float) -> object:
    run = layshaft.launch(CAR.replace({"two_speed.gap": gap * 1e-3}), distance=40.0)
    return plots.torques(run)


def pixels(png: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB"), dtype=float)


def test_the_same_axes_are_drawn_on_and_hold_the_last_data_alone() -> None:
    lasting = LastingAxes()
    first = lasting.run(lambda: at(4.4))
    lasting.grow()
    lines = len(first.lines)
    second = lasting.run(lambda: at(4.8))
    assert second is first
    assert len(second.lines) == lines
    np.testing.assert_array_equal(second.lines[0].get_ydata(), at(4.8).lines[0].get_ydata())


def test_the_picture_is_that_of_the_same_axes_drawn_anew() -> None:
    lasting = LastingAxes()
    for gap in (5.2, 4.4, 4.8):
        lasting.run(lambda gap=gap: at(gap))
        lasting.grow()
        shown = lasting.png()
    anew = at(4.8)
    anew.set_xlim(lasting._axes.get_xlim())
    anew.set_ylim(lasting._axes.get_ylim())
    apart = np.abs(pixels(shown) - pixels(plots.picture(anew).data)).max(axis=2)
    # Lines that cross the grid, over it here and there: some pixels in a thousand.
    assert np.mean(apart > 64) < 0.01
    assert np.mean(np.abs(pixels(shown) - 255.0) > 64) > 0.01  # and it is no empty page


def test_axes_grow_and_never_shrink() -> None:
    def line(top: float) -> object:
        axes = plots.torques(layshaft.launch(CAR, distance=5.0))
        axes.plot([0.0, 0.1], [0.0, top])
        return axes

    lasting = LastingAxes()
    seen = []
    for top, grows in ((5.0, True), (9.0, True), (2.0, False)):
        axes = lasting.run(lambda top=top: line(top))
        assert lasting.grow() == grows
        seen.append(axes.get_ylim()[1])
    assert seen[0] < seen[1] == seen[2]
    assert seen[1] > 9.0


def test_what_stands_beside_the_axes_is_drawn_anew() -> None:
    run = layshaft.lap(CAR, "club", sample_spacing=1.0)
    lasting = LastingAxes()
    first = lasting.run(lambda: plots.track_map(run))
    assert not lasting.shows(first)  # its bar of colours
    assert lasting.run(lambda: plots.track_map(run)) is not first
    assert len(first.figure.axes) == 2
    assert not lasting.shows(plots.torques(layshaft.launch(CAR, distance=5.0)))


def test_a_control_shows_each_place_and_keeps_it() -> None:
    calls = []

    def drawn(gap: float) -> object:
        calls.append(gap)
        return at(gap)

    box = plots.live(drawn, gap=(4.0, 5.6, 0.4))
    slider, image = box.children
    seen = {}
    for place in (4.0, 5.6, 4.0, 4.4, 5.6, 4.0):
        slider.value = place
        seen.setdefault(place, []).append(image.value)
    assert seen[4.0][1] == seen[4.0][2]
    assert seen[4.0][0] != seen[4.4][0]
    assert calls.count(4.0) <= 2  # again only where the axes have grown since
    assert Image.open(io.BytesIO(image.value)).size == (576, 324)


def test_new_axes_are_given_outside() -> None:
    lasting = LastingAxes()
    kept = lasting.run(lambda: at(4.8))
    assert at(4.8) is not kept
    with pytest.raises(TypeError, match=r"^axes = "):
        lasting.run(lambda: plots.torques(layshaft.launch(CAR, distance=5.0), "these"))
