"""Long work stops at once on Ctrl-C, and lets other threads run meanwhile."""

from __future__ import annotations

import signal
import subprocess
import sys
import threading
import time

import brinefront as bf
import pytest

LONG_SWEEP = """
import brinefront as bf
case = bf.default_case().replace({"cells": 400})
print("started", flush=True)
bf.sweep(case, {"regeneration.dose_g_per_l": [60.0 + 0.5 * k for k in range(400)]})
"""
LONG_CYCLE = """
import brinefront as bf
print("started", flush=True)
while True:
    bf.default_case().replace({"cells": 4000, "tolerance": 1e-6}).cycle()
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT can be sent to a child there")
@pytest.mark.parametrize("script", [LONG_SWEEP, LONG_CYCLE], ids=["sweep", "cycle"])
def test_ctrl_c_returns_within_a_second(script: str) -> None:
    child = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        assert child.stdout is not None and child.stdout.readline() == "started\n"
        time.sleep(1.0)
        assert child.poll() is None, "the work must outlast the signal"
        sent = time.monotonic()
        child.send_signal(signal.SIGINT)
        _, said = child.communicate(timeout=10.0)
        took = time.monotonic() - sent
    finally:
        child.kill()
    assert took < 1.0
    assert child.returncode != 0 and "KeyboardInterrupt" in said


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT can be sent to a child there")
def test_the_command_stops_with_its_own_code() -> None:
    doses = ",".join(str(60.0 + 0.25 * step) for step in range(400))
    child = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "brinefront",
            "sweep",
            "--set",
            f"regeneration.dose_g_per_l={doses}",
            "--set",
            "cells=400",
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        time.sleep(3.0)
        assert child.poll() is None
        child.send_signal(signal.SIGINT)
        out, said = child.communicate(timeout=10.0)
    finally:
        child.kill()
    assert child.returncode == 130
    assert out == "" and "Traceback" not in said


def test_other_threads_run_during_a_run() -> None:
    ticks = 0
    stop = threading.Event()

    def tick() -> None:
        nonlocal ticks
        while not stop.wait(0.005):
            ticks += 1

    other = threading.Thread(target=tick)
    other.start()
    began = time.monotonic()
    bf.sweep(bf.default_case().replace({"cells": 200}), {"regeneration.dose_g_per_l": [80.0, 90.0, 100.0, 110.0]})
    took = time.monotonic() - began
    stop.set()
    other.join()
    # A held interpreter would let through a handful at most.
    assert ticks > 0.2 * took / 0.005
