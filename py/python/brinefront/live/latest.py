"""Work for which only the newest request counts."""

from __future__ import annotations

import logging
from concurrent.futures import ThreadPoolExecutor
from threading import Lock
from typing import TYPE_CHECKING, Any, Generic, TypeVar
from weakref import WeakSet

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Latest", "Superseded", "close_all"]

Request = TypeVar("Request")


class Superseded(Exception):
    """Raised in work that nobody waits for any more."""


class Latest(Generic[Request]):
    """One thread that works on the newest request, and sees it through.

    A request that comes while another is worked on takes the place of the one that waits: at most one ever does, and a
    hand that never rests still sees answers.
    """

    def __init__(self, work: Callable[[Request], None]) -> None:
        self._work = work
        self._lock = Lock()
        self._waiting: list[Request] = []
        self._busy = False
        self._closed = False
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="brinefront-live")
        _open.add(self)

    def submit(self, request: Request) -> None:
        """Take the place of whatever waits; returns at once."""
        with self._lock:
            if self._closed:
                return
            self._waiting = [request]
            if not self._busy:
                self._busy = True
                self._thread.submit(self._run)

    def _run(self) -> None:
        while True:
            with self._lock:
                if not self._waiting or self._closed:
                    self._busy = False
                    return
                request = self._waiting.pop()
            try:
                self._work(request)
            except Superseded:
                continue
            except Exception:
                # Nobody asks the pool for it: the log is the only place where a fault would ever show.
                logging.getLogger(__name__).exception("work on %s broke off", request)

    @property
    def idle(self) -> bool:
        """Whether there is no work."""
        return not self._busy

    @property
    def closed(self) -> bool:
        """Whether nobody will look at any answer again."""
        return self._closed

    def stop_if_closed(self, *_: object) -> None:
        """Break this work off if nobody will look at it; has the form of a progress callback."""
        if self._closed:
            raise Superseded

    def close(self) -> None:
        """Take no more requests and let the thread end; does not wait."""
        with self._lock:
            self._closed = True
            self._waiting = []
        self._thread.shutdown(wait=False, cancel_futures=True)


# Whatever may still be at work: a program that ends would else wait until it is done.
_open: WeakSet[Latest[Any]] = WeakSet()


def close_all() -> None:
    """Close every one that is open."""
    for each in list(_open):
        each.close()
