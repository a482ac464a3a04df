"""Settings of the site; `build.py` gathers its sources and calls Sphinx on them."""

import re

import layshaft
from docutils import nodes
from latex2mathml.converter import convert
from pygments.lexers.special import TextLexer
from sphinx.application import Sphinx

project = "Layshaft"
author = "The Layshaft developers"
copyright = author
version = release = layshaft.__version__

extensions = ["myst_nb", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
myst_enable_extensions = ["colon_fence", "deflist", "dollarmath"]
myst_heading_anchors = 3
exclude_patterns = ["build"]

# `build.py` has run the notebooks already, so that their controls can be shown as pictures.
nb_execution_mode = "off"
# Controls need a running Python: no script for them is loaded.
nb_ipywidgets_js = {}

autodoc_member_order = "bysource"
autodoc_typehints = "description"
autodoc_typehints_description_target = "documented"
napoleon_google_docstring = False
napoleon_use_rtype = False
default_role = "literal"  # a name in backticks, as docstrings have it

html_theme = "furo"
html_title = f"Layshaft {version}"
html_static_path = ["static"]
html_css_files = ["site.css"]
html_copy_source = False
html_show_sphinx = False
html_theme_options = {"top_of_page_buttons": []}
# Equations are MathML, which browsers set by themselves: no script, nothing from the net.
html_math_renderer = "mathml"


_FUNCTION = re.compile(r"<mi>((?:arc|ar)?(?:sin|cos|tan)h?|max|ln|exp)</mi>|<mo>(inv|artanh)</mo>")


def _mathml(equation: str, display: str) -> str:
    # A function's name stands apart from what it is multiplied with.
    spaced = r'<mo lspace="0.17em" rspace="0.1em">\1\2</mo>'
    return _FUNCTION.sub(spaced, convert(equation, display=display))


def _inline_math(writer: nodes.NodeVisitor, node: nodes.math) -> None:
    writer.body.append(_mathml(node.astext(), "inline"))
    raise nodes.SkipNode


def _display_math(writer: nodes.NodeVisitor, node: nodes.math_block) -> None:
    equation = _mathml(node.astext().strip(), "block")
    writer.body.append(f'<div class="equation">{equation}</div>\n')
    raise nodes.SkipNode


def setup(app: Sphinx) -> None:
    """Register the MathML writers, and tables in CSV as text without colours."""
    app.add_lexer("csv", TextLexer)
    app.add_html_math_renderer("mathml", (_inline_math, None), (_display_math, None))
