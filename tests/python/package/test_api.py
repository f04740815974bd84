"""The names and shapes that callers rely on: constructors, results, tables and their units."""

from __future__ import annotations

import copy
import pickle
import re
from dataclasses import FrozenInstanceError
from types import MappingProxyType

import brinefront as bf
import numpy as np
import pytest
from brinefront.words.figures import figures

PARTS = {
    "Water": bf.Water({"Ca": 80.0, "Mg": 24.0, "Na": 60.0}, unit="mg/L", temperature_c=15.0),
    "balanced Water": bf.Water({"Ca": 4.0, "Na": 1.0, "HCO3": 3.0}, "meq/L", balance="Cl"),
    "Resin": bf.Resin(
        capacity_eq_per_l=1.9,
        selectivity={"Mg": 1.66, "Ca": 2.6},
        bead_diameter_mm=0.6,
        void_fraction=0.38,
        bead_diffusivity_m2_per_s=1.5e-11,
    ),
    "named Resin": bf.Resin(
        2.0, "BonnerSmith1957", bead_diffusivity_m2_per_s={"Ca": 1e-11, "Mg": 2e-11}, selectivity_basis="bead"
    ),
    "Bed": bf.Bed(depth_m=0.9, diameter_m=0.3),
    "Bed by volume": bf.Bed(depth_m=0.9, volume_l=100.0),
    "Rates": bf.Rates(film_per_s=0.1, bead_per_s=0.006, dispersion_m2_per_s=2e-6),
    "correlated Rates": bf.Rates(film_correlation="carberry"),
    "Rates by ion": bf.Rates(film_diffusion="by-ion"),
    "Service": bf.Service(flow_bv_per_h=20.0, limit_mg_per_l_caco3=17.0),
    "metered Service": bf.Service(flow_bv_per_h=20.0, volume_bv=150.0, service_flow="up"),
    "Regeneration": bf.Regeneration(
        direction="counter-current",
        salt="NaCl",
        dose_g_per_l=96.0,
        strength_percent=10.0,
        flow_bv_per_h=3.0,
        brine_water="soft",
        slow_rinse_bv=1.5,
        fast_rinse_bv=3.0,
        fast_rinse_flow_bv_per_h=12.0,
        backwash_mixing=0.0,
    ),
    "strong Regeneration": bf.Regeneration(
        direction="co-current",
        dose_g_per_l=160.0,
        normality_eq_per_l=1.8,
        brine_water="feed",
        backwash_flow_m_per_h=14.0,
        backwash_min=12.0,
    ),
    "Backwash": bf.Backwash(flow_m_per_h=12.0, minutes=8.0, mixing=0.3, water="soft"),
    "open Backwash": bf.Backwash(),
    "Brine": bf.Brine(flow_bv_per_h=2.0, direction="co-current", share=0.4),
    "timed Brine": bf.Brine(minutes=20.0),
    "SlowRinse": bf.SlowRinse(until_chloride_mg_per_l=2000.0, at_most_bv=3.0, water="feed"),
    "FastRinse": bf.FastRinse(
        until_hardness_mg_per_l_caco3=5.0, at_most_bv=8.0, flow_bv_per_h=15.0, direction="counter-current"
    ),
    "Standby": bf.Standby(30),
    "Recipe": bf.Recipe([bf.Brine(volume_bv=0.2), bf.Standby(5.0), bf.Brine(), bf.SlowRinse(), bf.FastRinse()]),
    "Case with a recipe": bf.default_case().replace({"recipe": bf.Recipe([bf.Brine(), bf.Standby(5.0)])}),
    "Bed with spaces": bf.Bed(0.9, 0.4, freeboard_l=60.0, under_bed_l=8.0),
    "Maldistribution": bf.Maldistribution(0.2, tubes=7, correlation=0.5),
    "two-tube Maldistribution": bf.Maldistribution(fast_flow_share=0.4, fast_area_share=0.25),
    "uneven Case": bf.default_case().replace({"maldistribution": bf.Maldistribution(0.2)}),
    "Site": bf.Site("It's a weir", 10.0, salt_budget_kg_per_week=80.0),
    "Case": bf.default_case(),
}


@pytest.fixture(scope="module")
def case() -> bf.Case:
    return bf.default_case().replace({"cells": 40})


@pytest.fixture(scope="module")
def cycle(case: bf.Case) -> bf.Cycle:
    return case.cycle()


@pytest.fixture(scope="module")
def both(case: bf.Case) -> bf.Comparison:
    return bf.compare(case)


@pytest.mark.parametrize("name", PARTS)
def test_an_input_is_a_value(name: str) -> None:
    part = PARTS[name]
    assert eval(repr(part), vars(bf)) == part
    assert pickle.loads(pickle.dumps(part)) == part
    assert copy.deepcopy(part) == part
    assert type(part).from_json(part.to_json()) == part
    assert part != "something else"
    with pytest.raises(TypeError):
        hash(part)
    for attribute in ("to_json", "brand_new"):
        with pytest.raises(AttributeError):
            setattr(part, attribute, 1.0)


def test_a_case_gives_its_parts_back() -> None:
    water, resin, bed = PARTS["Water"], PARTS["Resin"], PARTS["Bed"]
    service, regeneration, rates = PARTS["Service"], PARTS["Regeneration"], PARTS["Rates"]
    case = bf.Case(
        water, resin, bed, service, regeneration, rates=rates, cells=50, kinetics="equilibrium", name="a name"
    )
    assert (case.water, case.resin, case.bed, case.service) == (water, resin, bed, service)
    assert (case.regeneration, case.rates) == (regeneration, rates)
    assert (case.cells, case.kinetics, case.name, case.hardness_ions) == (50, "equilibrium", "a name", ("Mg", "Ca"))
    assert bf.Case(water, resin, bed, service, regeneration).cells == "auto"


def test_every_default_of_a_resin_is_there() -> None:
    default = bf.Resin()
    assert default.selectivity == "BonnerSmith1957"
    assert bf.Resin(capacity_eq_per_l=default.capacity_eq_per_l) == default
    assert bf.Resin(capacity_eq_per_l=1.2).void_fraction == default.void_fraction


def test_a_water_says_what_it_assumed() -> None:
    assert bf.Water({"Ca": 80.0}).chloride_assumed
    assert not PARTS["balanced Water"].chloride_assumed
    # 80 mg/L Ca and 24 mg/L Mg by the handbook factors 2.4973 and 4.1179.
    assert PARTS["Water"].hardness_mg_per_l_caco3 == pytest.approx(80 * 2.4973 + 24 * 4.1179, rel=1e-4)


def test_a_bed_knows_its_third_dimension() -> None:
    bed = bf.Bed(depth_m=1.0, diameter_m=0.4)
    assert bed.volume_l == pytest.approx(1000 * np.pi * 0.2**2)
    assert bf.Bed(depth_m=1.0, volume_l=bed.volume_l).diameter_m == pytest.approx(0.4)


def test_fields_change_by_their_dotted_names(case: bf.Case) -> None:
    assert case.replace({"regeneration.dose_g_per_l": 120}).regeneration.dose_g_per_l == 120.0
    assert case.regeneration.dose_g_per_l == 96.0
    coupled = case.replace({"regeneration.strength_percent": None, "regeneration.normality_eq_per_l": 1.5})
    assert coupled.regeneration.strength_percent is None
    assert coupled.regeneration.normality_eq_per_l == 1.5
    assert case.replace({"water": PARTS["Water"]}).water == PARTS["Water"]
    assert case.replace({"cells": np.int64(60), "water.temperature_c": np.float32(18.0)}).cells == 60
    assert case.replace({"hardness_ions": ("Ca",)}).hardness_ions == ("Ca",)


def test_a_case_survives_its_file(case: bf.Case, tmp_path) -> None:
    path = tmp_path / "case.toml"
    path.write_text(case.to_toml(), encoding="utf-8")
    assert bf.Case.from_toml(path) == case
    assert bf.Case.from_toml(str(path)) == case


def test_the_mirror_flips_direction_and_mixing(case: bf.Case) -> None:
    mirror = case.mirrored()
    assert mirror.regeneration.direction == "co-current"
    assert mirror.regeneration.backwash_mixing == 1.0
    assert mirror.mirrored().regeneration.backwash_mixing == 0.0


def test_a_cycle_gives_every_figure(cycle: bf.Cycle) -> None:
    for figure in figures():
        value = getattr(cycle, figure.name)
        assert isinstance(value, {"float": float, "int": int, "bool": bool, "str": str}[figure.kind]), figure.name
    contract = (
        "run_length_bv capacity_eq_per_l capacity_kgr_per_ft3 salt_efficiency_gr_per_lb salt_efficiency_fraction "
        "leakage_mean_mg_per_l_caco3 leakage_half_run_mg_per_l_caco3 ledger_error residual cycles_run stop_reason"
    )
    assert all(hasattr(cycle, name) for name in contract.split())
    assert cycle.settled and cycle.residual <= 1e-6
    assert all(isinstance(count, int) for count in cycle.effort.values())


def test_figures_agree_with_each_other(cycle: bf.Cycle) -> None:
    # Trade factors from exact definitions: 21.8686 kgr/ft3 in 1 eq/L; 5994 gr/lb is one equivalent for one of NaCl.
    assert cycle.capacity_kgr_per_ft3 == pytest.approx(21.8686 * cycle.capacity_eq_per_l, rel=1e-5)
    assert cycle.salt_efficiency_gr_per_lb == pytest.approx(5994.0 * cycle.salt_efficiency_fraction, rel=1e-4)
    assert cycle.salt_efficiency_fraction == pytest.approx(
        cycle.capacity_eq_per_l / (cycle.dose_g_per_l / 58.443), rel=1e-4
    )
    assert cycle.run_length_l == pytest.approx(cycle.run_length_bv * cycle.case.bed.volume_l)


def test_results_are_frozen_and_pickle(cycle: bf.Cycle, both: bf.Comparison) -> None:
    for attribute in ("run_length_bv", "brand_new"):
        with pytest.raises(FrozenInstanceError):
            setattr(cycle, attribute, 1.0)
    again = pickle.loads(pickle.dumps(cycle))
    assert again.to_dict() == cycle.to_dict()
    assert again.leakage().equals(cycle.leakage())
    assert again.profiles().identical(cycle.profiles())
    assert pickle.loads(pickle.dumps(both)).to_dict() == both.to_dict()


def test_the_leakage_curve_is_the_figures(cycle: bf.Cycle) -> None:
    curve = cycle.leakage()
    assert list(curve.columns) == ["bv", "Na", "Mg", "Ca", "hardness_mg_per_l_caco3"]
    assert curve.attrs["units"] == {
        "bv": "BV",
        "Na": "eq/L",
        "Mg": "eq/L",
        "Ca": "eq/L",
        "hardness_mg_per_l_caco3": "mg/L as CaCO3",
    }
    bv, hardness = curve["bv"].to_numpy(), curve["hardness_mg_per_l_caco3"].to_numpy()
    assert bv[0] == 0.0 and np.all(np.diff(bv) > 0.0)
    assert bv[-1] == pytest.approx(cycle.run_length_bv)
    # Leakages below 0.01 mg/L are held to that much: the other direction leaks what can be seen.
    for each in (cycle, cycle.case.mirrored().cycle()):
        curve = each.leakage()
        bv, hardness = curve["bv"].to_numpy(), curve["hardness_mg_per_l_caco3"].to_numpy()
        mean = np.trapezoid(hardness, bv) / bv[-1]
        assert mean == pytest.approx(each.leakage_mean_mg_per_l_caco3, rel=0.02, abs=1e-4)
        half_run = np.interp(bv[-1] / 2, bv, hardness)
        assert half_run == pytest.approx(each.leakage_half_run_mg_per_l_caco3, rel=0.02, abs=1e-4)
    assert mean > 0.1


def test_steps_and_waste_carry_their_units(cycle: bf.Cycle) -> None:
    steps = cycle.steps()
    assert {"step", "direction", "volume_bv", "minutes", "volume_l"} <= set(steps.columns)
    assert steps.attrs["units"]["volume_bv"] == "BV" and steps.attrs["units"]["minutes"] == "min"
    assert steps["step"].iloc[-1] == "service"
    brine = steps.set_index("step").loc["brine"]
    assert brine["minutes"] == pytest.approx(60.0 * brine["volume_bv"] / brine["flow_bv_per_h"])
    waste = cycle.waste()
    assert waste.attrs["units"] == {"composite_mg_per_l": "mg/L", "mass_g": "g"}
    assert waste.loc["Cl", "mass_g"] == pytest.approx(cycle.waste_chloride_g)
    # A gram in a litre is a thousand milligrams in a litre.
    assert np.allclose(waste["mass_g"] * 1000.0, waste["composite_mg_per_l"] * waste.attrs["volume_l"])


def test_the_waste_curve_holds_the_waste(cycle: bf.Cycle) -> None:
    curve, waste = cycle.waste_curve(), cycle.waste()
    assert curve["bv"].iloc[0] == 0.0 and curve["bv"].is_monotonic_increasing
    litres = curve["bv"] * cycle.case.bed.volume_l
    for ion, g_per_eq in {"Ca": 40.078 / 2, "Mg": 24.305 / 2, "Na": 22.990}.items():
        assert np.trapezoid(curve[ion], litres) * g_per_eq == pytest.approx(waste.loc[ion, "mass_g"], rel=0.02)


def test_profiles_are_step_by_depth_by_ion(cycle: bf.Cycle) -> None:
    profiles = cycle.profiles()
    loading = profiles["loading_eq_per_l"]
    assert loading.dims == ("step", "depth", "ion")
    assert loading.attrs["units"] == "eq/L of bed"
    assert profiles["liquid_eq_per_l"].attrs["units"] == "eq/L"
    assert profiles["depth"].attrs["units"] == "m"
    assert np.allclose(loading.sum("ion"), cycle.case.resin.capacity_eq_per_l, rtol=1e-9)
    hardness = loading.sel(ion=["Mg", "Ca"]).sum("ion").mean("depth")
    rise = float(hardness.sel(step="service") - hardness.sel(step="fast rinse"))
    assert rise == pytest.approx(cycle.loading_change_eq_per_l, rel=1e-6)


def test_a_summary_says_units(cycle: bf.Cycle, both: bf.Comparison) -> None:
    for words in ("leakage, half run [mg/L as CaCO3]", "run length [BV]", "salt efficiency [gr/lb]"):
        assert words in cycle.summary() and words in both.summary()
    assert both.sentence in " ".join(both.summary().split())


def test_cycles_start_from_new_resin(case: bf.Case, cycle: bf.Cycle) -> None:
    first, second = case.cycles(2)
    assert (
        abs(second.capacity_eq_per_l - cycle.capacity_eq_per_l)
        <= abs(first.capacity_eq_per_l - cycle.capacity_eq_per_l) + 1e-12
    )


def test_a_loading_run_ends_with_the_feed(case: bf.Case) -> None:
    run = case.load(from_loading={"Na": 1.0}, volume_bv=600.0)
    effluent = run.effluent()
    assert effluent["bv"].iloc[0] == 0.0 and effluent["bv"].iloc[-1] == pytest.approx(600.0)
    assert effluent["Ca"].iloc[-1] == pytest.approx(case.water.eq_per_l["Ca"], rel=1e-3)
    loading = run.loading()
    assert list(loading.columns) == ["depth_m", "Na", "Mg", "Ca"]
    assert loading.attrs["units"] == {"depth_m": "m", "Na": "eq/L of bed", "Mg": "eq/L of bed", "Ca": "eq/L of bed"}
    assert sum(loading.attrs["mean"].values()) == pytest.approx(case.resin.capacity_eq_per_l)
    assert run.ledger_error < 1e-9
    assert "eq/L of bed" in run.summary()
    assert pickle.loads(pickle.dumps(run)).to_dict() == run.to_dict()


def test_an_elution_starts_at_the_feeds_equilibrium(case: bf.Case) -> None:
    run = case.elute(from_loading="feed", volume_bv=2.5, normality_eq_per_l=1.2)
    effluent = run.effluent()
    total = effluent[["Na", "Mg", "Ca"]].sum(axis=1)
    assert total.iloc[0] == pytest.approx(case.water.normality_eq_per_l, rel=1e-3)
    assert total.iloc[-1] == pytest.approx(1.2, rel=1e-2)


def test_one_case_is_compared_with_its_mirror(both: bf.Comparison) -> None:
    assert sorted(cycle.direction for cycle in both.cycles) == ["co-current", "counter-current"]
    assert both.at == "equal-dose"
    assert len({cycle.dose_g_per_l for cycle in both.cycles}) == 1
    table = both.table()
    assert set(table.columns) == {"co-current", "counter-current"}
    for cycle in both.cycles:
        half = cycle.leakage_half_run_mg_per_l_caco3
        assert table.loc["leakage, half run [mg/L as CaCO3]", cycle.direction] == float(f"{half:.5g}")
        assert both.table(digits=None).loc["leakage, half run [mg/L as CaCO3]", cycle.direction] == half
    assert all(re.search(r"\[.+\]$", words) for words, unit in table.attrs["units"].items() if unit)
    given = both.to_dict()
    assert set(given) == {"cases", "at", "sentence", "effort"}
    assert {figure.name for figure in figures()} <= set(given["cases"][0])


def test_several_cases_are_compared_as_given(case: bf.Case) -> None:
    lean = case.replace({"regeneration.dose_g_per_l": 64.0})
    found = bf.compare([case, lean])
    assert [cycle.dose_g_per_l for cycle in found.cycles] == [96.0, 64.0]
    assert len(set(found.table().columns)) == 2


def test_every_result_says_what_it_cost(case: bf.Case, cycle: bf.Cycle) -> None:
    axes = {"regeneration.dose_g_per_l": [96.0, -1.0]}
    runs = [case.load({"Na": 1.0}, 50.0), case.elute("feed", 1.0, 1.2)]
    for counts in [cycle.effort, *(run.effort for run in [*runs, *case.cycles(2)]), bf.compare(case).effort]:
        assert counts["steps"] > 0 and counts["sweeps"] >= counts["steps"]
    grid = bf.sweep(case, axes)
    assert {name: int(grid["effort_" + name][0]) for name in cycle.effort} == cycle.effort
    assert all(int(grid["effort_" + name][1]) == 0 for name in cycle.effort)


def test_equal_leakage_counts_every_dose_that_was_tried(case: bf.Case) -> None:
    coarse = case.replace({"cells": 40})
    as_given = bf.compare(coarse)
    assert as_given.effort == {
        name: sum(cycle.effort[name] for cycle in as_given.cycles) for name in as_given.cycles[0].effort
    }
    found = bf.compare(coarse, "equal-leakage")
    shown = sum(cycle.effort["steps"] for cycle in found.cycles)
    assert found.effort["steps"] > shown + as_given.effort["steps"]
    assert found.to_dict()["effort"] == found.effort


def test_a_sweep_is_a_labelled_grid(case: bf.Case, cycle: bf.Cycle) -> None:
    grid = bf.sweep(
        case,
        {"regeneration.dose_g_per_l": [96.0, -1.0], "regeneration.direction": ["co-current", "counter-current"]},
        threads=2,
    )
    assert grid["run_length_bv"].dims == ("regeneration.dose_g_per_l", "regeneration.direction")
    assert grid["run_length_bv"].attrs["units"] == "BV"
    here = grid.sel({"regeneration.dose_g_per_l": 96.0, "regeneration.direction": "counter-current"})
    assert float(here["leakage_mean_mg_per_l_caco3"]) == cycle.leakage_mean_mg_per_l_caco3
    failed = grid.sel({"regeneration.dose_g_per_l": -1.0})
    assert np.isnan(failed["capacity_eq_per_l"]).all()
    assert all("regeneration.dose_g_per_l" in error for error in failed["error"].values)
    assert (grid["error"].sel({"regeneration.dose_g_per_l": 96.0}) == "").all()


def test_a_sweep_does_not_depend_on_threads(case: bf.Case) -> None:
    axes = {"regeneration.dose_g_per_l": [80.0, 120.0]}
    assert bf.sweep(case, axes, threads=1).identical(bf.sweep(case, axes, threads=2))


def test_progress_is_reported(case: bf.Case) -> None:
    heard: list[tuple[int, int, int, float]] = []
    bf.sweep(
        case.replace({"cells": 200}),
        {"regeneration.dose_g_per_l": list(np.linspace(60.0, 120.0, 8))},
        progress=lambda *now: heard.append(now),
    )
    assert heard, "a sweep of eight fine cases takes longer than a tenth of a second"
    done, total, _, _ = heard[-1]
    assert total == 8 and 0 <= done <= total


def test_an_exception_in_the_callback_stops_the_run(case: bf.Case) -> None:
    class Enough(Exception):
        pass

    def refuse(*_: object) -> None:
        raise Enough

    with pytest.raises(Enough):
        bf.sweep(
            case.replace({"cells": 200}),
            {"regeneration.dose_g_per_l": list(np.linspace(60.0, 120.0, 40))},
            progress=refuse,
        )


def test_the_package_knows_its_version_and_units() -> None:
    assert re.fullmatch(r"\d+\.\d+\.\d+", bf.__version__)
    assert "mg/L CaCO3" in bf.units.names()
    assert set(bf.__all__) <= set(dir(bf))


def test_steps_tell_their_hydraulics_and_a_bed_that_is_lifted_is_noted() -> None:
    case = bf.default_case().replace({"cells": 20, "bed.held_down": False})
    free = case.cycle()
    brine = free.steps().set_index("step").loc["brine"]
    assert brine["way"] == "up"
    assert brine["velocity_m_per_h"] > brine["lifts_from_m_per_h"] > 0.0
    assert np.isnan(brine["pressure_drop_kpa"])
    assert brine["bed_expansion_percent"] > 0.0
    assert any("lifts" in note for note in free.notes)
    assert "Note: " in free.summary()
    held = case.replace({"bed.held_down": True}).cycle()
    assert not any("lifts" in note for note in held.notes)
    assert held.steps().set_index("step").loc["brine", "pressure_drop_kpa"] > 0.0
    assert free.to_dict()["notes"] == list(free.notes)
    assert bf.Bed(depth_m=0.9, diameter_m=0.4, held_down=True).held_down
    assert bf.Resin(wet_bead_kg_per_m3=1300.0).wet_bead_kg_per_m3 == 1300.0
    with pytest.raises(bf.InputError, match="wet_bead"):
        bf.Resin(wet_bead_kg_per_m3=1.0)


def test_changes_may_be_any_mapping() -> None:
    case = bf.default_case()
    changes = {"regeneration.dose_g_per_l": 80.0, "cells": 40}
    assert case.replace(MappingProxyType(changes)) == case.replace(changes)
    with pytest.raises(TypeError, match="changes"):
        case.replace([("cells", 40)])  # type: ignore[arg-type]
