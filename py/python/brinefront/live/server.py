"""The page served to this machine, or to those who may see it."""

from __future__ import annotations

import errno
import ipaddress
import socket
import sys
import webbrowser
from typing import TYPE_CHECKING, Any

from brinefront.errors import InputError
from brinefront.live import latest
from brinefront.live.view import View
from brinefront.native.optional import need

if TYPE_CHECKING:
    from collections.abc import Callable

    from brinefront._core import Case

__all__ = ["ADDRESS", "PORT", "serve"]

ADDRESS = "127.0.0.1"
PORT = 7341
TITLE = "brinefront: a bed and its water"

# Addresses that mean every one of the machine's.
EVERY = ("0.0.0.0", "::", "")


def serve(
    case: Case,
    *,
    port: int = PORT,
    address: str = ADDRESS,
    open_browser: bool = True,
    ready: Callable[[str], object] | None = None,
) -> None:
    """Serve the live page of a case until interrupted.

    Everything the page needs comes from here, no part from the network. Pages that other sites open against it are
    turned away by their origin, and whatever asks for it under a name that is not its own is refused (403): a site
    whose name was made to point here would pass for the page's own. There is no password: whoever reaches the address
    sees the page and can keep its processors busy.

    Parameters
    ----------
    case : Case
        What the page starts from; every browser tab moves its own copy.
    port : int
        Where to listen; 0 for any that is free.
    address : str
        On which of the machine's addresses; this machine alone unless given. Another is warned about on standard error.
    open_browser : bool
        Open the page in the default browser.
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
    pn = need("panel", "live pages", "live")
    # Scripts and style sheets from this server, whatever the environment has.
    need("bokeh.settings", "live pages", "live").settings.resources = "server"
    pn.extension()
    port = _free(port, address)
    server = _listening(pn, case, port, address)
    shown = _in_url("localhost" if address in EVERY else address)
    url = f"http://{shown}:{port}/"
    if not _loopback(address):
        print(
            f"brinefront: listening on {address or 'every address'}: anyone who reaches this machine can open the "
            "page, without a password and unencrypted",
            file=sys.stderr,
        )
    if ready is not None:
        ready(url)
    if open_browser:
        webbrowser.open(url)
    try:
        server.start()
        server.io_loop.start()
        # Panel takes the signal and ends the loop; no other part does.
        raise KeyboardInterrupt
    finally:
        latest.close_all()
        server.stop()


def _listening(pn: Any, case: Case, port: int, address: str) -> Any:
    origins = [f"{_in_url(name)}:{port}" for name in _origins(address)]
    hosts = [*origins, *([f"[::1]:{port}"] if _loopback(address) else [])]
    try:
        server = pn.serve(
            lambda: View(case).root,
            port=port,
            address=address,
            websocket_origin=origins,
            show=False,
            start=False,
            verbose=False,
            title=TITLE,
        )
    except (OSError, ValueError, OverflowError) as error:
        raise _said(error, port, address) from error
    # Browsers leave the usual port out.
    _refuse_others(server, {*hosts, *(host.removesuffix(":80") for host in hosts if port == 80)})
    return server


def _refuse_others(server: Any, hosts: set[str]) -> None:
    """Answer every request, for the page, its parts or its websocket, whose Host is none of these with 403."""
    routing = need("tornado.routing", "live pages", "live")
    matcher: Any = routing.Matcher
    handler: Any = need("tornado.web", "live pages", "live").RequestHandler

    class OfAnother(matcher):  # type: ignore[misc]
        """Matches requests that ask for another host."""

        def match(self, request: Any) -> dict[str, Any] | None:
            asked = request.headers.get_list("Host")
            return None if len(asked) == 1 and asked[0].strip().lower() in hosts else {}

    class Refused(handler):  # type: ignore[misc]
        """Says no."""

        def prepare(self) -> None:
            self.set_status(403)
            self.finish("403: this page is served under its own names alone\n")

    hosts = {host.lower() for host in hosts}
    router = server._tornado.default_router
    router.rules.insert(0, router.process_rule(routing.Rule(OfAnother(), Refused)))


def _free(port: int, address: str) -> int:
    """The port, or one that is free if it is 0: pages are let in by the port in their origin, so it must be known."""
    if not 0 <= port <= 65535:
        raise InputError("port", port, "must be from 0 to 65535")
    if port:
        return port
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    with socket.socket(family) as trial:
        try:
            trial.bind((address, 0))
        except (OSError, ValueError, OverflowError) as error:
            raise _said(error, port, address) from error
        found: int = trial.getsockname()[1]
        return found


def _said(error: Exception, port: int, address: str) -> Exception:
    if not isinstance(error, OSError):
        # No name of a machine can be made of it.
        return InputError("address", address, "is not an address of this machine")
    if error.errno == errno.EADDRINUSE:
        return InputError("port", port, "is taken by another program; give another, or 0 for any that is free")
    if error.errno == errno.EACCES:
        return InputError("port", port, "is not open to this user; give one from 1024 to 65535")
    if error.errno == errno.EADDRNOTAVAIL or isinstance(error, socket.gaierror):
        return InputError("address", address, "is not an address of this machine")
    return error


def _origins(address: str) -> list[str]:
    """Names under which a browser may have opened the page."""
    if _loopback(address):
        return list(dict.fromkeys([address, "localhost", ADDRESS]))
    own = [address]
    if address in EVERY:
        name = socket.gethostname()
        own = ["localhost", ADDRESS, name]
        try:
            own += [str(found[4][0]) for found in socket.getaddrinfo(name, None)]
        except socket.gaierror:
            pass
    return list(dict.fromkeys(own))


def _loopback(address: str) -> bool:
    if address == "localhost":
        return True
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def _in_url(address: str) -> str:
    return f"[{address}]" if ":" in address else address
