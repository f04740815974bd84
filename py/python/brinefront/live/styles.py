"""The layout of the page: places on the bench, and style sheets in the package's palette. No type under 14 pixels."""

from __future__ import annotations

from brinefront.live import drawing
from brinefront.pictures import palette

__all__ = ["at_end", "place"]

# Width of a box of controls, and places down the bench.
BOX = drawing.LEFT
RESIN_TOP = (300, 260)
DIRECTION_TOP = 216
KEY_TOP = 334
LEAKAGE_HEIGHT = 212
DOSE_HEIGHT = 226

FONT = f"font-family: {drawing.SANS};"
QUIET = "#4A5966"
HOLD = palette.DIRECTIONS["counter-current"]["color"]
FOCUS = palette.DIRECTIONS["co-current"]["color"]

PAGE = {"box-sizing": "border-box", "padding": "8px 16px 16px", "background": "white", "color": palette.INK}
HEAD = {"display": "flex", "align-items": "baseline", "justify-content": "space-between"}
SIDE_BY_SIDE = {"display": "flex", "gap": "18px", "align-items": "flex-start"}
BESIDE = {"flex": "1 1 0", "min-width": "280px"}
CHART_HEAD = {"display": "flex", "align-items": "center", "justify-content": "space-between", "flex-wrap": "wrap"}
BENCH = {"position": "relative", "display": "block", "flex": "none"}


def place(left: float, top: float, width: float | None = None) -> dict[str, str]:
    """A fixed place on the bench."""
    wide = {} if width is None else {"width": f"{width}px"}
    return {"position": "absolute", "left": f"{left}px", "top": f"{top}px", **wide}


def at_end(left: float, end: int) -> dict[str, str]:
    """At the top (0) or the bottom (1) end of the bench."""
    side, other = ("top", "bottom") if end == 0 else ("bottom", "top")
    return {"position": "absolute", "left": f"{left}px", side: "0px", other: "auto", "width": f"{BOX}px"}


HEADING = f"""
:host {{ {FONT} color: {palette.INK}; margin-bottom: 8px; }}
b {{ font-size: 24px; letter-spacing: -0.01em; }}
span {{ font-size: 16px; margin-left: 16px; color: {QUIET}; }}
"""
STATUS = f":host {{ {FONT} font-size: 14px; color: {QUIET}; white-space: nowrap; }}"
BOX_LOOK = f"""
:host {{
  background: white; border: 2px solid {palette.INK}; border-radius: 10px; padding: 5px 9px; box-sizing: border-box;
}}
"""
BOX_TITLE = f":host {{ {FONT} font-size: 16px; font-weight: 700; color: {palette.INK}; margin-bottom: 2px; }}"
LABEL = f"""
:host {{ {FONT} font-size: 14px; line-height: 1.2; color: {palette.INK}; }}
b {{ font-size: 18px; }}
i {{ font-style: normal; color: {QUIET}; white-space: nowrap; margin-left: 6px; }}
"""
SLIDER = f"""
.bk-slider-title {{ display: none; }}
.noUi-target {{
  height: 8px; background: {palette.GRID}; border: 0; box-shadow: none; border-radius: 4px; margin-top: 9px;
}}
.noUi-connect {{ background: {HOLD}; }}
.noUi-horizontal .noUi-handle {{
  width: 22px; height: 22px; right: -11px; top: -7px; border-radius: 50%;
  background: white; border: 4px solid {HOLD}; box-shadow: none; cursor: grab;
}}
.noUi-handle:before, .noUi-handle:after {{ display: none; }}
.noUi-handle:focus {{ outline: 3px solid {FOCUS}; outline-offset: 1px; }}
"""
CHOICE = f"""
.bk-btn-group > button.bk-btn.bk-btn-default {{
  {FONT} font-size: 15px !important; padding: 4px 7px !important; color: {palette.INK} !important;
  background: white !important; border: 2px solid {palette.INK} !important; text-align: left; box-shadow: none !important;
}}
.bk-btn-group > button.bk-btn.bk-btn-default.bk-active {{
  background: {palette.INK} !important; color: white !important; font-weight: 600;
}}
.bk-btn-group > button.bk-btn:focus-visible {{ outline: 3px solid {FOCUS} !important; }}
"""
KEY = f"""
:host {{ {FONT} font-size: 14px; line-height: 1.3; color: {palette.INK}; }}
b {{ font-size: 15px; }}
p {{ margin: 2px 0; }}
p i {{
  display: inline-block; width: 22px; height: 14px; border: 1px solid {palette.INK}; margin-right: 8px;
  vertical-align: -2px;
}}
"""
CHART_TITLE = f":host {{ {FONT} font-size: 17px; font-weight: 700; color: {palette.INK}; }}"
DOSE_KEY = f"""
:host {{ {FONT} font-size: 14px; line-height: 1.35; color: {palette.INK}; }}
span {{ white-space: nowrap; display: inline-block; margin-right: 14px; }}
i {{ display: inline-block; width: 26px; margin-right: 6px; vertical-align: middle; }}
small {{ font-size: 14px; color: {QUIET}; }}
"""
TILES = f"""
:host {{ {FONT} color: {palette.INK}; }}
.tiles {{ display: grid; grid-template-columns: repeat(auto-fit, minmax(142px, 1fr)); gap: 2px 14px; }}
.tiles div {{ border-top: 3px solid {palette.INK}; padding: 2px 0 3px; white-space: nowrap; }}
.tiles span {{ display: block; font-size: 15px; }}
.tiles b {{ font-size: 25px; line-height: 1.05; }}
.tiles i {{ font-style: normal; font-size: 15px; }}
.tiles small {{ display: block; font-size: 14px; color: {QUIET}; min-height: 17px; }}
"""
TROUBLE = f"""
:host {{ {FONT} }}
p {{
  font-size: 18px; font-weight: 600; color: white; background: {palette.LIMIT};
  padding: 7px 14px; margin: 0 0 8px; border-radius: 8px;
}}
"""
SMALL_PRINT = f"""
:host {{
  {FONT} color: {palette.INK}; font-size: 14px; line-height: 1.3;
  margin-top: 4px; border-top: 2px solid {palette.GRID}; padding-top: 6px; column-width: 460px; column-gap: 24px;
}}
p {{ margin: 0 0 3px; break-inside: avoid; }}
"""
