"""The live page: how far its quick look is off, and how soon a move is on the screen.

    python benches/live.py --accuracy           # quick look (40 cells) against 100 cells and the default tolerance
    python benches/live.py [--moves 60]         # needs Chromium and chromedriver

How the latency is measured: `brinefront live` is started, its page opened in headless Chromium, and a slider's value
set in the browser, as a hand on the slider sets it. The clock is the browser's own (`performance.now`): it starts with
the change of the value and stops when the data of the charts in the browser have become those of that value; a second
one stops at the next frame after that. In between lie the websocket, the run, what is made of it in Python, and the way
back. Moves come one at a time, a pause apart, so that now and then one has the curves and the fine run of the move
before it to push aside. The last figure is a drag: a value every 16 ms for two seconds, and from each redraw to the
next. Other work on the processors shows at once; `chrt -r 5 python benches/live.py` keeps it away.
"""

from __future__ import annotations

import argparse
import itertools
import math
import os
import random
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

import brinefront as bf
from brinefront.live.settings import CELLS, TOLERANCE, Settings, case_of

GRID = {
    "direction": ("co-current", "counter-current"),
    "dose": (30.0, 60.0, 96.0, 150.0, 240.0),
    "flow": (10.0, 20.0, 40.0),
    "hardness": (100.0, 300.0, 700.0),
    "bead": (0.4, 0.5, 0.8),
}
# Half-run leakages are compared as a ratio where they are above this [mg/L as CaCO3], and as a difference below.
TOLD = 0.1


def accuracy() -> None:
    """The quick look against 100 cells at the default tolerance, over a grid of settings."""
    from brinefront.live.feed import following_dissolved_solids, sodium

    case = bf.default_case()
    off: dict[str, list[float]] = {name: [] for name in ("run length", "capacity", "leakage", "leakage, mg/L")}
    quick_s, other_end = [], 0
    for values in itertools.product(*GRID.values()):
        settings = Settings.of(case)
        for name, value in zip(GRID, values, strict=True):
            settings = settings.moved(name, value)
        settings = settings.moved("solids", following_dissolved_solids(case, settings.hardness, sodium(case.water)))
        full = case_of(case, settings, full=True).cycle()
        start = time.perf_counter()
        quick = case_of(case, settings).cycle()
        quick_s.append(time.perf_counter() - start)
        if "never soft" in (quick.stop_reason, full.stop_reason):
            other_end += quick.stop_reason != full.stop_reason
            continue
        off["run length"].append(abs(quick.run_length_bv / full.run_length_bv - 1.0))
        off["capacity"].append(abs(quick.capacity_eq_per_l / full.capacity_eq_per_l - 1.0))
        seen, truth = (each.leakage_half_run_mg_per_l_caco3 for each in (quick, full))
        if truth > TOLD:
            off["leakage"].append(abs(seen / truth - 1.0))
        else:
            off["leakage, mg/L"].append(abs(seen - truth))
    runs = math.prod(map(len, GRID.values()))
    print(f"{CELLS} cells, tolerance {TOLERANCE:g}, against 100 and {case.tolerance:g}: {runs} settings")
    for name, found in off.items():
        print(f"  {name:15} median {statistics.median(found):.5f}  90 % {ninety(found):.5f}  most {max(found):.5f}")
    print(f"  never soft in one and not in the other: {other_end}")
    print(
        f"  a quick run takes {1e3 * statistics.median(quick_s):.0f} ms (median), {1e3 * ninety(quick_s):.0f} ms (90 %)"
    )


def ninety(found: list[float]) -> float:
    """The 90th percentile: the smallest that nine in ten do not pass."""
    return sorted(found)[math.ceil(0.9 * len(found)) - 1]


# Waits in the browser until the source "now" holds the value that was set.
MOVE = """
const [tag, value, done] = arguments;
const doc = Bokeh.documents[0];
const slider = [...doc._all_models.values()].find(each => each.tags && each.tags.includes(tag));
const now = doc.get_model_by_name("now");
const start = performance.now();
let came = null;
const look = () => {
  if (came !== null || Math.abs(now.data[tag][0] - value) > 1e-9) return;
  came = performance.now() - start;
  now.properties.data.change.disconnect(look);
  requestAnimationFrame(() => setTimeout(() => done([came, performance.now() - start]), 0));
};
now.properties.data.change.connect(look);
slider.value = value;
"""
DRAG = """
const [tag, values, done] = arguments;
const doc = Bokeh.documents[0];
const slider = [...doc._all_models.values()].find(each => each.tags && each.tags.includes(tag));
const now = doc.get_model_by_name("now");
const at = [performance.now()];
const look = () => at.push(performance.now());
now.properties.data.change.connect(look);
let next = 0;
const clock = setInterval(() => {
  if (next < values.length) { slider.value = values[next++]; return; }
  if (Math.abs(now.data[tag][0] - values.at(-1)) > 1e-9) return;
  clearInterval(clock);
  now.properties.data.change.disconnect(look);
  done(at.map((each, place) => place ? each - at[place - 1] : 0).slice(1));
}, 16);
"""
MOVES = {"dose": (40, 240), "strength": (5, 20), "flow": (8, 50), "bead": (0.4, 1.0), "solids": (500, 2500)}


def latency(moves: int) -> None:
    """From the change of a value to the data in the browser."""
    browser = _browser()
    command = [sys.executable, "-m", "brinefront", "live", "--no-browser", "--port", "0"]
    served = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert served.stdout is not None
        browser.set_script_timeout(20)
        opened = time.perf_counter()
        browser.get(served.stdout.readline().strip())
        while not browser.execute_script("return Boolean(window.Bokeh?.documents[0]?.get_model_by_name('now'))"):
            time.sleep(0.05)
        print(
            f"page there after {time.perf_counter() - opened:.1f} s; "
            f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}"
        )
        time.sleep(2.0)
        chosen = random.Random(1)
        every: list[tuple[float, float]] = []
        for tag, (low, high) in MOVES.items():
            found = []
            values = [round(chosen.uniform(low, high), 3) for _ in range(moves)]
            for value in values:
                found.append(tuple(browser.execute_async_script(MOVE, tag, value)))
                time.sleep(chosen.uniform(0.05, 0.8))
            every += found
            _say(tag, found)
        _say("all", every)
        sweep = [60.0 + place for place in range(120)]
        gaps = browser.execute_async_script(DRAG, "dose", sweep)
        print(f"drag: {len(gaps)} redraws, {statistics.median(gaps):.0f} ms apart (median), at most {max(gaps):.0f} ms")
    finally:
        browser.quit()
        served.terminate()
        served.wait(10)


def _say(tag: str, found: list[tuple[float, float]]) -> None:
    data, frame = ([each[place] for each in found] for place in (0, 1))
    print(
        f"{tag:10} data {statistics.median(data):4.0f} ms (median) {ninety(data):4.0f} ms (90 %) "
        f"{max(data):4.0f} ms (most)"
        f"   frame {statistics.median(frame):4.0f} ms, {ninety(frame):4.0f} ms",
        flush=True,
    )


def _browser():  # type: ignore[no-untyped-def]
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    flags = "headless no-sandbox disable-gpu disable-quic no-first-run disable-background-networking"
    for flag in [*flags.split(), "disable-component-update", "disable-sync", "window-size=1280,800"]:
        options.add_argument(f"--{flag}")
    options.add_argument(f"--user-data-dir={tempfile.mkdtemp()}")
    # The paths are given, so that nothing is looked for on the network.
    options.binary_location = shutil.which("chromium") or "chromium"
    return webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--accuracy", action="store_true", help="how far the quick look is off, without a browser")
    parser.add_argument("--moves", type=int, default=40, help="moves of each control")
    options = parser.parse_args()
    if options.accuracy:
        accuracy()
    else:
        latency(options.moves)
