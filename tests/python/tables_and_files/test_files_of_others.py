"""What was not written here is not replaced without being asked, and what is replaced is named."""

from __future__ import annotations

from pathlib import Path

import brinefront as bf
import pytest
from brinefront import cli
from brinefront.files import manifest
from brinefront.report import directory

COARSE = bf.default_case().replace({"cells": 10})
DOSES = ["--set", "regeneration.dose_g_per_l=80,120"]


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "case.toml"
    path.write_text(COARSE.to_toml(), encoding="utf-8")
    return path


def test_a_file_of_somebody_else_stays(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = case.parent / "out"
    out.mkdir()
    (out / "comparison.csv").write_text("years of work", encoding="utf-8")
    assert cli.main(["compare", str(case), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert "comparison.csv" in said.err and "--overwrite" in said.err and said.out == ""
    assert [each.name for each in out.iterdir()] == ["comparison.csv"]
    assert (out / "comparison.csv").read_text(encoding="utf-8") == "years of work"
    assert cli.main(["compare", str(case), "--out", str(out), "--overwrite"]) == 0
    assert "replaced: comparison.csv\n" in capsys.readouterr().out
    assert (out / "comparison.csv").read_text(encoding="utf-8").startswith("figure,")


def test_own_files_are_replaced_and_named_until_somebody_changes_one(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = case.parent / "out"
    sweep = ["sweep", str(case), *DOSES, "--out", str(out)]
    assert cli.main(sweep) == 0 and "replaced:" not in capsys.readouterr().out
    assert cli.main(sweep) == 0
    said = " ".join(capsys.readouterr().out.split())
    names = sorted(each.name for each in out.iterdir() if each.name != manifest.NAME)
    assert said.endswith("replaced: " + ", ".join(sorted(names, key=said.index)))
    assert {"sweep.csv", "sweep.json"} <= set(names)
    (out / "sweep.json").write_text("{}", encoding="utf-8")
    assert cli.main(sweep) == 2
    assert "sweep.json" in (err := capsys.readouterr().err) and "sweep.csv" not in err


def test_all_files_of_a_command_are_known_before_it_runs(case: Path) -> None:
    out = case.parent / "out"
    other = case.parent / "other.toml"
    other.write_text(COARSE.mirrored().to_toml(), encoding="utf-8")
    for place, arguments in enumerate(
        (["compare", str(case)], ["compare", str(case), str(other)], ["account", str(case)])
    ):
        folder = out / str(place)
        assert cli.main([*arguments, "--out", str(folder)]) == 0
        written = {each.name for each in folder.iterdir()} - {manifest.NAME}
        assert written and all(manifest.is_ours(folder / name) for name in written)


def test_a_report_and_a_stream_stay_too(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, arguments in (
        ("report.html", ["report", str(case), "--out"]),
        ("points.csv", ["sweep", str(case), *DOSES, "--stream"]),
    ):
        path = case.parent / name
        path.write_text("mine", encoding="utf-8")
        assert cli.main([*arguments, str(path)]) == 2
        assert name in capsys.readouterr().err and path.read_text(encoding="utf-8") == "mine"
        assert cli.main([*arguments, str(path), "--overwrite"]) == 0
        capsys.readouterr()
        assert cli.main([*arguments, str(path)]) == 0
        assert f"replaced: {name}" in capsys.readouterr().out


def test_what_is_left_of_a_larger_comparison_is_named(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, others = case.parent / "out", []
    for dose in (80.0, 120.0):
        others.append(case.parent / f"{dose:g}.toml")
        others[-1].write_text(COARSE.replace({"regeneration.dose_g_per_l": dose}).to_toml(), encoding="utf-8")
    assert cli.main(["sweep", str(case), *DOSES, "--out", str(out)]) == 0
    assert cli.main(["compare", str(case), *map(str, others), "--out", str(out)]) == 0
    assert "stale" not in capsys.readouterr().out
    (out / "4-co-current.toml").write_text("mine", encoding="utf-8")
    before = {each.name for each in out.iterdir()}
    third = ["3-counter-current-loading.png", "3-counter-current-waste.png", "3-counter-current.toml"]
    for as_json in ([], ["--json"]):
        assert cli.main(["compare", *map(str, others), "--out", str(out), *as_json]) == 0
        said = capsys.readouterr()
        words = " ".join((said.err if as_json else said.out).split())
        # Of this command alone, and nothing that somebody else wrote.
        assert words.endswith(f"stale, of an earlier run and not written by this one: {', '.join(third)}"), words
    assert {each.name for each in out.iterdir()} == before
    assert cli.main(["compare", str(case), *map(str, others), "--out", str(out)]) == 0
    assert "stale" not in capsys.readouterr().out


def test_a_format_that_is_not_written_again_is_stale(
    case: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = case.parent / "out"
    sweep = ["sweep", str(case), *DOSES, "--out", str(out)]
    assert cli.main(sweep) == 0
    capsys.readouterr()
    whole = directory.save

    def without_netcdf(found: object, path: Path) -> None:
        if path.suffix == ".nc":
            raise bf.MissingPackageError("not here")
        whole(found, path)

    monkeypatch.setattr(directory, "save", without_netcdf)
    assert (out / "sweep.nc").exists() and cli.main(sweep) == 0
    assert capsys.readouterr().out.rstrip().endswith("not written by this one: sweep.nc")
    assert manifest.is_ours(out / "sweep.nc")


def test_a_store_with_something_else_in_it_stays(tmp_path: Path) -> None:
    pytest.importorskip("zarr")
    path, run = tmp_path / "found.zarr", COARSE.elute("feed", 1.0, 1.2)
    run.save(path)
    run.save(path)
    (path / "thesis.txt").write_text("years of work", encoding="utf-8")
    with pytest.raises(bf.InputError, match=r"thesis\.txt"):
        run.save(path)
    assert (path / "thesis.txt").read_text(encoding="utf-8") == "years of work"
    (path / "thesis.txt").unlink()
    run.save(path)


def test_a_store_that_others_wrote_stays(tmp_path: Path) -> None:
    pytest.importorskip("zarr")
    path, run = tmp_path / "found.zarr", COARSE.elute("feed", 1.0, 1.2)
    run.to_xarray().to_zarr(path, zarr_format=2)
    before = sorted(each.name for each in path.rglob("*"))
    with pytest.raises(bf.InputError, match="did not write"):
        run.save(path)
    assert sorted(each.name for each in path.rglob("*")) == before


def test_a_comparison_is_rounded_and_has_no_empty_rows(case: Path) -> None:
    out = case.parent / "out"
    assert cli.main(["compare", str(case), "--out", str(out)]) == 0
    table = bf.compare(COARSE).table()
    rows = (out / "comparison.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 1 + len(table)
    for row in rows[1:]:
        *_, first, second = row.rsplit(",", 2)
        assert first or second, row
        for cell in (first, second):
            digits = cell.lower().split("e")[0].replace(".", "").strip("-0")
            assert len(digits) <= 5 or not digits.isdigit(), row
    exact = bf.compare(COARSE).table(digits=None)
    assert exact.loc["run length [BV]"].iloc[0] == bf.compare(COARSE).cycles[0].run_length_bv


def test_what_was_written_before_an_end_may_be_written_again(
    case: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = case.parent / "out"
    compare = ["compare", str(case), "--out", str(out)]

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as early:
        early.setattr("brinefront.report.directory._save", stopped)
        assert cli.main(compare) == 130
    assert (out / "comparison.csv").exists() and not (out / "comparison.png").exists()
    assert cli.main(compare) == 0
    # A link whose aim is away is somebody's.
    (out / "leakage.png").unlink()
    (out / "leakage.png").symlink_to(case.parent / "away" / "leakage.png")
    capsys.readouterr()
    assert cli.main(compare) == 2 and "leakage.png" in capsys.readouterr().err
    assert (out / "leakage.png").is_symlink()


def test_an_empty_name_is_no_folder(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["compare", str(case), "--out", ""])
    assert ended.value.code == 2 and "is empty" in capsys.readouterr().err
