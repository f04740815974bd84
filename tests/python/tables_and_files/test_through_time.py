"""The bed through one cycle: the dataset against the cycle's own tables, the map and the movie against the dataset."""

from __future__ import annotations

import doctest
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import brinefront as bf
import matplotlib as mpl
import numpy as np
import pytest
from brinefront.results import Cycle
from brinefront.units import convert
from matplotlib import pyplot as plt

mpl.use("Agg")

from brinefront import plot
from brinefront.plot import palette

CASE = bf.default_case().replace({"cells": 30})
CASES = {
    "counter-current": CASE,
    "co-current": CASE.mirrored(),
    "upflow service": CASE.replace({"service.service_flow": "up"}),
    "rested": CASE.replace({"service.standby_after_bv": 60.0, "service.standby_hours": 6.0}),
}


@pytest.fixture(scope="module")
def cycles() -> dict[str, Cycle]:
    return {name: case.cycle() for name, case in CASES.items()}


@pytest.fixture(autouse=True)
def closed() -> object:
    yield
    plt.close("all")


def hardness(bed: Any, of: str = "loading_eq_per_l") -> Any:
    return bed[of].sel(ion=["Mg", "Ca"]).sum("ion", skipna=False)


def last_moments(bed: Any) -> list[int]:
    """Where the next moment is at the same time, and the end."""
    return [*np.flatnonzero(np.diff(bed["minutes"]) == 0.0).tolist(), bed.sizes["moment"] - 1]


def test_the_dataset_says_what_it_holds(cycles: dict[str, Cycle]) -> None:
    bed = cycles["co-current"].through_time(100)
    assert dict(bed.sizes) == {"moment": 100, "depth": 30, "ion": 3}
    assert bed["loading_eq_per_l"].dims == bed["liquid_eq_per_l"].dims == ("moment", "depth", "ion")
    assert bed["effluent_eq_per_l"].dims == ("moment", "ion")
    for name in ("loading_eq_per_l", "liquid_eq_per_l", "effluent_eq_per_l", "bv", "minutes", "depth"):
        assert bed[name].attrs["units"] and bed[name].attrs["long_name"], name
    assert list(dict.fromkeys(bed["step"].values)) == ["backwash", "brine", "slow rinse", "fast rinse", "service"]
    assert (np.diff(bed["bv"]) >= 0.0).all() and (np.diff(bed["minutes"]) >= 0.0).all()
    shares = {name: int((bed["step"] == name).sum()) for name in set(bed["step"].values.tolist())}
    assert shares["backwash"] == 2 and min(shares[name] for name in shares if name != "backwash") >= 10


@pytest.mark.parametrize("name", CASES)
def test_each_step_ends_with_its_profile(cycles: dict[str, Cycle], name: str) -> None:
    bed, profiles = cycles[name].through_time(80), cycles[name].profiles()
    last = last_moments(bed)
    if name == "rested":
        # Service up to its rest, the rest, and the rest of the run.
        assert bed["step"].values[last[-3:]].tolist() == ["service", "standby", "service"]
        del last[-3:-1]
    assert bed["step"].values[last].tolist() == profiles["step"].values.tolist()
    for table in ("loading_eq_per_l", "liquid_eq_per_l"):
        assert np.array_equal(bed[table].values[last], profiles[table].values)
    steps = cycles[name].steps()
    assert float(bed["bv"][-1]) == pytest.approx(steps["volume_bv"].sum(), rel=1e-12)
    assert float(bed["minutes"][-1]) == pytest.approx(steps["minutes"].sum(), rel=1e-12)


def test_what_leaves_is_on_the_curves(cycles: dict[str, Cycle]) -> None:
    cycle = cycles["counter-current"]
    bed = cycle.through_time(200)
    leakage = cycle.leakage()
    served = bed.isel(moment=np.flatnonzero(bed["step"] == "service"))
    at = served["bv"] - served["bv"][0]
    for ion in ("Na", "Mg", "Ca"):
        found = served["effluent_eq_per_l"].sel(ion=ion)
        assert np.allclose(found, np.interp(at, leakage["bv"], leakage[ion]), rtol=1e-9)


def test_nothing_leaves_at_rest(cycles: dict[str, Cycle]) -> None:
    bed = cycles["rested"].through_time(100)
    still = (bed["step"] == "standby").values
    assert still.sum() >= 2
    assert np.isnan(bed["effluent_eq_per_l"].values[still]).all()
    assert np.isfinite(bed["effluent_eq_per_l"].values[~still]).all()


def test_a_cycle_of_a_row_is_recorded_as_it_was() -> None:
    row = CASE.mirrored().cycles(2)
    for cycle in row:
        bed = cycle.through_time(40)
        assert np.array_equal(bed["loading_eq_per_l"].values[last_moments(bed)], cycle.profiles()["loading_eq_per_l"])
    assert set(row[0].through_time(40)["step"].values.tolist()) == {"service"}


def test_a_cycle_at_equal_leakage_is_recorded_as_it_was() -> None:
    for cycle in bf.compare(CASE.replace({"cells": 20}), at="equal-leakage").cycles:
        bed = cycle.through_time(40)
        assert np.array_equal(bed["loading_eq_per_l"].values[last_moments(bed)], cycle.profiles()["loading_eq_per_l"])


@pytest.mark.parametrize("moments", [0, 1, -3, 7, 5001, 40.0, "many", None])
def test_bad_moments_are_refused(cycles: dict[str, Cycle], moments: Any) -> None:
    with pytest.raises(bf.InputError, match="whole number") as caught:
        cycles["counter-current"].through_time(moments)
    assert caught.value.field == "moments"


def test_the_example_in_the_documentation() -> None:
    (example,) = doctest.DocTestFinder(recurse=False).find(Cycle.through_time, "through_time")
    assert len(example.examples) == 4
    assert doctest.DocTestRunner().run(example).failed == 0


def test_progress_is_called(cycles: dict[str, Cycle]) -> None:
    seen: list[int] = []
    fine = CASE.replace({"cells": 200, "tolerance": 1e-4}).cycle()
    fine.through_time(40, progress=lambda done, total, cycle, residual: seen.append(cycle))
    assert max(seen) >= 1


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGINT can be sent to a child there")
def test_ctrl_c_stops_it() -> None:
    script = """
import brinefront as bf
cycle = bf.default_case().replace({"cells": 2000}).cycles(1)[0]
print("started", flush=True)
while True:
    cycle.through_time()
"""
    child = subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        assert child.stdout is not None and child.stdout.readline() == "started\n"
        time.sleep(0.3)
        child.send_signal(signal.SIGINT)
        sent = time.monotonic()
        _, said = child.communicate(timeout=10.0)
        took = time.monotonic() - sent
    finally:
        child.kill()
    assert took < 2.0
    assert child.returncode != 0 and "KeyboardInterrupt" in said


@pytest.mark.parametrize("name", CASES)
def test_the_map_is_the_dataset(cycles: dict[str, Cycle], name: str) -> None:
    cycle = cycles[name]
    panels = plot.depth_time(cycle)
    assert len(panels) == 2 and all("[bed volumes]" in panel.get_xlabel() for panel in panels)
    bed = cycle.through_time(400)
    wanted = hardness(bed).values
    last = last_moments(bed)
    first = [0, *(moment + 1 for moment in last[:-1])]
    meshes = [
        (mesh, panel) for panel in panels for mesh in panel.collections if isinstance(mesh, mpl.collections.QuadMesh)
    ]
    flowing = [
        slice(a, b + 1)
        for a, b in zip(first, last, strict=True)
        if str(bed["step"].values[a]) not in {"backwash", "standby"}
    ]
    assert len(meshes) == len(flowing)
    served_from = float(bed["bv"].values[np.flatnonzero(bed["step"] == "service")[0]])
    for (mesh, panel), of in zip(meshes, flowing, strict=True):
        assert np.array_equal(mesh.get_array(), wanted[of].T)
        corners = mesh.get_coordinates()
        zero = served_from if panel is panels[1] else 0.0
        assert np.allclose(corners[0, [0, -1], 0], bed["bv"].values[of][[0, -1]] - zero, atol=1e-9)
        assert np.allclose(corners[[0, -1], 0, 1], [0.0, cycle.case.bed.depth_m])
    named = [text.get_text() for panel in panels for text in panel.texts]
    assert set(bed["step"].values.tolist()) <= set(named)
    top = panels[0].get_ylim()[1]
    assert top == (cycle.case.bed.depth_m if name == "upflow service" else 0.0)
    assert panels[1].get_ylim() == panels[0].get_ylim()


def test_the_map_takes_an_ion_and_the_callers_axes(cycles: dict[str, Cycle]) -> None:
    _, ax = plt.subplots()
    panels = plot.depth_time(cycles["counter-current"], ax=ax, ion="Na")
    assert all(panel in ax.child_axes for panel in panels)
    with pytest.raises(bf.InputError, match="hardness") as caught:
        plot.depth_time(cycles["counter-current"], ion="Ba")
    assert caught.value.field == "ion"


def test_a_first_run_has_one_panel() -> None:
    assert len(plot.depth_time(CASE.cycles(1)[0])) == 1


def test_the_colours_are_even_in_lightness() -> None:
    # CIE 1976 lightness from the sRGB of IEC 61966-2-1 (from memory): steps equal to the eye, for readers of grey too.
    colours = np.array([mpl.colors.to_rgb(colour) for colour in palette.DEPTH])
    linear = np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)
    lightness = 116.0 * np.cbrt(linear @ [0.2126, 0.7152, 0.0722]) - 16.0
    steps = -np.diff(lightness)
    assert (steps > 0.0).all() and lightness[0] - lightness[-1] > 80.0
    assert steps.max() / steps.min() < 1.5


@pytest.mark.parametrize("name", CASES)
def test_the_movie_shows_the_dataset(cycles: dict[str, Cycle], name: str) -> None:
    cycle = cycles[name]
    movie = plot.movie(cycle, moments=60)
    bed, scene = movie.bed, movie._scene
    assert movie.bed.identical(cycle.through_time(60))
    assert sorted(set(movie.frames)) == list(range(60))
    per_eq = convert(1.0, "eq/L", "mg/L CaCO3")
    leaves = hardness(bed, "effluent_eq_per_l").values * per_eq
    ways = dict(zip(cycle.steps()["step"], cycle.steps()["way"], strict=True))
    for moment in (0, 5, 20, 35, 59):
        figure = movie.draw(moment)
        at = bed.isel(moment=moment)
        for area, values in (
            (scene._on_resin, hardness(at).values),
            (scene._salt, at["liquid_eq_per_l"].sum("ion").values),
            (scene._hardness, hardness(at, "liquid_eq_per_l").values),
        ):
            outline = area.get_xy()
            assert np.array_equal(outline[2:32, 0], values)
            assert np.array_equal(outline[2:32, 1], bed["depth"])
        step = str(at["step"].values)
        words = [text.get_text() for text in figure.texts]
        assert words[0] == step
        shown = {way for way, (arrow, _) in scene._arrows.items() if arrow.get_visible()}
        assert shown == ({ways[step]} if step != "standby" else set())
        assert ways.get("service") == ("up" if name == "upflow service" else "down")
        for curve in scene._curves:
            x, y = (np.asarray(values) for values in curve.line.get_data())
            known = np.isfinite(y)
            inside = [k for k in range(moment + 1) if curve._first <= k < curve._stop and np.isfinite(leaves[k])]
            inside = [k for k in inside if str(bed["step"].values[k]) != "backwash"]
            assert np.array_equal(y[known], leaves[inside])
            zero = float(bed["bv"][curve._first])
            assert np.allclose(x[known], bed["bv"].values[inside] - zero, atol=1e-9)


def test_a_gif_has_a_picture_for_each_moment(cycles: dict[str, Cycle], tmp_path: Path) -> None:
    from PIL import Image

    movie = plot.movie(cycles["co-current"], moments=30)
    path = movie.save(tmp_path / "bed.gif", dpi=40)
    with Image.open(path) as gif:
        assert gif.n_frames == 30
        assert gif.info["loop"] == 0
        assert gif.size == (320, 200)
        durations = []
        for frame in range(gif.n_frames):
            gif.seek(frame)
            durations.append(gif.info["duration"])
        first = np.asarray(gif.convert("RGB"))
    assert sum(durations) == pytest.approx(1000.0 * len(movie.frames) / movie.frames_per_second, abs=10.0)
    # What is written is what is drawn, but for the number of colours.
    drawn = next(movie._pictures(40.0, [29]))
    assert np.abs(first.astype(float) - drawn).mean() < 4.0
    assert first[-1, -1].tolist() == [255, 255, 255]
    movie.draw(3)
    movie.figure.canvas.draw()
    plain = np.asarray(movie.figure.canvas.buffer_rgba())[:, :, :3].astype(float)
    blitted = next(movie._pictures(movie.figure.get_dpi(), [3]))
    assert np.abs(plain - blitted).mean() < 0.5


def test_an_mp4_is_one(cycles: dict[str, Cycle], tmp_path: Path) -> None:
    import imageio_ffmpeg

    movie = plot.movie(cycles["counter-current"], moments=24)
    path = movie.save(tmp_path / "bed.mp4", dpi=40)
    # ISO/IEC 14496-12: a file begins with a box of type ftyp, its size before it (from memory).
    assert path.read_bytes()[4:8] == b"ftyp"
    frames, seconds = imageio_ffmpeg.count_frames_and_secs(str(path))
    assert frames == len(movie.frames)
    assert seconds == pytest.approx(len(movie.frames) / movie.frames_per_second, rel=0.02)


def test_a_notebook_gets_a_player_without_network(cycles: dict[str, Cycle], monkeypatch: pytest.MonkeyPatch) -> None:
    movie = plot.movie(cycles["counter-current"], moments=24)
    html = movie._repr_html_()
    assert "<video" in html and "data:video/mp4;base64," in html and "http" not in html

    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    pictures = movie.to_html()
    assert "data:image/gif;base64," in pictures and "http" not in pictures
    with pytest.raises(bf.MissingPackageError, match='extra "plot"'):
        movie.save("bed.mp4")


@pytest.mark.parametrize(
    ("field", "call"),
    [
        ("path", lambda movie: movie.save("bed.avi")),
        ("dpi", lambda movie: movie.save("bed.gif", dpi=5.0)),
    ],
)
def test_a_movie_that_cannot_be_is_refused(cycles: dict[str, Cycle], field: str, call: Any) -> None:
    movie = plot.movie(cycles["counter-current"], moments=24)
    with pytest.raises(bf.InputError) as caught:
        call(movie)
    assert caught.value.field == field
    with pytest.raises(bf.InputError) as caught:
        plot.movie(cycles["counter-current"], frames_per_second=0.0)
    assert caught.value.field == "frames_per_second"


def test_the_callers_settings_are_left_alone(cycles: dict[str, Cycle], tmp_path: Path) -> None:
    before = dict(mpl.rcParams)
    plot.depth_time(cycles["counter-current"])
    movie = plot.movie(cycles["counter-current"], moments=12)
    movie.save(tmp_path / "bed.gif", dpi=30)
    movie.to_html()
    assert dict(mpl.rcParams) == before
    assert len(plt.get_fignums()) == 1, "a movie leaves no figure behind"
