"""Whatever is drawn together can be told apart: by a colour-blind reader, in grey, and against the paper."""

from __future__ import annotations

import warnings
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from brinefront.plot import palette, style
from matplotlib.colors import to_rgb

# CIEDE2000 (CIE 142, 2001) is scaled so that about 1 is just noticed where two fields touch. Thin lines and a legend do not
# touch, so ten times that is asked (our choice): green and red of equal lightness, which a deutan reader confuses, stand 6
# apart and fail (tested below). Ions are up to ten in one picture, with colours found by a search that allows more.
AT_A_GLANCE = 10.0
IONS_APART = 15.0
# WCAG 2.2: 4.5 for words (success criterion 1.4.3), 3 for graphics that carry meaning (1.4.11).
WORDS, GRAPHICS = 4.5, 3.0

SETS: dict[str, list[str]] = {
    "directions": [*(look["color"] for look in palette.DIRECTIONS.values()), palette.LIMIT],
    "ions": [look["color"] for look in palette.IONS.values()],
    "steps": [look["color"] for look in palette.STEPS.values()],
    "efficiency": [*(look["color"] for look in palette.DIRECTIONS.values()), palette.THEORY["color"], palette.BAND],
}


def linear(colours: list[str]) -> np.ndarray:
    """Linear light of sRGB colours (IEC 61966-2-1)."""
    encoded = np.array([to_rgb(colour) for colour in colours])
    return np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)


def contrast(colour: str) -> float:
    """Contrast with white paper, as WCAG 2.2 defines it."""
    luminance = float(linear([colour])[0] @ [0.2126, 0.7152, 0.0722])
    return 1.05 / (luminance + 0.05)


def seen_by(reader: str) -> np.ndarray:
    """Machado, Oliveira and Fernandes (2009), IEEE Trans. Vis. Comput. Graph. 15, 1291, at full severity."""
    if reader == "everyone":
        return np.eye(3)
    # The library says that its matrix for the third kind is an approximation; so does the paper.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from colour.blindness import matrix_cvd_Machado2009

        return np.asarray(matrix_cvd_Machado2009(reader, 1.0))


@pytest.mark.parametrize("reader", ["everyone", "Protanomaly", "Deuteranomaly", "Tritanomaly"])
@pytest.mark.parametrize("name", SETS)
def test_colours_drawn_together_differ(name: str, reader: str) -> None:
    import colour
    from colour.difference import delta_E_CIE2000

    light = np.clip(linear(SETS[name]) @ seen_by(reader).T, 0.0, 1.0)
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    lab = colour.XYZ_to_Lab(light @ to_xyz.T)
    apart = {
        (SETS[name][i], SETS[name][j]): float(delta_E_CIE2000(lab[i], lab[j]))
        for i, j in combinations(range(len(lab)), 2)
    }
    pair, least = min(apart.items(), key=lambda item: item[1])
    assert least >= (IONS_APART if name == "ions" else AT_A_GLANCE), (pair, least)


def test_the_check_tells_the_colours_that_are_confused() -> None:
    """Red and green of one lightness are the textbook case; for a deutan reader they nearly agree."""
    from colour import XYZ_to_Lab
    from colour.difference import delta_E_CIE2000

    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    light = linear(["#2B9A7A", "#B8486A"])
    usual = XYZ_to_Lab(light @ to_xyz.T)
    deutan = XYZ_to_Lab(np.clip(light @ seen_by("Deuteranomaly").T, 0.0, 1.0) @ to_xyz.T)
    assert delta_E_CIE2000(*usual) > 40.0
    assert delta_E_CIE2000(*deutan) < AT_A_GLANCE


@pytest.mark.parametrize("colour", [palette.INK, palette.QUIET, palette.LIMIT])
def test_words_can_be_read(colour: str) -> None:
    assert contrast(colour) >= WORDS


@pytest.mark.parametrize(
    "looks", [palette.DIRECTIONS, palette.IONS, palette.STEPS], ids=["directions", "ions", "steps"]
)
def test_lines_stand_out_from_paper(looks: dict[str, dict[str, Any]]) -> None:
    for name, look in looks.items():
        assert contrast(look["color"]) >= GRAPHICS - 0.005, name


def ink(dash: Any, length: float, per_width: int = 10) -> np.ndarray:
    """Where a dashed line has ink, in tenths of its width."""
    along = np.arange(int(length * per_width)) / per_width
    if dash == "-":
        return np.ones(along.size, dtype=bool)
    ends = np.cumsum(dash[1])
    return np.searchsorted(ends, along % ends[-1], side="right") % 2 == 0


def unlike(first: Any, second: Any) -> float:
    """Least share of a length of 40 widths where one dash has ink and the other has none, however they are shifted."""
    window = ink(second, 40.0)
    long = ink(first, 80.0)
    shifts = range(long.size - window.size)
    return min(float(np.mean(long[at : at + window.size] != window)) for at in shifts)


def test_dashes_differ_in_grey() -> None:
    """A sixth of the line: a gap in ten widths, which is a gap in every legend entry."""
    legend_widths = style.RC["legend.handlelength"] * style.SIZES["font.size"] * 0.833 / style.SIZES["lines.linewidth"]
    for dashes in (
        {name: look["linestyle"] for name, look in palette.IONS.items()},
        {name: look["linestyle"] for name, look in palette.STEPS.items()},
    ):
        for first, second in combinations(dashes, 2):
            assert unlike(dashes[first], dashes[second]) > 1.0 / 6.0, (first, second)
        for name, dash in dashes.items():
            # A whole period shows in a legend.
            assert dash == "-" or sum(dash[1]) <= legend_widths, name


def test_markers_differ() -> None:
    for looks in (palette.IONS, palette.DIRECTIONS):
        markers = [look["marker"] for look in looks.values()]
        assert len(set(markers)) == len(markers)


def test_every_cation_has_its_look() -> None:
    from brinefront import InputError, Water

    with pytest.raises(InputError) as caught:
        Water({"Xx": 1.0})
    known = str(caught.value).partition("known: ")[2].replace(".", "").split(", ")
    cations = [ion for ion in known if ion not in ("Cl", "HCO3", "SO4", "NO3")]
    assert len(cations) == 10
    assert set(palette.IONS) == set(cations)
