"""The live page without a browser: what it shows equals what the model says to the same settings."""

from __future__ import annotations

import re
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import brinefront as bf
import numpy as np
import pytest
from brinefront import text
from brinefront.live import drawing, feed, wording
from brinefront.live.answers import DOSES_G_PER_L, Answer, Refusal, answer, dose_curve
from brinefront.live.charts import FOOT
from brinefront.live.latest import Latest
from brinefront.live.settings import CELLS, TOLERANCE, Settings, case_of
from brinefront.live.view import View
from brinefront.pictures.efficiency import FADED, published_band
from brinefront.units import display

CASE = bf.default_case()
OWN = Settings.of(CASE)
# What a moving bench runs, said without the bench.
COARSE: dict[str, Any] = {"cells": 40, "tolerance": 5e-3, "service.volume_bv": None}

# g/mol, abridged atomic masses of IUPAC (2021; the library `chemicals` has the same, chlorine 35.453), and charges.
IONS = {
    "Ca": (40.078, 2),
    "Mg": (24.305, 2),
    "Na": (22.990, 1),
    "Cl": (35.45, -1),
    "HCO3": (61.016, -1),
    "SO4": (96.06, -2),
}


def answered(settings: Settings, case: bf.Case = CASE, *, full: bool = False) -> Answer:
    found = answer(case, settings, full=full)
    assert isinstance(found, Answer), found
    return found


def same_figures(left: bf.Cycle, right: bf.Cycle) -> None:
    assert left.to_dict() == right.to_dict()


# --- controls


def test_at_rest_the_bench_runs_the_case_itself_without_its_meter() -> None:
    assert case_of(CASE, OWN, full=True) == CASE.replace({"service.volume_bv": None})
    assert case_of(CASE, OWN.moved("metered", True), full=True) == CASE
    assert case_of(CASE, OWN) == CASE.replace(COARSE)
    assert (COARSE["cells"], COARSE["tolerance"]) == (CELLS, TOLERANCE)


@pytest.mark.parametrize(
    ("name", "path", "value"),
    [
        ("dose", "regeneration.dose_g_per_l", 60.0),
        ("strength", "regeneration.strength_percent", 6.0),
        ("direction", "regeneration.direction", "co-current"),
        ("flow", "service.flow_bv_per_h", 35.0),
        ("bead", "resin.bead_diameter_mm", 0.8),
    ],
)
def test_a_control_changes_the_figures_to_those_of_the_model(name: str, path: str, value: Any) -> None:
    moved = answered(OWN.moved(name, value)).cycle
    same_figures(moved, CASE.replace(COARSE | {path: value}).cycle())
    assert moved.to_dict() != answered(OWN).cycle.to_dict()


def test_the_meter_ends_a_run_if_it_may() -> None:
    metered = answered(OWN.moved("metered", True)).cycle
    assert metered.stop_reason == "throughput" and metered.run_length_bv == pytest.approx(134.0)
    same_figures(metered, CASE.replace({"cells": 40, "tolerance": 5e-3}).cycle())


def test_a_case_with_its_own_normality_and_without_a_limit() -> None:
    case = CASE.replace(
        {
            "regeneration.strength_percent": None,
            "regeneration.normality_eq_per_l": 1.5,
            "service.limit_mg_per_l_caco3": None,
            "service.volume_bv": 100.0,
        }
    )
    own = Settings.of(case)
    assert own.metered and own.strength == 1.5
    moved = answered(own.moved("strength", 2.5).moved("metered", False), case).cycle
    limit = {"service.limit_mg_per_l_caco3": 17.0, "regeneration.normality_eq_per_l": 2.5}
    same_figures(moved, case.replace(COARSE | limit).cycle())


def test_the_page_opens_whichever_line_a_case_file_leaves_out(tmp_path: Path) -> None:
    lines, path, left_out = CASE.to_toml().splitlines(), tmp_path / "case.toml", []
    for place, line in enumerate(lines):
        path.write_text("\n".join(lines[:place] + lines[place + 1 :]), encoding="utf-8")
        try:
            case = bf.Case.from_toml(path)
        except bf.BrinefrontError:
            continue
        if case == CASE:
            # What the line gives is the default.
            continue
        assert case_of(case, Settings.of(case), full=True).replace({"service": case.service}) == case
        View(case)
        left_out.append(line.partition(" ")[0])
    assert {"strength_percent", "limit_mg_per_l_caco3", "volume_bv"} <= set(left_out), left_out


@pytest.mark.parametrize("settings", [OWN, OWN.moved("dose", 60.0), OWN.moved("direction", "co-current")])
def test_the_quick_look_is_as_near_as_the_page_says(settings: Settings) -> None:
    quick, full = (answered(settings, full=full).cycle for full in (False, True))
    assert quick.run_length_bv == pytest.approx(full.run_length_bv, rel=0.006)
    assert quick.capacity_eq_per_l == pytest.approx(full.capacity_eq_per_l, rel=0.006)
    half = full.leakage_half_run_mg_per_l_caco3
    within = {"rel": 0.02} if half > 0.1 else {"abs": 0.06}
    assert quick.leakage_half_run_mg_per_l_caco3 == pytest.approx(half, **within)
    assert (
        "within 0.6 %" in wording.ACCURACY
        and "within 2 %" in wording.ACCURACY
        and "within 0.06 mg/L" in wording.ACCURACY
    )


# --- the feed


def meq(water: bf.Water) -> dict[str, float]:
    return {ion: 1e3 * amount for ion, amount in water.eq_per_l.items()}


@pytest.mark.parametrize(("hardness", "solids"), [(100.0, 800.0), (299.0, 2000.0), (700.0, 1500.0)])
def test_hardness_keeps_its_ratio_and_sodium_chloride_makes_up_the_solids(hardness: float, solids: float) -> None:
    water = feed.feed(CASE, hardness, solids)
    ions = meq(water)
    # 100.09 g/mol of calcium carbonate, two equivalents.
    assert 50.04 * (ions["Ca"] + ions["Mg"]) == pytest.approx(hardness, rel=1e-3)
    assert ions["Ca"] / ions["Mg"] == pytest.approx(meq(CASE.water)["Ca"] / meq(CASE.water)["Mg"])
    assert {ion: ions[ion] for ion in ("HCO3", "SO4")} == pytest.approx(
        {ion: meq(CASE.water)[ion] for ion in ("HCO3", "SO4")}
    )
    weighed = sum(amount * IONS[ion][0] / abs(IONS[ion][1]) for ion, amount in ions.items())
    assert weighed == pytest.approx(solids, rel=1e-4)
    assert sum(np.sign(IONS[ion][1]) * amount for ion, amount in ions.items()) == pytest.approx(0.0, abs=1e-9)
    assert water.temperature_c == CASE.water.temperature_c


def test_the_feed_is_untouched_where_nothing_was_moved() -> None:
    assert feed.feed(CASE, OWN.hardness, OWN.solids) is not None
    assert feed.feed(CASE, OWN.hardness, OWN.solids) == CASE.water


def test_hardness_that_moves_leaves_the_sodium() -> None:
    sodium = feed.sodium(CASE.water)
    for hardness in (300.0, 500.0, 1000.0):
        water = feed.feed(CASE, hardness, feed.following_dissolved_solids(CASE, hardness, sodium))
        assert meq(water)["Na"] == pytest.approx(sodium)
    # Below the alkalinity no chloride is left, and sodium has to stand in for the hardness.
    water = feed.feed(CASE, 50.0, feed.following_dissolved_solids(CASE, 50.0, sodium))
    assert meq(water)["Na"] > sodium and meq(water)["Cl"] == pytest.approx(0.0, abs=1e-9)


def test_every_hardness_of_the_slider_makes_a_water() -> None:
    for hardness in np.arange(50.0, 1001.0, 10.0):
        least = feed.least_dissolved_solids(CASE, float(hardness))
        assert feed.feed(CASE, float(hardness), least).dissolved_solids_mg_per_l == pytest.approx(least)


def test_less_than_the_least_solids_is_refused_with_the_least() -> None:
    with pytest.raises(bf.InputError, match=r"dissolved solids = 100: must be at least 447 mg/L"):
        feed.feed(CASE, OWN.hardness, 100.0)


# --- what is drawn


def drawn(svg: str, name: str) -> np.ndarray:
    found = re.search(rf'data-name="{name}" points="([^"]+)"', svg)
    assert found
    return np.array([[float(part) for part in point.split(",")] for point in found[1].split()])


@pytest.mark.parametrize("service_flow", ["down", "up"])
@pytest.mark.parametrize("direction", ["co-current", "counter-current"])
def test_the_bed_shows_the_loadings(direction: str, service_flow: str) -> None:
    case = CASE.replace({"service.service_flow": service_flow})
    found = answered(OWN.moved("direction", direction), case)
    profiles = found.cycle.profiles()
    hardness = profiles["loading_eq_per_l"].sel(ion=["Ca", "Mg"]).sum("ion")
    left, top, right, bottom = drawing.BED
    svg = drawing.bed(found)
    for name, step in (("regenerated", "fast rinse"), ("exhausted", "service")):
        points = drawn(svg, name)[1:-1]
        loading = (points[:, 0] - left) / (right - left) * case.resin.capacity_eq_per_l
        depth = (points[:, 1] - top) / (bottom - top) * case.bed.depth_m
        if service_flow == "up":
            depth = case.bed.depth_m - depth
        assert loading == pytest.approx(hardness.sel(step=step).to_numpy(), abs=1e-4)
        assert depth == pytest.approx(profiles["depth"].to_numpy(), abs=1e-4)
    # The areas: the brine's lies left of its line, the run's between the two.
    half = len(drawn(svg, "taken")) // 2
    assert drawn(svg, "taken")[:half] == pytest.approx(drawn(svg, "regenerated"))
    assert drawn(svg, "taken")[half:][::-1] == pytest.approx(drawn(svg, "exhausted"))
    assert drawn(svg, "remains")[half:][::-1] == pytest.approx(drawn(svg, "regenerated"))
    assert (drawn(svg, "remains")[:half, 0] == left).all()


@pytest.mark.parametrize(
    ("direction", "down", "brine"),
    [
        ("co-current", True, "down"),
        ("counter-current", True, "up"),
        ("co-current", False, "up"),
        ("counter-current", False, "down"),
    ],
)
def test_the_arrows_go_where_the_water_goes(direction: str, down: bool, brine: str) -> None:
    svg = drawing.plumbing(direction, service_down=down)
    assert f"service goes {'down' if down else 'up'}, brine goes {brine}" in svg
    tips = [float(y) for y in re.findall(r"L[\d.]+ ([\d.]+) Z", svg)]
    starts = [float(y) for y in re.findall(r'<path d="M[\d.]+ ([\d.]+) V', svg)]
    assert [tip > start for tip, start in zip(tips, starts, strict=True)] == [down, brine == "down"]


def test_the_band_is_the_published_one() -> None:
    # 8 lb/ft3 (128.1 g/L): 23 to 27 kgr/ft3, so 2875 to 3375 gr/lb.
    per_eq = CASE.regeneration.salt_g_per_eq
    metric = {
        name: tuple(bf.units.convert(each, "kgr/ft3", "eq/L bed") for each in (23.0, 27.0)) for name in ("capacity",)
    }
    metric["efficiency"] = tuple(each * per_eq / 128.15 for each in metric["capacity"])
    us = {"capacity": (23.0, 27.0), "efficiency": (2875.0, 3375.0)}
    for units, salt, expected in (("both", 128.15, metric), ("metric", 128.15, metric), ("us", 8.0, us)):
        with display.using(units):
            band = published_band(CASE.regeneration)
        for name, (low, high) in expected.items():
            dose, lowest, highest = band[name]
            at = min(range(len(dose)), key=lambda place: abs(dose[place] - salt))
            assert (dose[at], lowest[at], highest[at]) == pytest.approx((salt, low, high), rel=1e-3)


def test_the_curves_are_the_sweep() -> None:
    settings = OWN.moved("strength", 8.0)
    for direction in ("co-current", "counter-current"):
        curve = dose_curve(CASE, settings, direction)
        case = CASE.replace(COARSE | {"regeneration.strength_percent": 8.0, "regeneration.direction": direction})
        found = bf.sweep(case, {"regeneration.dose_g_per_l": list(DOSES_G_PER_L)})
        soft = (found["stop_reason"] != "never soft").to_numpy()
        for shown, name in (
            (curve.capacity_eq_per_l, "capacity_eq_per_l"),
            (curve.salt_efficiency_fraction, "salt_efficiency_fraction"),
        ):
            assert (np.isfinite(shown) == soft).all()
            assert (shown[soft] == found[name].to_numpy()[soft]).all()
    # The least dose is too little for co-current brine.
    assert np.isnan(dose_curve(CASE, OWN, "co-current").capacity_eq_per_l[0])


# --- only the newest counts


def test_a_request_takes_the_place_of_the_one_that_waits() -> None:
    seen: list[int] = []
    go, started = threading.Event(), threading.Event()

    def work(request: int) -> None:
        seen.append(request)
        started.set()
        assert go.wait(10.0)

    worker = Latest(work)
    worker.submit(0)
    assert started.wait(10.0)
    for request in range(1, 50):
        worker.submit(request)
    go.set()
    until(lambda: worker.idle)
    assert seen == [0, 49]
    worker.close()
    worker.submit(50)
    assert seen == [0, 49] and worker.idle


def until(true: Callable[[], bool], patience_s: float = 30.0) -> None:
    end = time.monotonic() + patience_s
    while not true():
        assert time.monotonic() < end, "nothing happened"
        time.sleep(0.01)


# --- a page


@pytest.fixture
def view() -> Any:
    made = View(CASE)
    settle(made)
    yield made
    made.quick.close()
    made.rest.close()


def settle(view: View) -> None:
    """Wait until both threads have nothing left to say about where the controls stand."""
    until(lambda: view.quick.idle and view.rest.idle)


def shown_tile(view: View, name: str) -> str:
    found = re.search(rf'data-name="{name}"[^>]*><span>[^<]*</span><b>([^<]*)</b>', view.tiles.object)
    assert found
    return found[1]


def shows(view: View, cycle: bf.Cycle) -> None:
    """Figures, charts and bed are those of a cycle."""
    assert shown_tile(view, "run_length_bv") == text.shown(cycle, "run_length_bv")
    assert shown_tile(view, "capacity_kgr_per_ft3") == text.shown(cycle, "capacity_kgr_per_ft3")
    now = view.doses.now.data
    assert (now["capacity"], now["efficiency"]) == ([cycle.capacity_eq_per_l], [cycle.salt_efficiency_fraction])
    assert now["dose"] == [cycle.dose_g_per_l]
    curve = cycle.leakage()
    assert (view.leakage.curve.data["bv"] == curve["bv"]).all()
    assert (view.leakage.curve.data["drawn"] == curve["hardness_mg_per_l_caco3"].clip(lower=FOOT)).all()
    half = max(cycle.leakage_half_run_mg_per_l_caco3, FOOT)
    assert view.leakage.half.data == {"bv": [cycle.run_length_bv / 2], "drawn": [half]}
    hardness = cycle.profiles()["loading_eq_per_l"].sel(step="service", ion=["Ca", "Mg"]).sum("ion").to_numpy()
    left, _, right, _ = drawing.BED
    points = drawn(view.bed.object, "exhausted")[1:-1, 0]
    assert (points - left) / (right - left) * 1.8 == pytest.approx(hardness, abs=1e-4)


def test_at_rest_a_page_shows_the_case_on_its_own_grid(view: View) -> None:
    cycle = CASE.replace({"service.volume_bv": None}).cycle()
    shows(view, cycle)
    assert f"worked out on {cycle.cells} cells" in view.status.object
    for line in text.cautions([cycle]):
        assert line in view.small_print.object.replace("&#x27;", "'")
    for direction in ("co-current", "counter-current"):
        curve = dose_curve(CASE, OWN, direction)
        assert view.doses.curves[direction].data["capacity"] == pytest.approx(curve.capacity_eq_per_l, nan_ok=True)


def test_a_slider_that_moves_redraws_the_page(view: View) -> None:
    view.sliders["dose"].widget.value = 60.0
    settle(view)
    shows(view, CASE.replace({"service.volume_bv": None, "regeneration.dose_g_per_l": 60.0}).cycle())
    assert "<b>60</b>" in view.sliders["dose"].label.object and "3.75 lb/ft³" in view.sliders["dose"].label.object


def test_the_brine_and_its_controls_enter_where_the_direction_says(view: View) -> None:
    assert view.brine_box.styles["bottom"] == "0px" and view.waste_box.styles["top"] == "0px"
    view.direction.widget.value = "co-current"
    settle(view)
    assert view.brine_box.styles["top"] == "0px" and view.waste_box.styles["bottom"] == "0px"
    shows(view, CASE.replace({"service.volume_bv": None, "regeneration.direction": "co-current"}).cycle())


def test_solids_follow_the_hardness_and_bring_sodium_when_moved(view: View) -> None:
    view.sliders["hardness"].widget.value = 500.0
    assert view.settings.solids == pytest.approx(feed.following_dissolved_solids(CASE, 500.0, feed.sodium(CASE.water)))
    view.sliders["solids"].widget.value = 1500.0
    settle(view)
    water = feed.feed(CASE, 500.0, 1500.0)
    shows(view, CASE.replace({"service.volume_bv": None, "water": water}).cycle())


def test_a_bed_that_cannot_recover_is_said_and_left_again(view: View) -> None:
    view.direction.widget.value = "co-current"
    view.sliders["dose"].widget.value = 20.0
    settle(view)
    assert "CANNOT RECOVER (co-current)" in view.trouble.object
    assert shown_tile(view, "run_length_bv") == "–"
    view.sliders["dose"].widget.value = 100.0
    settle(view)
    assert view.trouble.object == "" and shown_tile(view, "run_length_bv") != "–"


def test_a_refused_combination_is_said_and_left_again(view: View) -> None:
    view.sliders["solids"].widget.value = 100.0
    settle(view)
    assert "must be at least 447 mg/L" in view.trouble.object
    assert shown_tile(view, "capacity_kgr_per_ft3") == "–" and view.bed.object == ""
    assert all(len(source.data["dose"]) == 0 for source in (view.doses.now, *view.doses.curves.values()))
    view.sliders["solids"].widget.value = 1000.0
    settle(view)
    assert view.trouble.object == ""
    shows(view, CASE.replace({"service.volume_bv": None, "water": feed.feed(CASE, OWN.hardness, 1000.0)}).cycle())
    assert len(view.doses.curves["co-current"].data["dose"]) == len(DOSES_G_PER_L)


def test_the_band_is_drawn_as_its_conditions_allow(view: View) -> None:
    def looks() -> set[tuple[bool, float]]:
        # An area has the one, its edges the other.
        strength = [getattr(part.glyph, "fill_alpha", None) or part.glyph.line_alpha for part in view.doses.band]
        return {(part.visible, each) for part, each in zip(view.doses.band, strength, strict=True)}

    def refused_for() -> str:
        return "".join(re.findall(r"<small>not for these settings: (.*)</small>", view.dose_key.object))

    assert looks() == {(True, 1.0)}
    for name, value, opacity, reason in (
        ("strength", 5.0, FADED, "brine of 5 %"),
        ("strength", 10.0, 1.0, ""),
        ("solids", 900.0, FADED, "mg/L of dissolved solids in the feed"),
    ):
        view.sliders[name].widget.value = value
        settle(view)
        assert looks() == {(True, opacity)}, (name, value)
        assert reason in refused_for() and bool(reason) == bool(refused_for()), (name, value)
        assert ("not for this case: " in view.small_print.object) == bool(reason)
    view.sliders["solids"].widget.value = 100.0
    settle(view)
    assert not any(part.visible for part in view.doses.band) and not refused_for()


def test_a_solver_that_gives_up_is_said_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any, **__: Any) -> bf.Cycle:
        raise bf.SolverError("service: step too small in cell 3")

    monkeypatch.setattr("brinefront.live.answers.case_of", lambda *_, **__: type("C", (), {"cycle": refuse})())
    assert answer(CASE, OWN) == Refusal(OWN, "service: step too small in cell 3")


def test_pages_do_not_share_their_state(view: View) -> None:
    other = View(CASE)
    other.sliders["dose"].widget.value = 40.0
    settle(other)
    assert view.settings == OWN and view.sliders["dose"].widget.value == OWN.dose
    other.quick.close()
    other.rest.close()


def test_every_control_stands_on_its_slider_wherever_the_case_is() -> None:
    case = CASE.replace({"regeneration.dose_g_per_l": 400.0, "resin.bead_diameter_mm": 0.2})
    view = View(case)
    for name, slider in view.sliders.items():
        assert slider.widget.start <= slider.widget.value <= slider.widget.end, name
    settle(view)
    view.quick.close()
    view.rest.close()


def test_without_panel_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "panel", None)
    with pytest.raises(bf.MissingPackageError, match='brinefront with its extra "live"'):
        bf_live_page()


def bf_live_page() -> Any:
    from brinefront import live

    return live.page()


def test_hard_water_is_no_soft_water_on_the_page() -> None:
    case = CASE.replace({"service.limit_mg_per_l_caco3": None, "service.volume_bv": 1500.0})
    found = answered(Settings.of(case), case)
    assert not found.cycle.delivers_soft_water
    tiles = wording.tiles(found)
    assert f"{text.number(found.cycle.run_length_l)} L, not soft" in tiles and "of soft water" not in tiles
    assert "no soft water, it leaks" in wording.small_print(found)


def test_the_words_are_those_of_the_figures() -> None:
    cycle = answered(OWN.moved("dose", 60.0)).cycle
    words = wording.tiles(answered(OWN.moved("dose", 60.0)))
    assert display.typeset(f"mean {text.shown(cycle, 'leakage_mean_mg_per_l_caco3')} as CaCO3") in words
    assert f"{text.shown(cycle, 'salt_efficiency_fraction')} of stoichiometric" in words
