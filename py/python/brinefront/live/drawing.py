"""The bed upright and the water going through it, as SVG: the plumbing, and what the resin holds.

Both layers lie on one another on a bench of `WIDTH` by `HEIGHT` pixels; the controls are where the pipes end.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from brinefront.pictures import palette

if TYPE_CHECKING:
    import numpy as np

    from brinefront.live.answers import Answer

__all__ = ["BED", "HEIGHT", "LEFT", "REMAINS", "RIGHT", "SANS", "TAKEN", "WIDTH", "bed", "plumbing"]

WIDTH, HEIGHT = 640, 660
# The resin: left, top, right, bottom.
BED = (236.0, 92.0, 404.0, 560.0)
# Where the boxes of controls end and begin.
LEFT, RIGHT = 208, 432

REMAINS = palette.IONS["Ca"]["color"]
TAKEN = "#B7A3CF"
SODIUM_FORM = "#FBF6E4"
BEADS = "#D9C98F"
WALL = palette.INK
LIQUID = "#EDF3F7"

# Faces that a projector's machine has; no font is fetched.
SANS = "Arial, Liberation Sans, Helvetica, sans-serif"

PIPE = 15.0
TOP_PIPE, BOTTOM_PIPE = 26.0, 626.0
CENTRE = (BED[0] + BED[2]) / 2

STYLE = f"""<style>
text {{ font-family: {SANS}; font-size: 15px; fill: {palette.INK}; }}
.flow {{ fill: none; stroke-width: 5; stroke-linecap: round; stroke-dasharray: 1 14;
         animation: going 1s steps(10) infinite; }}
.slow {{ animation-duration: 2.5s; }}
@keyframes going {{ from {{ stroke-dashoffset: 15; }} to {{ stroke-dashoffset: 0; }} }}
@media (prefers-reduced-motion: reduce) {{ .flow {{ animation: none; }} }}
</style>"""


def _svg(body: str, words: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}" viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'role="img" aria-label="{words}">{STYLE}{body}</svg>'
    )


def plumbing(direction: str, *, service_down: bool) -> str:
    """Vessel and pipes, with service on the left and brine on the right, each going its way."""
    brine_down = service_down == (direction == "co-current")
    colour = palette.DIRECTIONS[direction]["color"]
    left, top, right, bottom = BED
    vessel = (
        f'<path d="M{left - 6} {top - 8} C{left - 6} {top - 46} {right + 6} {top - 46} {right + 6} {top - 8} '
        f'V{bottom + 8} C{right + 6} {bottom + 46} {left - 6} {bottom + 46} {left - 6} {bottom + 8} Z" '
        f'fill="{LIQUID}" stroke="{WALL}" stroke-width="5"/>'
    )
    parts = [
        _pipe(LEFT, CENTRE - 26, TOP_PIPE, top - 30),
        _pipe(LEFT, CENTRE - 26, BOTTOM_PIPE, bottom + 30),
        _pipe(RIGHT, CENTRE + 26, TOP_PIPE, top - 30),
        _pipe(RIGHT, CENTRE + 26, BOTTOM_PIPE, bottom + 30),
        vessel,
        _through(LEFT + 2, CENTRE - 26, left - 20, "service", palette.INK, service_down, "flow"),
        _through(RIGHT - 2, CENTRE + 26, right + 20, "brine", colour, brine_down, "flow slow"),
    ]
    words = f"A bed in its vessel: service goes {_way(service_down)}, brine goes {_way(brine_down)}, {direction}"
    return _svg("".join(parts), words)


def _way(down: bool) -> str:
    return "down" if down else "up"


def _pipe(outside: float, inside: float, level: float, vessel: float) -> str:
    """A pipe from a box to the vessel's head."""
    return (
        f'<path d="M{outside} {level} H{inside} V{vessel}" fill="none" stroke="{WALL}" stroke-width="{PIPE + 5}" '
        f'stroke-linejoin="round"/><path d="M{outside} {level} H{inside} V{vessel}" fill="none" stroke="{LIQUID}" '
        f'stroke-width="{PIPE}" stroke-linejoin="round"/>'
    )


def _through(outside: float, inside: float, lane: float, word: str, colour: str, down: bool, look: str) -> str:
    """Drops in the pipes of one stream, the way they go, and beside the bed the arrow of its direction."""
    _, top, _, bottom = BED
    first, last = (TOP_PIPE, BOTTOM_PIPE) if down else (BOTTOM_PIPE, TOP_PIPE)
    near, far = (top - 34, bottom + 34) if down else (bottom + 34, top - 34)
    # Two paths, so that a browser repaints the pipes and not all that lies between them.
    pipes = f"M{outside} {first} H{inside} V{near}", f"M{inside} {far} V{last} H{outside}"
    start, tip = (top + 62, bottom - 62) if down else (bottom - 62, top + 62)
    sign = 1.0 if down else -1.0
    middle = (top + bottom) / 2
    arrow = (
        f'<path d="M{lane} {start} V{tip - sign * 14}" stroke="{colour}" stroke-width="5" fill="none"/>'
        f'<path d="M{lane - 9} {tip - sign * 17} H{lane + 9} L{lane} {tip} Z" fill="{colour}"/>'
        f'<text x="0" y="0" text-anchor="middle" transform="translate({lane + 5.5} {middle}) rotate(-90)" '
        f'style="fill: {colour}; font-weight: 600; paint-order: stroke; stroke: white; stroke-width: 6px">{word}</text>'
    )
    return "".join(f'<path class="{look}" d="{each}" stroke="{colour}"/>' for each in pipes) + arrow


def bed(answer: Answer) -> str:
    """The resin in its vessel: from the left what the brine left on it and what the run put on, over its depth."""
    left, top, right, bottom = BED
    colour = palette.DIRECTIONS[answer.cycle.direction]["color"]
    capacity = answer.cycle.case.resin.capacity_eq_per_l
    levels = heights(answer)
    before, after = across(answer, answer.regenerated_eq_per_l), across(answer, answer.exhausted_eq_per_l)
    edge = [left] * len(levels)
    frame = f'x="{left}" y="{top}" width="{right - left}" height="{bottom - top}"'
    run = "put on by the run" if answer.soft else "after the brine and a trial of service"
    parts = [
        _beads(answer.cycle.case.resin.bead_diameter_mm),
        f'<rect {frame} fill="{SODIUM_FORM}"/>',
        f'<rect {frame} fill="url(#beads)"/>',
        _area("remains", edge, before, levels, f'fill="{REMAINS}"'),
        _area("taken", before, after, levels, f'fill="{TAKEN}"'),
        _line("regenerated", before, levels, f'stroke="{colour}" stroke-width="4"'),
        _line("exhausted", after, levels, f'stroke="{palette.INK}" stroke-width="4"'),
        f'<rect {frame} fill="none" stroke="{WALL}" stroke-width="2"/>',
        f'<text x="{left + 4}" y="{bottom + 20}">0</text>',
        f'<text x="{right - 8}" y="{bottom + 20}" text-anchor="end">{capacity:g} eq/L</text>',
    ]
    return _svg("".join(parts), f"Hardness on the resin along its depth: what the brine left, and what was {run}")


def heights(answer: Answer) -> list[float]:
    """Pixels of the cells' middles, top and bottom of the bed added at either end."""
    _, top, _, bottom = BED
    share = answer.depth_m / answer.cycle.case.bed.depth_m
    if answer.cycle.case.service.service_flow == "up":
        share = 1.0 - share
    ends = (0.0, 1.0) if share[0] < share[-1] else (1.0, 0.0)
    return [top + (bottom - top) * float(part) for part in (ends[0], *share, ends[1])]


def across(answer: Answer, loading_eq_per_l: np.ndarray) -> list[float]:
    """Pixels of a loading, the resin's total capacity being the whole width; the end cells reach to the ends."""
    left, _, right, _ = BED
    capacity = answer.cycle.case.resin.capacity_eq_per_l
    along = [left + (right - left) * float(each) / capacity for each in loading_eq_per_l]
    return [along[0], *along, along[-1]]


def _points(across: list[float], levels: list[float]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in zip(across, levels, strict=True))


def _area(name: str, low: list[float], high: list[float], levels: list[float], look: str) -> str:
    outline = f"{_points(low, levels)} {_points(high[::-1], levels[::-1])}"
    return f'<polygon data-name="{name}" points="{outline}" {look}/>'


def _line(name: str, across: list[float], levels: list[float], look: str) -> str:
    return (
        f'<polyline data-name="{name}" points="{_points(across, levels)}" fill="none" stroke-linejoin="round" {look}/>'
    )


def _beads(diameter_mm: float) -> str:
    """A pattern of beads as coarse as they are: sixteen pixels for a millimetre."""
    radius = 8.0 * diameter_mm
    width, height = 2.0 * radius, 2.0 * radius * 3.0**0.5
    centres = [(radius, radius), (0.0, radius + height / 2), (width, radius + height / 2)]
    circles = "".join(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{0.86 * radius:.2f}"/>' for x, y in centres)
    return (
        f'<defs><pattern id="beads" patternUnits="userSpaceOnUse" width="{width:.2f}" height="{height:.2f}">'
        f'<g fill="none" stroke="{BEADS}" stroke-width="1">{circles}</g></pattern></defs>'
    )
