"""The report: a file that stands by itself, says what the result says, and says where every input comes from."""

from __future__ import annotations

import base64
import re
import subprocess
import sys
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import brinefront as bf
import pytest
from brinefront import report, text
from brinefront.report import tables
from brinefront.units import convert
from brinefront.words.figures import figure
from matplotlib import pyplot as plt
from report_page import CASE, HARD, SMALL, Page, four_cases, input_rows, page_of


@pytest.fixture(scope="module")
def both() -> bf.Comparison:
    return bf.compare(CASE)


@pytest.fixture(scope="module")
def page(both: bf.Comparison) -> Page:
    return page_of(both)


@pytest.fixture(scope="module")
def four() -> bf.Comparison:
    return four_cases()


@pytest.fixture(scope="module")
def page_of_four(four: bf.Comparison) -> Page:
    return page_of(four)


@pytest.fixture(scope="module")
def page_of_hard() -> Page:
    return page_of(bf.compare(CASE.replace(HARD)))


@pytest.fixture(params=["page", "page_of_four", "page_of_hard"])
def any_page(request: pytest.FixtureRequest) -> Page:
    found: Page = request.getfixturevalue(request.param)
    return found


def test_pages_are_accessible(any_page: Page) -> None:
    assert any_page.tree.get("lang") == "en"
    assert any_page.words(any_page.tree.find("head/title"))
    levels = [int(each.tag[1]) for each in any_page.tree.iter() if re.fullmatch("h[1-6]", str(each.tag))]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    ids = [each.get("id") for each in any_page.tree.iter() if each.get("id")]
    assert len(set(ids)) == len(ids)
    named = [
        value
        for each in any_page.tree.iter()
        for name, value in each.items()
        if name.startswith("aria-") and name != "aria-label"
    ]
    assert set(named) <= set(ids)
    links = [link.get("href") for link in any_page.all("a")]
    assert len(links) > 10 and {link[1:] for link in links} <= set(ids) and all(link[0] == "#" for link in links)
    assert all(len(image.get("alt", "")) > 40 for image in any_page.all("img"))
    for table in any_page.all("table"):
        assert any_page.words(table.find("caption"))
        assert all(head.get("scope") in ("col", "colgroup", "row", "rowgroup") for head in table.iter("th"))
        assert all(row.find("th") is not None for row in table.findall("tbody/tr[1]"))


def test_pages_ask_nothing_of_the_network(any_page: Page) -> None:
    assert not any_page.all("script") and not any_page.all("link") and not any_page.all("iframe")
    assert "url(" not in any_page.html and "@import" not in any_page.html and "://" not in any_page.html
    for image in any_page.all("img"):
        start, _, data = image.get("src").partition(",")
        assert start == "data:image/svg+xml;base64"
        drawing = ElementTree.fromstring(base64.b64decode(data))
        assert drawing.tag.endswith("}svg")
        for each in drawing.iter():
            assert not each.tag.endswith(("}script", "}image", "}foreignObject"))
            places = [value for name, value in each.items() if name.endswith("href")]
            places += [place for value in each.attrib.values() for place in re.findall(r"url\(([^)]*)\)", value)]
            assert all(place.startswith("#") for place in places)
    assert len(any_page.html) < 3e6


def test_the_parts_come_in_their_order(page: Page, both: bf.Comparison) -> None:
    sections = [each.get("id") for each in page.all("h2")]
    wanted = "answer contents figures pictures inputs water steps waste numerics notes cautions again"
    assert sections == wanted.split()
    words = page.words()
    assert words.index(both.sentence.replace("+-", "±")) < words.index("Key figures of one cycle")
    assert bf.__version__ in words
    assert all(caution in words for caution in text.cautions(both.cycles))
    assert all(note in words for note in text.notes(both.cycles))
    pictures = [page.words(caption) for caption in page.all("figcaption")]
    assert len(pictures) == 5 and pictures[0].startswith("Figure 1. Hardness of the delivered water")


@pytest.mark.parametrize("of", ["both", "four"])
def test_key_figures_are_the_results(of: str, request: pytest.FixtureRequest) -> None:
    found: bf.Comparison = request.getfixturevalue(of)
    rows = page_of(found).table("key-figures")
    metric = {(row[0], row[1]): row[2:] for row in rows}
    for name in ("dose_g_per_l", "run_length_bv", "capacity_kgr_per_ft3", "salt_efficiency_gr_per_lb", "stop_reason"):
        each = figure(name)
        assert metric[each.words, each.unit] == [text.shown(cycle, name) for cycle in found.cycles]
    # The trade's units stand below, from the numbers themselves and not from the rounded ones.
    pounds = [float(cell) for cell in metric["salt dose", "lb/ft3 of resin"]]
    # 1 lb/ft3 is 16.018 g/L (0.45359237 kg in 28.316847 L).
    assert pounds == pytest.approx([cycle.dose_g_per_l / 16.0185 for cycle in found.cycles], rel=2e-3)
    for cycle, cell in zip(found.cycles, metric["leakage, mean", "gr/US gal"], strict=True):
        leakage = cycle.leakage_mean_mg_per_l_caco3
        # 17.118 mg/L as CaCO3 is a grain in a US gallon (64.79891 mg in 3.785412 L).
        if leakage < 0.01:
            assert cell == "< 0.0006"
        else:
            assert float(cell) == pytest.approx(leakage / 17.118, rel=6e-3)


def test_units_are_typeset(four: bf.Comparison) -> None:
    page = report.render(four)
    tables_alone = "".join(re.findall(r"<table.*?</table>", page, flags=re.DOTALL))
    assert "kgr/ft³" in tables_alone and "mg/L as CaCO₃" in tables_alone
    assert not re.search(r"\bft3\b|CaCO3", re.sub(r"<code>.*?</code>|<td class=\"source\">.*?</td>", "", tables_alone))


def test_tables_are_the_results(four: bf.Comparison, page_of_four: Page) -> None:
    for place, cycle in enumerate(four.cycles, start=1):
        steps = cycle.steps()
        rows = page_of_four.table(f"steps-{place}")
        assert [row[0] for row in rows] == list(steps["step"])
        assert [row[2] for row in rows] == [text.number(value) for value in steps["volume_bv"]]
        assert [row[6] for row in rows] == [text.number(value) for value in steps["inlet_normality_eq_per_l"]]
        flows = cycle.hydraulics()
        rows = page_of_four.table(f"hydraulics-{place}")
        assert [row[5] for row in rows] == [text.number(value) for value in flows["pressure_drop_kpa"]]
        assert [row[4] for row in rows] == list(flows["bed"])
    waste = {row[0]: row[1:] for row in page_of_four.table("waste-by-ion")}
    for place, cycle in enumerate(four.cycles):
        for ion, row in cycle.waste().iterrows():
            cells = [text.number(row["composite_mg_per_l"]), text.number(row["mass_g"])]
            assert waste[ion][2 * place : 2 * place + 2] == cells
    assert waste["K"][:2] == ["-", "-"]
    ledger = {row[0]: row[2:] for row in page_of_four.table("ledger")}
    assert [float(cell) for cell in ledger["mass balance error, worst ion"]] == pytest.approx(
        [cycle.ledger_error for cycle in four.cycles], rel=0.06
    )
    assert ledger["time steps"] == [f"{cycle.effort['steps']:,}".replace(",", " ") for cycle in four.cycles]
    assert ledger["cyclic steady state reached"] == ["yes"] * 4


def test_numerical_errors_are_the_results() -> None:
    # The coarsest grid that still has a coarser one to be set against.
    found = bf.compare(bf.default_case().replace({"cells": 100}))
    rows = {row[0]: row[2:] for row in page_of(found).table("numerical-error")}
    errors = [float(rows["leakage, half run"][2 * place + 1]) for place in range(2)]
    wanted = [100.0 * cycle.leakage_half_run_error_fraction for cycle in found.cycles]
    assert errors == pytest.approx(wanted, rel=0.06) and max(wanted) > 0.0


def test_a_name_is_text_whatever_it_holds(page_of_hard: Page) -> None:
    name = HARD["name"]
    assert page_of_hard.words(page_of_hard.tree.find("head/title")).startswith(name)
    assert page_of_hard.words(page_of_hard.all("h1")[0]) == name
    assert "<script" not in page_of_hard.html


def test_never_soft_comes_first(page_of_hard: Page) -> None:
    assert [each.get("id") for each in page_of_hard.all("h2")][:2] == ["warnings", "answer"]
    words = page_of_hard.words()
    assert words.index("NEVER SOFT") < words.index("The answer")
    assert "at steady state" not in words[: words.index("Pictures")]
    assert "gr/US gal" in words


def test_not_settled_comes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    found = bf.compare(CASE)
    object.__setattr__(found.cycles[1], "settled", False)
    words = page_of(found).words()
    assert words.index("NOT SETTLED") < words.index("The answer")


def test_the_case_files_give_the_figures_again(page: Page, both: bf.Comparison, tmp_path: Path) -> None:
    files = page.all("details")
    assert all(each.get("open") is not None for each in files)
    cases = []
    for each in files:
        path = tmp_path / page.words(each.find("summary")).partition(":")[0]
        path.write_text("".join(each.find("pre").itertext()), encoding="utf-8")
        assert path.name in page.words()
        cases.append(bf.Case.from_toml(path))
    assert bf.compare(cases).to_dict()["cases"] == both.to_dict()["cases"]


def test_salt_account_and_efficiency_where_they_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("brinefront.pictures.efficiency.DOSES_G_PER_L", (80.0, 160.0))
    found = bf.compare(CASE.replace({"cells": 16}))
    accounts = tuple(cycle.salt_account() for cycle in found.cycles)
    page = page_of(found, extras=report.Extras(accounts, efficiency=True))
    names = [each.get("id") for each in page.all("figure")]
    assert names[-3:] == ["picture-1-efficiency", "picture-1-account", "picture-2-account"]
    for place, account in enumerate(accounts, start=1):
        rows = {row[0]: row[1:] for row in page.table(f"account-{place}")}
        for share in account.shares:
            assert float(rows[share.name][0]) == pytest.approx(share.share_g_per_l, abs=5e-3)
        assert sum(float(rows[share.name][0]) for share in account.shares) == pytest.approx(
            float(rows["dose"][0]), abs=0.005 * (len(account.shares) + 1)
        )
        assert account.sentence() in page.words()
    assert "--efficiency --account" in page.words()
    assert len(page.html) < 3e6


def test_reports_are_the_same_bytes_but_for_the_date(both: bf.Comparison, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1767225600")
    first, second = report.render(both), report.render(bf.compare(CASE))
    assert first == second
    assert "2026-01-01 00:00:00 UTC" in first and 'datetime="2026-01-01T00:00:00+00:00"' in first
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")
    with pytest.raises(bf.InputError, match="SOURCE_DATE_EPOCH = yesterday"):
        report.render(both)


def test_the_date_has_its_zone(page: Page) -> None:
    assert re.search(r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d UTC([+-]\d\d:\d\d)?", page.words(page.all("time")[0]))


def test_words_stand_out_from_the_paper() -> None:
    """Contrast of at least 4.5 to 1, light and dark (WCAG 2.2, success criterion 1.4.3; luminance as defined there)."""

    def luminance(colour: str) -> float:
        channels = [int(colour[place : place + 2], 16) / 255.0 for place in (1, 3, 5)]
        linear = [each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    html = report.render(bf.compare(CASE))
    light, dark = (
        dict(re.findall(r"--(\w+): (#\w{6})", part)) for part in re.findall(r":root \{(.*?)\}", html, re.DOTALL)
    )
    for colours in (light, light | dark):
        for words in ("ink", "quiet", "limit", "link"):
            for paper in ("paper", "code"):
                high, low = sorted((luminance(colours[words]), luminance(colours[paper])), reverse=True)
                assert (high + 0.05) / (low + 0.05) >= 4.5, (words, paper)


def test_a_comparison_writes_its_report(both: bf.Comparison, tmp_path: Path) -> None:
    path = tmp_path / "new" / "report.html"
    both.report(path)
    Page(path.read_text(encoding="utf-8"))
    assert not plt.get_fignums()


def test_without_jinja2_the_extra_is_named(both: bf.Comparison, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "jinja2", None)
    with pytest.raises(bf.MissingPackageError, match='extra "report"'):
        report.render(both)


def test_import_leaves_the_report_alone() -> None:
    script = "import sys, brinefront; assert not {'jinja2', 'brinefront.report'} & set(sys.modules)"
    subprocess.run([sys.executable, "-c", script], check=True, timeout=60)


def run(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "brinefront", "report", *map(str, arguments)]
    return subprocess.run(command, check=False, capture_output=True, text=True, timeout=120, encoding="utf-8")


def test_the_command_writes_the_file_and_says_how_it_was_called(tmp_path: Path) -> None:
    case, out = tmp_path / "small.toml", tmp_path / "out" / "report.html"
    case.write_text(SMALL, encoding="utf-8")
    done = run(case, "--out", out)
    assert done.returncode == 0, done.stderr
    found = bf.compare(bf.Case.from_toml(case))
    assert " ".join(done.stdout.split()).startswith(found.sentence)
    page = Page(out.read_text(encoding="utf-8"))
    assert f"brinefront report {case} --out {out}" in page.words()
    assert found.sentence.replace("+-", "±") in page.words()
    assert input_rows(page)["resin.bead_diameter_mm"][0][2] == "given"


def test_the_command_has_the_exit_codes_of_the_others(tmp_path: Path) -> None:
    hard, wrong = tmp_path / "hard.toml", tmp_path / "wrong.toml"
    hard.write_text(CASE.replace(HARD).to_toml(), encoding="utf-8")
    wrong.write_text(SMALL.replace("80.0\n", "-1.0\n"), encoding="utf-8")
    done = run(hard, "--out", tmp_path / "hard.html")
    assert done.returncode == 3 and "NEVER SOFT" in done.stdout and (tmp_path / "hard.html").exists()
    done = run(wrong, "--out", tmp_path / "wrong.html")
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1 and not (tmp_path / "wrong.html").exists()
    assert run(hard).returncode == 2
    assert run(tmp_path / "nowhere.toml", "--out", tmp_path / "no.html").returncode == 2


def test_a_trade_unit_is_the_unit_rooms() -> None:
    for source, target, _ in tables.TRADE.values():
        assert convert(convert(1.0, source, target), target, source) == pytest.approx(1.0)
