"""Ctrl-C while the command is still being loaded: it says that it stopped, where Python would print where it was.

This is imported before everything else of the package. Where the package is imported by a program of somebody else, nothing
happens.
"""

from __future__ import annotations

import os
import signal
import sys

__all__ = ["STOPPED", "as_usual", "while_loading"]

STOPPED = 130
"""Exit code of a command that Ctrl-C has stopped."""


def while_loading() -> None:
    """From here on Ctrl-C ends the process at once, if it is the command's."""
    if _is_the_command() and signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _stop)


def as_usual() -> None:
    """From here on Ctrl-C raises KeyboardInterrupt again."""
    if signal.getsignal(signal.SIGINT) is _stop:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def _is_the_command() -> bool:
    """Was Python started as ``brinefront`` or as ``python -m brinefront``?"""
    started = sys.argv[0] if sys.argv else ""
    as_module = started == "-m" and any(pair == ("-m", "brinefront") for pair in zip(sys.orig_argv, sys.orig_argv[1:]))
    return as_module or os.path.basename(started).lower() in ("brinefront", "brinefront.exe")


def _stop(*_: object) -> None:
    if sys.stderr is not None:
        print("brinefront: stopped", file=sys.stderr, flush=True)
    os._exit(STOPPED)
