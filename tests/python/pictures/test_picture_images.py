"""Pictures look as they did: compared with small baselines in which all text is left out, so that fonts do not matter.

New baselines, to be looked at before they are kept:

    python -m pytest tests/python/pictures/test_picture_images.py --mpl-generate-path=tests/python/pictures/baseline
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, cached_property
from pathlib import Path

import brinefront as bf
import matplotlib as mpl
import numpy as np
import pytest
from brinefront.pictures import every
from matplotlib import pyplot as plt
from matplotlib.figure import Figure
from matplotlib.legend import Legend
from matplotlib.text import Annotation, Text

mpl.use("Agg")

BASELINE = Path(__file__).resolve().parent / "baseline"
DPI = 50
# Root mean square of the difference in 255ths. Measured: 0.00 with a serif font, 13 to 20 with a tenth more salt; the tests
# below hold both well away from it. Other versions of the drawing library may smooth edges otherwise.
TOLERANCE = 3.0

CASE = bf.default_case().replace({"cells": 40})
DOSE = CASE.regeneration.dose_g_per_l


class Sample:
    """Results of a small case by its dose of salt, each worked out once."""

    def __init__(self, dose: float) -> None:
        self.case = CASE.replace({"regeneration.dose_g_per_l": dose})

    @cached_property
    def both(self) -> bf.Comparison:
        return bf.compare(self.case.replace({"service.volume_bv": None}))

    @cached_property
    def account(self) -> bf.SaltAccount:
        return self.case.salt_account()

    @cached_property
    def waves(self) -> bf.Waves:
        return bf.waves(self.case, levels=40)


sample_of = cache(Sample)
PICTURES = every()


@pytest.fixture(autouse=True)
def closed() -> Iterator[None]:
    yield
    plt.close("all")


def without_text(name: str, dose: float) -> Figure:
    """A picture without its words, axes set in fixed places: lines, fills and arrows are left."""
    drawn = PICTURES[name].of_sample(sample_of(dose))
    figure = drawn if isinstance(drawn, Figure) else np.asarray(drawn, dtype=object).ravel()[0].figure
    assert isinstance(figure, Figure)
    for legend in figure.findobj(Legend):
        legend.set_visible(False)
    for ax in figure.findobj(mpl.axes.Axes):
        ax.tick_params(which="both", labelbottom=False, labelleft=False, labeltop=False, labelright=False)
        spec = ax.get_subplotspec()
        if figure.get_layout_engine() is not None and spec is not None:
            rows, columns = spec.get_gridspec().get_geometry()
            wide, high = 0.94 / columns, 0.94 / rows
            low = 0.04 + high * (rows - 1 - spec.rowspan.start)
            ax.set_position((0.03 + wide * spec.colspan.start, low, 0.78 * wide, 0.9 * high))
    for words in figure.findobj(Text):
        if not (isinstance(words, Annotation) and words.arrow_patch is not None):
            words.set_visible(False)
    return figure


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.mpl_image_compare(style="default", tolerance=TOLERANCE, savefig_kwargs={"dpi": DPI})
def test_looks_as_it_did(name: str) -> Figure:
    return without_text(name, DOSE)


def test_every_picture_is_compared() -> None:
    kept = {path.name: path.stat().st_size for path in BASELINE.glob("*.png")}
    assert set(kept) == {f"test_looks_as_it_did_{name}.png" for name in PICTURES}
    assert max(kept.values()) < 60_000
    assert sum(kept.values()) < 1_000_000


def root_mean_square(figure: Figure, name: str, folder: Path) -> float:
    """Distance of a picture from its baseline, as the plugin takes it; sizes must agree."""
    from matplotlib.testing.compare import calculate_rms

    path = folder / f"{name}.png"
    figure.savefig(path, dpi=DPI)
    shown, kept = (mpl.image.imread(file)[..., :3] for file in (path, BASELINE / f"test_looks_as_it_did_{name}.png"))
    return float(calculate_rms(kept * 255.0, shown * 255.0))


@pytest.mark.parametrize("name", PICTURES)
def test_another_font_looks_the_same(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from brinefront.plot import style

    monkeypatch.setitem(style.RC, "font.family", "serif")
    assert root_mean_square(without_text(name, DOSE), name, tmp_path) < 0.3 * TOLERANCE


@pytest.mark.parametrize("name", PICTURES)
def test_a_tenth_more_salt_looks_different(name: str, tmp_path: Path) -> None:
    assert root_mean_square(without_text(name, 1.1 * DOSE), name, tmp_path) > 3.0 * TOLERANCE
