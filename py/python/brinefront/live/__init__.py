"""A live page for whoever explains regeneration: one bed upright, its water going through it, controls where they act.

>>> import brinefront as bf
>>> from brinefront import live
>>> live.page(bf.default_case())  # doctest: +SKIP

in a notebook, or ``brinefront live`` for a page of this machine. A control that moves is answered twice: at once by a
quick look on few cells, and, when it rests, on the case's own grid.

The files, each importing from those before it: `feed` (the water), `settings` (controls, where they are, the case they
make), `latest` (only the newest request counts), `answers` (what the model computes), `drawing` (bed and plumbing as SVG),
`charts`, `styles`, `wording`, `controls` (widgets), `view` (one viewer's page), `server`. Up to `answers` no file knows of
a browser.

It is made with Panel rather than marimo because one object has to be both a cell's output in a Jupyter notebook and a page
of its own: a marimo app lives in marimo's own notebook. Panel's server is Bokeh's, so each tab has a document of its
own, scripts and style sheets come from the installed package, origins of websockets are checked, and only what changed
crosses the wire.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.native.optional import need

if TYPE_CHECKING:
    from collections.abc import Callable

    from brinefront._core import Case

__all__ = ["page", "serve"]


def page(case: Case | None = None) -> Any:
    """The live page of a case, to show in a notebook or to put into a Panel application.

    Parameters
    ----------
    case : Case, optional
        What the page starts from; the built-in scenario if None. It is not changed.

    Returns
    -------
    panel.Column
        A Panel object, with a state of its own.

    Raises
    ------
    MissingPackageError
        If Panel is not installed (extra ``live``).
    """
    pn = need("panel", "live pages", "live")
    from brinefront._core import default_case
    from brinefront.live.view import View

    # Loads the scripts into a notebook, out of the installed package; a second call has no effect.
    pn.extension(inline=True)
    return View(default_case() if case is None else case).root


def serve(
    case: Case | None = None,
    *,
    port: int | None = None,
    address: str | None = None,
    open_browser: bool = True,
    ready: Callable[[str], object] | None = None,
) -> None:
    """Serve the live page until interrupted.

    Everything the page needs comes from here, no part from the network. There is no password: whoever reaches the
    address sees the page and can keep its processors busy.

    Parameters
    ----------
    case : Case, optional
        What the page starts from; the built-in scenario if None. Every browser tab moves its own copy.
    port : int, optional
        Where to listen, 0 for any that is free; 7341 if None.
    address : str, optional
        On which of the machine's addresses; this machine alone, 127.0.0.1, if None. Another is warned about on standard
        error.
    open_browser : bool, default True
        Whether to open the page in the default browser.
    ready : callable, optional
        Called with the page's address once it is there.

    Raises
    ------
    InputError
        If the port or the address cannot be had.
    MissingPackageError
        If Panel is not installed (extra ``live``).
    KeyboardInterrupt
        When somebody interrupts it, which is how it ends.
    """
    need("panel", "live pages", "live")
    from brinefront._core import default_case
    from brinefront.live import server

    server.serve(
        default_case() if case is None else case,
        port=server.PORT if port is None else port,
        address=server.ADDRESS if address is None else address,
        open_browser=open_browser,
        ready=ready,
    )
