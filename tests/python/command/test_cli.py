"""The command line: what it prints, writes and returns."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import brinefront as bf
import pandas as pd
import pytest
from brinefront.words.figures import figures

COARSE = bf.default_case().replace({"cells": 40})


def run(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "brinefront", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=120,
        encoding="utf-8",
        check=False,
    )


def strictly(text: str) -> Any:
    """Out of JSON that has no words but those of the standard."""

    def refused(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    return json.loads(text, parse_constant=refused)


@pytest.fixture
def case_file(tmp_path: Path) -> Path:
    path = tmp_path / "case.toml"
    path.write_text(COARSE.to_toml(), encoding="utf-8")
    return path


def test_without_a_case_the_built_in_scenario_is_compared() -> None:
    done = run("compare", "--json")
    assert done.returncode == 0, done.stderr
    cases = json.loads(done.stdout)["cases"]
    assert sorted(case["direction"] for case in cases) == ["co-current", "counter-current"]
    assert all({figure.name for figure in figures()} <= set(case) for case in cases)


def test_json_is_what_python_gives(case_file: Path) -> None:
    done = run("compare", case_file, "--json")
    assert json.loads(done.stdout) == bf.compare(COARSE, at_accepted=True).to_dict()


def test_the_answer_comes_first_and_the_cautions_last(case_file: Path) -> None:
    done = run("compare", case_file)
    assert done.returncode == 0, done.stderr
    assert " ".join(done.stdout.split()).startswith(bf.compare(COARSE).sentence)
    for words in ("leakage, half run [mg/L as CaCO3]", "20 mg/L", "200 mg/L", "lead", "septic", "Boilers", "Local"):
        assert words in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 100


def test_several_cases_and_equal_leakage(case_file: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    other.write_text(COARSE.mirrored().to_toml(), encoding="utf-8")
    done = run("compare", case_file, other, "--at", "equal-leakage", "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["at"] == "equal-leakage"
    counter_current, co_current = found["cases"]
    given = max(cycle.leakage_half_run_mg_per_l_caco3 for cycle in bf.compare(COARSE).cycles)
    for case in found["cases"]:
        assert case["leakage_half_run_mg_per_l_caco3"] <= given * (1.0 + 1e-5)
    assert counter_current["run_length_bv"] == pytest.approx(co_current["run_length_bv"], rel=1e-5)
    assert counter_current["dose_g_per_l"] < co_current["dose_g_per_l"]


def test_out_writes_the_report(case_file: Path, tmp_path: Path) -> None:
    out = tmp_path / "new" / "report"
    done = run("compare", case_file, "--out", out)
    assert done.returncode == 0, done.stderr
    table = pd.read_csv(out / "comparison.csv", index_col="figure")
    assert float(table.loc["run length [BV]", "counter-current"]) == pytest.approx(
        COARSE.cycle().run_length_bv, rel=5e-5
    )
    assert json.loads((out / "comparison.json").read_text(encoding="utf-8"))["cases"]
    assert (out / "report.txt").read_text(encoding="utf-8").strip() in done.stdout
    pictures = sorted(path.name for path in out.glob("*.png"))
    assert "comparison.png" in pictures and "leakage.png" in pictures and len(pictures) == 6
    assert all(path.read_bytes().startswith(b"\x89PNG") for path in out.glob("*.png"))
    assert bf.Case.from_toml(out / "1-counter-current.toml") == COARSE


def test_a_sweep_prints_one_row_a_point(case_file: Path, tmp_path: Path) -> None:
    arguments = (
        "sweep",
        case_file,
        "--set",
        "regeneration.dose_g_per_l=80,120",
        "--set",
        "regeneration.direction=co-current,counter-current",
    )
    done = run(*arguments, "--json", "--out", tmp_path / "sweep")
    assert done.returncode == 0, done.stderr
    cases = json.loads(done.stdout)["cases"]
    assert [(case["regeneration.dose_g_per_l"], case["regeneration.direction"]) for case in cases] == [
        (80, "co-current"),
        (80, "counter-current"),
        (120, "co-current"),
        (120, "counter-current"),
    ]
    assert all(case["error"] == "" and case["leakage_half_run_mg_per_l_caco3"] > 0.0 for case in cases)
    assert len(pd.read_csv(tmp_path / "sweep" / "sweep.csv")) == 4
    words = run(*arguments).stdout
    heads = words.split("----", 1)[0].split()
    assert "counter-current" in words and {"dose_g_per_l", "direction", "operating", "capacity"} <= set(heads)
    assert "[eq/L of bed]" in words and max(map(len, words.splitlines())) <= 130


def test_an_output_that_is_read_is_refused(case_file: Path, tmp_path: Path) -> None:
    kept = case_file.read_bytes()
    other, mine = tmp_path / "1-co-current.toml", tmp_path / "case.toml"
    for path in (other, mine):
        path.write_bytes(kept)
    for command in (
        ("report", case_file, "--out", case_file),
        ("sweep", case_file, "--set", "cells=10", "--stream", case_file),
        ("account", mine, "--out", tmp_path),
        ("compare", other, "--out", tmp_path),
    ):
        done = run(*command)
        assert done.returncode == 2 and "read" in done.stderr, done.stderr
        assert len(done.stderr.splitlines()) == 1
    assert case_file.read_bytes() == other.read_bytes() == mine.read_bytes() == kept


@pytest.mark.skipif(sys.platform == "win32", reason="closes the streams by a shell")
@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-"])
def test_closed_streams_are_no_fault(closed: str, case_file: Path) -> None:
    command = f'"{sys.executable}" -m brinefront sweep "{case_file}" --set cells=10 {closed}'
    done = subprocess.run(command, shell=True, capture_output=True, text=True, timeout=120, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_letters_outside_the_encoding_and_bytes_that_are_no_text(tmp_path: Path) -> None:
    named = tmp_path / "case.toml"
    # With a dose of its own, each strategy is called by its case's name.
    for name, dose in (("W\u00e4rme", 80.0), ("W\u00e4rme \u2603", 96.0)):
        named.with_stem(str(dose)).write_text(
            COARSE.replace({"name": name, "cells": 10, "regeneration.dose_g_per_l": dose}).to_toml(), encoding="utf-8"
        )
    files = sorted(tmp_path.glob("*.toml"))
    ascii_only = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    command = [sys.executable, "-m", "brinefront", "compare", *map(str, files)]
    done = subprocess.run(command, capture_output=True, env=ascii_only, timeout=120, check=False)
    assert done.returncode == 0, done.stderr
    assert b"W\\xe4rme \\u2603" in done.stdout
    bad = [sys.executable.encode(), b"-m", b"brinefront", b"sweep", b"--set", b"cells\xff=10"]
    done = subprocess.run(bad, capture_output=True, timeout=120, check=False)
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1, done.stderr


def test_a_field_is_set_once(case_file: Path) -> None:
    done = run("sweep", case_file, "--set", "cells=10", "--set", "cells=20")
    assert (done.returncode, done.stdout) == (2, "")
    assert "cells a second time" in done.stderr


def test_a_run_that_is_never_soft_is_an_outcome(tmp_path: Path) -> None:
    # One grain of salt for a very hard, salty water: the outlet is hard from the start.
    hard = COARSE.replace(
        {
            "water": bf.Water({"Ca": 600.0, "Mg": 200.0, "Na": 3000.0}),
            "regeneration.dose_g_per_l": 20.0,
            "service.limit_mg_per_l_caco3": 0.5,
            "regeneration.direction": "co-current",
            "regeneration.backwash_mixing": None,
        }
    )
    path = tmp_path / "hard.toml"
    path.write_text(hard.to_toml(), encoding="utf-8")
    done = run("compare", path, path, "--json")
    assert done.returncode == 3, done.stderr
    assert strictly(done.stdout)["cases"][0]["stop_reason"] == "never soft"
    assert strictly(done.stdout)["cases"][0]["distance"] is None
    words = run("compare", path, path)
    assert words.returncode == 3 and "NEVER SOFT" in words.stdout


def test_json_has_null_for_a_number_that_is_not_there(case_file: Path) -> None:
    account = strictly(run("account", case_file, "--order", "shapley", "--json").stdout)
    capacities = [share["capacity_eq_per_l"] for share in account["shares"]]
    assert capacities[1:-1] == [None] * (len(capacities) - 2) and capacities[0] > 0.0
    swept = strictly(run("sweep", case_file, "--set", "regeneration.dose_g_per_l=96,-1", "--json").stdout)
    assert [case["capacity_eq_per_l"] is None for case in swept["cases"]] == [False, True]
    assert all(case["salt_kg_per_week"] is None or case["salt_kg_per_week"] > 0.0 for case in swept["cases"])


def test_a_sweep_counts_its_points_without_figures_with_the_reasons(case_file: Path) -> None:
    doses, cells = "--set=regeneration.dose_g_per_l=96,-1,-2", "--set=cells=10,12"
    for last in ("table", "json"):
        done = run("sweep", case_file, doses, cells, *(["--json"] if last == "json" else []))
        assert done.returncode == 3
        line = (done.stderr if last == "json" else done.stdout).splitlines()[-1]
        assert line.startswith("4 of 6 points without figures: regeneration.dose_g_per_l = -1: must be "), line
        assert "(2 points); regeneration.dose_g_per_l = -2: must be " in line and line.endswith("(2 points)"), line
    good = run("sweep", case_file, "--set=regeneration.dose_g_per_l=96")
    assert good.returncode == 0 and "without figures" not in good.stdout
    none = run("sweep", case_file, "--set=regeneration.dose_g_per_l=-1,-2")
    assert (none.returncode, none.stdout) == (2, "") and none.stderr.count("\n") == 1
    assert "= -1: " in none.stderr and "= -2: " in none.stderr
    many = run("sweep", case_file, "--set=regeneration.dose_g_per_l=96,-1,-2,-3,-4,-5,-6,-7")
    assert many.stdout.splitlines()[-1].endswith("; 2 for other reasons")
    assert "exit code is 3" in " ".join(run("sweep", "--help").stdout.split())


def test_version_and_help() -> None:
    assert run("--version").stdout.strip() == f"brinefront {bf.__version__}"
    assert "CASE.toml" in run("compare", "--help").stdout


def test_a_case_file_that_begins_with_its_byte_order(tmp_path: Path) -> None:
    path = tmp_path / "marked.toml"
    # TOML 1.1: a table in braces over several lines, with a comma at its end.
    text = COARSE.replace({"cells": 10}).to_toml()
    start = text.index("[bed]")
    end = text.find("\n[", start)
    lines = text[start:end].strip().splitlines()[1:]
    text = text[:start] + text[end:]
    bed = "bed = {\n" + "".join(f"  {line},\n" for line in lines) + "}\n"
    text = bed + text
    path.write_text("\ufeff" + text, encoding="utf-8")
    out = tmp_path / "report.html"
    done = run("report", path, "--out", out)
    assert done.returncode == 0, done.stderr
    assert out.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes with names there")
def test_a_report_reads_a_pipe_once(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    command = [sys.executable, "-m", "brinefront", "report", str(pipe), "--out", str(tmp_path / "report.html")]
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    pipe.write_text(COARSE.replace({"cells": 10}).to_toml(), encoding="utf-8")
    said, errors = child.communicate(timeout=60)
    assert child.returncode == 0, errors
    assert "Written to" in said


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes with names there")
def test_ctrl_c_ends_the_wait_for_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    command = [sys.executable, "-m", "brinefront", "compare", str(pipe)]
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    time.sleep(2.0)
    child.send_signal(signal.SIGINT)
    _, errors = child.communicate(timeout=30)
    assert (child.returncode, errors) == (130, "brinefront: stopped\n")


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT can be sent to a child there")
def test_ctrl_c_while_the_command_is_loaded() -> None:
    usual = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
    code = usual + (
        "import os, sys\n"
        "sys.argv[0] = '/usr/bin/brinefront'\n"
        "class Interrupting:\n"
        "    def find_spec(self, name, *rest):\n"
        "        if name == 'brinefront.errors':\n"
        "            os.kill(os.getpid(), signal.SIGINT)\n"
        "sys.meta_path.insert(0, Interrupting())\n"
        "import brinefront.cli\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "brinefront: stopped\n")
    other = code.replace("/usr/bin/brinefront", "somebody.py")
    done = subprocess.run([sys.executable, "-c", other], capture_output=True, text=True, timeout=60, check=False)
    assert "KeyboardInterrupt" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("sweep", "--set", "cells=10", "--threads", "0"), "threads"),
        (("sweep", "--set", "cells=10", "--threads", "-1"), "threads"),
        (("sweep", "--set", "cells=10", "--threads", "many"), "many"),
        (("sweep", "--set", "cells=10", "--threads", "1" * 30), "threads"),
        (("sweep", "--set", "cells=10", "--threads", "1" * 5000), "threads"),
        (("live", "--no-browser", "--address", "no such place"), "address"),
        (("live", "--no-browser", "--address", "a..b"), "address"),
        (("live", "--no-browser", "--address", "."), "address"),
        (("live", "--no-browser", "--address", "x" * 300), "address"),
        (("live", "--no-browser", "--address", "203.0.113.7"), "address"),
        (("live", "--no-browser", "--address", "::zz"), "address"),
        (("live", "--no-browser", "--port", "99999999999"), "port"),
    ],
)
def test_a_bad_option_is_one_line(arguments: tuple[str, ...], words: str) -> None:
    done = run(*arguments)
    assert done.returncode == 2, done.stderr
    assert words in done.stderr and len(done.stderr.splitlines()) == 1 and len(done.stderr) < 1000, done.stderr
