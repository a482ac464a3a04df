"""The notebooks run from top to bottom, and their controls answer."""

import time
from pathlib import Path

import pytest

jupytext = pytest.importorskip("jupytext")
nbclient = pytest.importorskip("nbclient")
ipywidgets = pytest.importorskip("ipywidgets")
pytest.importorskip("ipykernel")

NOTEBOOKS = sorted((Path(__file__).resolve().parents[2] / "notebooks").glob("[0-9]*.py"))
WIDGET = "application/vnd.jupyter.widget-view+json"


def test_they_are_found() -> None:
    assert len(NOTEBOOKS) >= 5


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")  # of the notebook machinery, not of this library
@pytest.mark.parametrize("file", NOTEBOOKS, ids=lambda file: file.stem)
def test_a_notebook_runs_from_top_to_bottom(file: Path, tmp_path: Path) -> None:
    notebook = jupytext.read(file)
    nbclient.NotebookClient(
        notebook, timeout=300, resources={"metadata": {"path": tmp_path}}
    ).execute()
    outputs = [output for cell in notebook.cells for output in cell.get("outputs", ())]
    assert any(WIDGET in output.get("data", ()) for output in outputs)
    assert not any(output.output_type == "stream" and output.name == "stderr" for output in outputs)


def test_a_picture_answers_while_its_control_moves() -> None:
    import layshaft
    from layshaft.plots import launch_plots
    from layshaft.plots.notebook import live

    car = layshaft.demo_car()

    def draw(gap_mm: float) -> object:
        run = layshaft.launch(car.replace({"two_speed.gap": gap_mm * 1e-3}), distance=20.0)
        return launch_plots.shift_speeds(run)

    slider, image = live(draw, gap_mm=(4.4, 5.2, 0.1)).children
    assert slider.continuous_update
    assert slider.value == pytest.approx(4.8)
    first = bytes(image.value)
    slider.value = 4.6
    assert bytes(image.value).startswith(b"\x89PNG")
    assert bytes(image.value) != first


def test_what_takes_long_is_run_ahead_and_once_for_each_position() -> None:
    import layshaft
    from layshaft.plots import launch_plots
    from layshaft.plots.notebook import live

    car, asked = layshaft.demo_car(), []

    def run(gap_mm: float) -> layshaft.LaunchRun:
        asked.append(round(gap_mm, 6))
        if gap_mm < 4.45:
            raise ValueError("too narrow")
        return layshaft.launch(car.replace({"two_speed.gap": gap_mm * 1e-3}), distance=20.0)

    slider, image = live(launch_plots.shift_speeds, run, gap_mm=(4.4, 5.2, 0.2)).children
    end = time.perf_counter() + 60.0
    while len(asked) < 5 and time.perf_counter() < end:
        time.sleep(0.01)
    assert asked[0] == 4.8
    assert sorted(asked) == [4.4, 4.6, 4.8, 5.0, 5.2]
    assert set(asked[1:3]) == {4.6, 5.0}  # the nearest first
    time.sleep(0.2)  # for the last of them to end
    first = bytes(image.value)
    slider.value = 4.6
    assert bytes(image.value) != first
    assert len(asked) == 5
    with pytest.raises(ValueError, match="too narrow"):
        slider.value = 4.4


def test_what_cannot_be_run_is_refused() -> None:
    from layshaft.plots.notebook import live

    with pytest.raises(TypeError, match="run = 3 must be a function that runs what is drawn"):
        live(print, 3, gap_mm=(4.4, 5.2, 0.2))
