"""Runs the notebooks and keeps them with their output; a control is shown by what it draws."""

import base64
from pathlib import Path

import jupytext
import nbformat
from nbclient import NotebookClient
from text import ROOT, toctree

_WIDGET = "application/vnd.jupyter.widget-view+json"
_INTRODUCTION = """# Notebooks

Run anew each time these pages are built; beside each page in the folder `notebooks` lies the
notebook with its output, such as `01_first_sweep.ipynb`. The sliders move where Python runs: `pip
install '.[notebooks]'`, then open a file of `notebooks` in JupyterLab as a notebook.

"""


def write_notebooks(out: Path, *, run: bool) -> None:
    """Write every notebook, with its output if they are to `run`, and their list.

    Raises
    ------
    nbclient.exceptions.CellExecutionError
        If one fails.
    """
    files = sorted((ROOT / "notebooks").glob("[0-9]*.py"))
    (out / "notebooks").mkdir()
    for file in files:
        notebook = jupytext.read(file)
        if run:
            _run(notebook, out / "notebooks")
        nbformat.write(notebook, out / "notebooks" / f"{file.stem}.ipynb")
    pages = toctree(f"notebooks/{file.stem}" for file in files)
    (out / "notebooks.md").write_text(_INTRODUCTION + pages, encoding="utf-8")


def _run(notebook: nbformat.NotebookNode, folder: Path) -> None:
    client = NotebookClient(notebook, timeout=600, extra_arguments=["--log-level=ERROR"])
    client.resources = {"metadata": {"path": folder}}
    client.execute()
    _freeze_controls(notebook)


def _freeze_controls(notebook: nbformat.NotebookNode) -> None:
    """Put the picture that a control shows in the place of the control, which needs Python."""
    widgets = notebook.metadata.pop("widgets", {})
    states = next(iter(widgets.values()), {}).get("state", {})
    for cell in notebook.cells:
        for output in cell.get("outputs", ()):
            if _WIDGET in output.get("data", ()):
                picture = _picture(states, output.data[_WIDGET]["model_id"])
                output["data"] = {"image/png": picture, "text/plain": "picture with controls"}


def _picture(states: dict, model: str) -> str:
    """Find the first picture in a box of controls."""
    state = states[model]
    for buffer in state.get("buffers", ()):
        if buffer["path"] == ["value"]:
            return base64.b64encode(base64.b64decode(buffer["data"])).decode()
    for child in state["state"].get("children", ()):
        found = _picture(states, child.removeprefix("IPY_MODEL_"))
        if found:
            return found
    return ""
