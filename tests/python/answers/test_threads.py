"""The interpreter is released while a case is solved: threads compute side by side, and to the same bits as alone."""

from __future__ import annotations

import json
import threading
from concurrent.futures import ThreadPoolExecutor

import brinefront as bf

THREADS = 8


def test_eight_threads_at_once_give_the_bits_of_one_after_the_other() -> None:
    case = bf.default_case().replace({"cells": 20})
    doses = [60.0 + 10.0 * place for place in range(THREADS)]
    cases = [case.replace({"regeneration.dose_g_per_l": dose}) for dose in doses]
    alone = [bits(one) for one in cases]
    assert len(set(alone)) == THREADS
    assert at_once(cases) == alone


def test_eight_threads_may_share_one_case() -> None:
    case = bf.default_case().replace({"cells": 20})
    assert set(at_once([case] * THREADS)) == {bits(case)}


def at_once(cases: list[bf.Case]) -> list[bytes]:
    """The results of all cases, none begun before each has a thread."""
    ready = threading.Barrier(len(cases))

    def solved(case: bf.Case) -> bytes:
        ready.wait(timeout=60.0)
        return bits(case)

    with ThreadPoolExecutor(len(cases)) as pool:
        return list(pool.map(solved, cases))


def bits(case: bf.Case) -> bytes:
    """Everything a steady cycle gives: figures as they round-trip, curves and profiles byte by byte."""
    cycle = case.cycle()
    curves = [cycle.leakage(), cycle.waste_curve().drop(columns="step")]
    arrays = [curve.to_numpy(dtype=float) for curve in curves]
    profiles = cycle.profiles()["loading_eq_per_l"].to_numpy()
    return b"".join([json.dumps(cycle.to_dict()).encode(), *(each.tobytes() for each in [*arrays, profiles])])
