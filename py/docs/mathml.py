"""Formulas as MathML, so that a page needs no script and no network to show them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from docutils.utils.math.latex2mathml import tex2mathml

if TYPE_CHECKING:
    from docutils import nodes
    from sphinx.application import Sphinx


def setup(app: Sphinx) -> dict[str, bool]:
    """Register the renderer under the name that `html_math_renderer` asks for."""
    app.add_html_math_renderer("mathml", (_inline, None), (_block, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}


def _inline(writer: Any, node: nodes.math) -> None:
    _append(writer, node, as_block=False)


def _block(writer: Any, node: nodes.math_block) -> None:
    _append(writer, node, as_block=True)


def _append(writer: Any, node: nodes.Element, *, as_block: bool) -> None:
    from docutils.nodes import SkipNode

    writer.body.append(tex2mathml(node.astext(), as_block=as_block))
    raise SkipNode
