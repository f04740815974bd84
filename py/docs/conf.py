"""How the documentation site is made; `py/docs/build.py` calls it with everything in place."""

from __future__ import annotations

import inspect
import sys
from importlib.metadata import version as version_of
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sphinx.application import Sphinx

sys.path.insert(0, str(Path(__file__).resolve().parent))

project = "brinefront"
author = "the brinefront contributors"
copyright = "the brinefront contributors, MIT licence"
version = release = version_of("brinefront")

extensions = ["sphinx.ext.autodoc", "sphinx.ext.autosummary", "numpydoc", "myst_nb", "mathml"]
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = "brinefront"
html_math_renderer = "mathml"
html_static_path = ["_static"]
html_css_files = ["site.css"]
html_show_sphinx = False
html_copy_source = False
html_theme_options = {
    "light_css_variables": {"color-brand-primary": "#12476B", "color-brand-content": "#12476B"},
    "dark_css_variables": {"color-brand-primary": "#D9A15B", "color-brand-content": "#D9A15B"},
}

myst_enable_extensions = ["dollarmath", "colon_fence"]
myst_heading_anchors = 3
# Notebooks are shown as they were committed; the tests are what executes them.
nb_execution_mode = "off"

# Names in single quotes of a docstring are code.
default_role = "literal"
autodoc_member_order = "groupwise"
autodoc_typehints = "none"
numpydoc_show_class_members = False
numpydoc_class_members_toctree = False


def setup(app: Sphinx) -> None:
    """Show signatures as Python has them."""
    # Ahead of numpydoc, which would show what a compiled function's says of its receiver.
    app.connect("autodoc-process-signature", _signature, priority=400)


def _signature(*event: Any) -> tuple[str, str] | None:
    """None for a class without parameters in its docstring, which the package alone builds; else as it was read."""
    what, _, found, _, signature, _ = event[1:]
    if what == "class" and "Parameters\n----" not in inspect.cleandoc(found.__doc__ or ""):
        return "", ""
    return (signature, "") if signature else None
