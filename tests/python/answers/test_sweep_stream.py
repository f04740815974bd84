"""A sweep handed over point by point: the rows of the sweep in memory, interruptible, ended early, in constant memory."""

from __future__ import annotations

import csv
import gc
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import brinefront as bf
import numpy as np
import pandas as pd
import pytest
from brinefront.report import directory as report_files

TINY = bf.default_case().replace({"cells": 10, "tolerance": 0.01})
AXES = {
    "regeneration.dose_g_per_l": [80.0, -1.0, 120.0],
    "regeneration.direction": ["co-current", "counter-current"],
}
# Hours of work: whoever takes a few of its points must be able to leave.
ENDLESS = {
    "regeneration.dose_g_per_l": [60.0 + 0.01 * k for k in range(3000)],
    "regeneration.flow_bv_per_h": [2.0 + 0.001 * k for k in range(1000)],
}


def native_threads() -> int:
    return len(list(Path("/proc/self/task").iterdir()))


@pytest.mark.parametrize("threads", [1, 2])
def test_a_stream_has_the_rows_of_the_sweep_in_memory_bit_for_bit(threads: int) -> None:
    in_memory = pd.DataFrame(report_files.sweep_points(bf.sweep(TINY, AXES, threads=threads)))
    streamed = pd.DataFrame([point.row() for point in bf.sweep_stream(TINY, AXES, threads=threads)])
    pd.testing.assert_frame_equal(streamed, in_memory, check_exact=True)


def test_a_point_says_what_was_run_and_what_came_of_it() -> None:
    with bf.sweep_stream(TINY, AXES, threads=2) as points:
        assert len(points) == 6
        found = list(points)
        assert next(points, None) is None
    assert [point.index for point in found] == list(range(6))
    good = found[5]
    assert good.changes == {"regeneration.dose_g_per_l": 120.0, "regeneration.direction": "counter-current"}
    cycle = TINY.replace(good.changes).cycle()
    assert good.figures is not None
    # The text of a number gives its bits back, and nan is its own text.
    assert repr(good.figures.figures()) == repr(cycle.figures())
    assert good.effort == cycle.effort and good.effort["steps"] > 0
    for failed in found[2:4]:
        assert failed.figures is None and "regeneration.dose_g_per_l = -1: must be" in failed.error
    assert all(not point.error for point in [*found[:2], *found[4:]])


def test_a_grid_that_is_wrong_is_refused_at_once() -> None:
    for axes, field in (
        ({}, "axes"),
        ({"cells": []}, "cells"),
        ({"bed.colour": [1]}, "bed.colour"),
    ):
        with pytest.raises(bf.InputError) as refused:
            bf.sweep_stream(TINY, axes)
        assert refused.value.field == field
    # Not letter by letter.
    for values in ("auto", b"auto", {"cells": 10}, 10, None):
        for grid in (bf.sweep, bf.sweep_stream):
            with pytest.raises(bf.InputError, match="cells = .*: must be a list of values"):
                grid(TINY, {"cells": values})
    with pytest.raises(bf.InputError, match="threads"):
        bf.sweep_stream(TINY, AXES, threads=0)
    for run in (lambda: bf.sweep(TINY, AXES, threads=10**6), lambda: next(bf.sweep_stream(TINY, AXES, threads=10**6))):
        with pytest.raises(bf.InputError, match="threads = 1000000: must be 1 to .* for each core"):
            run()


@pytest.mark.skipif(sys.platform != "linux", reason="counts the threads that the kernel knows")
@pytest.mark.parametrize("leave", ["close", "with", "drop"])
def test_leaving_early_ends_the_threads(leave: str) -> None:
    before = native_threads()
    points = bf.sweep_stream(TINY, ENDLESS, threads=2)
    assert len(points) == 3_000_000
    assert [next(points).index for _ in range(5)] == list(range(5))
    assert native_threads() >= before + 2
    began = time.monotonic()
    if leave == "close":
        points.close()
        points.close()
        assert next(points, None) is None
    elif leave == "with":
        with points:
            pass
    else:
        del points
        gc.collect()
    assert time.monotonic() - began < 1.0
    # The pool has been told to end, and does so in its own time.
    while native_threads() > before and time.monotonic() - began < 5.0:
        time.sleep(0.01)
    assert native_threads() <= before


def test_a_stream_can_be_closed_from_another_thread() -> None:
    points = bf.sweep_stream(TINY.replace({"cells": 1000, "tolerance": 1e-6}), ENDLESS, threads=1)
    threading.Timer(0.2, points.close).start()
    began = time.monotonic()
    assert list(points) == []
    assert time.monotonic() - began < 2.0


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT can be sent to a child there")
def test_ctrl_c_ends_a_stream_whose_points_take_long() -> None:
    script = (
        "import brinefront as bf\n"
        "case = bf.default_case().replace({'cells': 4000, 'tolerance': 1e-6})\n"
        "print('started', flush=True)\n"
        "for point in bf.sweep_stream(case, {'regeneration.dose_g_per_l': [80.0, 90.0]}): pass\n"
    )
    child = subprocess.Popen(
        [sys.executable, "-c", script],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert child.stdout is not None and child.stdout.readline() == "started\n"
        time.sleep(0.5)
        assert child.poll() is None, "the work must outlast the signal"
        sent = time.monotonic()
        child.send_signal(signal.SIGINT)
        _, said = child.communicate(timeout=10.0)
    finally:
        child.kill()
    assert time.monotonic() - sent < 1.0
    assert child.returncode != 0 and "KeyboardInterrupt" in said


@pytest.mark.skipif(sys.platform != "linux", reason="reads the kernel's count")
def test_memory_does_not_grow_with_the_length() -> None:
    script = (
        "import re, sys, brinefront as bf\n"
        "case = bf.default_case().replace({'cells': 10, 'tolerance': 0.01})\n"
        "def peak(): return int(re.search(r'VmHWM:\\s*(\\d+)', open('/proc/self/status').read())[1])\n"
        "def stream(rows):\n"
        "    axes = {'regeneration.dose_g_per_l': [80.0] + [-1.0] * 9, 'regeneration.flow_bv_per_h': [3.0] * rows}\n"
        "    return sum(1 for _ in bf.sweep_stream(case, axes, threads=1))\n"
        "assert stream(20) == 200\n"
        "short = peak()\n"
        "assert stream(1000) == 10000\n"
        "print(short, peak())\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    short_kb, long_kb = map(int, done.stdout.split())
    # Ten thousand points held would be tens of megabytes.
    assert long_kb - short_kb < 3000, f"{short_kb} kB grew to {long_kb} kB"


def command(*arguments: str | Path) -> list[str]:
    return [sys.executable, "-m", "brinefront", "sweep", *map(str, arguments)]


@pytest.fixture
def case_file(tmp_path: Path) -> Path:
    path = tmp_path / "case.toml"
    path.write_text(TINY.to_toml(), encoding="utf-8")
    return path


def test_the_command_writes_the_table_of_a_sweep(case_file: Path, tmp_path: Path) -> None:
    sets = [f"--set={name}={','.join(map(str, values))}" for name, values in AXES.items()]
    file = tmp_path / "points.csv"
    said = []
    for place in (("--stream", file), ("--out", tmp_path / "out")):
        done = subprocess.run(command(case_file, *sets, *place), capture_output=True, text=True, check=False)
        # What could not be run is no reason to lose the rest, and none to take it for done.
        assert (done.returncode, done.stderr) == (3, "")
        said.append(done.stdout.splitlines())
    assert "6 points" in said[0][0] and "2 without figures" in said[0][0]
    assert said[0][-1] == said[1][-1] and said[0][-1].startswith("2 of 6 points without figures: regeneration.")
    assert said[0][-1].endswith("(2 points)")
    streamed = pd.read_csv(file)
    pd.testing.assert_frame_equal(streamed, pd.read_csv(tmp_path / "out" / "sweep.csv"), check_exact=True)
    assert streamed["error"].notna().sum() == 2 and (streamed["effort_steps"] > 0).sum() == 4


def test_a_file_has_every_digit_however_numpy_prints(tmp_path: Path) -> None:
    doses, file = np.array([80.0 + 1 / 3, 100.0 * (0.1 + 0.2 + 0.7)]), tmp_path / "points.csv"
    with np.printoptions(legacy="1.13"):
        assert str(doses[0]) == "80.3333333333"
        points = list(report_files.streamed(bf.sweep_stream(TINY, {"regeneration.dose_g_per_l": doses}), file))
    with file.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert [float(row["regeneration.dose_g_per_l"]) for row in rows] == doses.tolist()
    assert [float(row["capacity_eq_per_l"]) for row in rows] == [point.row()["capacity_eq_per_l"] for point in points]


def test_the_command_keeps_to_its_exit_codes(case_file: Path, tmp_path: Path) -> None:
    file = tmp_path / "points.csv"
    bad = ("--set", "regeneration.dose_g_per_l=-1", "--stream", file)
    done = subprocess.run(command(case_file, *bad), capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "must be" in done.stderr and len(done.stderr.splitlines()) == 1
    done = subprocess.run(command(case_file, *bad, "--json"), capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "--stream" in done.stderr
    nowhere = ("--set", "cells=10", "--stream", tmp_path / "no" / "points.csv")
    done = subprocess.run(command(case_file, *nowhere), capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "Traceback" not in done.stderr


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT can be sent to a child there")
def test_what_was_written_before_ctrl_c_stays(case_file: Path, tmp_path: Path) -> None:
    file = tmp_path / "points.csv"
    sets = [f"--set={name}={','.join(map(str, values[:300]))}" for name, values in ENDLESS.items()]
    child = subprocess.Popen(
        command(case_file, *sets, "--stream", file),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        deadline = time.monotonic() + 30.0
        while time.monotonic() < deadline and not (file.exists() and file.read_bytes().count(b"\n") > 20):
            time.sleep(0.05)
        child.send_signal(signal.SIGINT)
        _, said = child.communicate(timeout=10.0)
    finally:
        child.kill()
    assert child.returncode == 130 and "Traceback" not in said
    rows = pd.read_csv(file)
    assert len(rows) >= 20 and rows["error"].isna().all() and rows["capacity_eq_per_l"].notna().all()
