"""Every picture of the package on one page, each with what to look at and the code that draws it.

    python tests/tools/gallery.py --out target/gallery

makes a folder that can be read without a network: `index.html` and a PNG for each entry. Documentation reads :data:`ENTRIES`.
"""

from __future__ import annotations

import argparse
import html
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

    import brinefront as bf

# What the code of every entry begins with.
PREAMBLE = """import brinefront as bf
from brinefront import plot

case = bf.default_case()"""


@dataclass(frozen=True)
class Entry:
    """One picture: `code` follows on :data:`PREAMBLE` and leaves the axes, or the figure, in `drawn`."""

    name: str
    title: str
    caption: str
    code: str
    moving: str = ""
    """What the code calls the movie that `drawn` is a moment of, if it is of one."""

    @property
    def file(self) -> str:
        """The file it is shown from."""
        return f"{self.name}.gif" if self.moving else f"{self.name}.png"

    @property
    def whole_code(self) -> str:
        """Code that runs by itself."""
        return f"{PREAMBLE}\n{self.code}"


ENTRIES: list[Entry] = [
    Entry(
        "comparison_sheet",
        "Two strategies on one page",
        "The answer in a sentence, then why: the same salt leaves the hardness at the outlet of a co-current bed (dark, to the "
        "right) and at the inlet of a counter-current one. Light is what a service run adds.",
        "both = bf.compare(case)\ndrawn = both.sheet()",
    ),
    Entry(
        "leakage",
        "Leakage through the run",
        "Run to the limit, both end within a bed volume or two of each other. Their leakage until then differs a "
        "hundredfold and more: compare the markers at half run, not the ends.",
        'case = case.replace({"service.volume_bv": None})\nboth = bf.compare(case)\ndrawn = plot.leakage(both.cycles)',
    ),
    Entry(
        "leakage_at_equal_leakage",
        "The salt each needs for the same water",
        "At equal leakage the directions differ in salt. The counter-current curve climbs at the end because less salt leaves "
        "less room before the limit.",
        'both = bf.compare(case, at="equal-leakage")\ndrawn = plot.leakage(both.cycles)',
    ),
    Entry(
        "loading",
        "The bed upright",
        "Service and brine enter at the top here. Follow the bed from the end of service (heavy) over backwash and brine to "
        "the rinse; the shaded part is what the next run puts back.",
        "cycle = case.mirrored().cycle()\ndrawn = plot.loading(cycle)",
    ),
    Entry(
        "bed_profiles",
        "Every step of both strategies",
        "Bands of calcium, magnesium and sodium from the wall, the arrow beside each bed its flow. Look at the end that "
        "service leaves by, at the bottom: clean after a counter-current brine, loaded after a co-current one.",
        "both = bf.compare(case)\ndrawn = plot.bed_profiles(both.cycles)",
    ),
    Entry(
        "bed_profiles_recipe",
        "A recipe of one's own",
        "Brine in two halves with a rest between them: while nothing flows the beads and the liquid around them settle, and "
        "the second half begins where the first had stopped.",
        "recipe = bf.Recipe([bf.Backwash(), bf.Brine(share=0.5), bf.Standby(20), bf.Brine(), bf.SlowRinse(), bf.FastRinse()])\n"
        'both = bf.compare([case.replace({"recipe": recipe, "name": "brine in two halves"}), case])\n'
        "drawn = plot.bed_profiles(both.cycles)",
    ),
    Entry(
        "depth_time",
        "The bed through a whole cycle",
        "Depth downwards, volume to the right, the regeneration with a width of its own. Brine clears the bed from the end it "
        "enters by; the run's front then goes down through what was left, and leakage is the colour of the lowest row.",
        "cycle = case.mirrored().cycle()\ndrawn = plot.depth_time(cycle)",
    ),
    Entry(
        "movie",
        "The same as a movie",
        "Hardness on the resin and salt in the liquid, with the way of the flow, and what leaves drawn as it leaves. In a notebook "
        "a movie plays by itself; it saves as GIF or MP4.",
        "cycle = case.mirrored().cycle()\nmovie = plot.movie(cycle, moments=90)\ndrawn = movie.draw(9)",
        moving="movie",
    ),
    Entry(
        "elution",
        "What leaves in a regeneration",
        "Hardness leaves ahead of the salt that drove it out. Sodium that leaves beside little hardness is salt that bought "
        "nothing: that is what reclaim and a slower brine are for.",
        "cycle = case.cycle()\ndrawn = plot.elution(cycle)",
    ),
    Entry(
        "elution_many_ions",
        "A water with strontium, barium and potassium",
        "Six cations, told apart by dash and marker where colour fails. Strontium and barium load the resin and leave with "
        "calcium, though they count as hardness only if the case says so.",
        'ions = {"Ca": 80.0, "Mg": 24.0, "Na": 28.0, "K": 15.0, "Sr": 20.0, "Ba": 10.0, "HCO3": 280.0, "SO4": 55.0}\n'
        'selectivity = {"K": 1.5, "Mg": 1.66, "Ca": 2.6, "Sr": 3.3, "Ba": 5.8}\n'
        'case = case.replace({"water.ions": ions, "resin.selectivity": selectivity})\n'
        "cycle = case.cycle()\n"
        "drawn = plot.elution(cycle)",
    ),
    Entry(
        "brine_efficiency",
        "What each dose of salt buys",
        "Capacity bends over and efficiency falls: the second half of the salt buys little, in either direction. Leakage is "
        "where the direction counts. The band is published practice, its sources in words.",
        "doses = [48, 64, 80, 96, 128, 160, 200, 240]\ndrawn = plot.brine_efficiency(case, doses, ceiling=True)",
    ),
    Entry(
        "leakage_and_salinity",
        "The same hardness in saltier water",
        "A uniform bed leaks with the square of the normality. The co-current bed follows it, and soon cannot meet "
        "the limit at this dose; the counter-current one has two decades to spare.",
        "added = [0, 120, 250, 400, 600, 1000, 2000, 4000]\ndrawn = plot.leakage_and_salinity(case, added)",
    ),
    Entry(
        "salt_account",
        "Where the salt went",
        "From the dose to the salt that did the work, a step for each imperfection. What equilibrium takes no design gives "
        "back; what film and bead take, slower brine does.",
        "account = case.salt_account()\ndrawn = plot.salt_account(account)",
    ),
    Entry(
        "waves",
        "Waves of equilibrium theory",
        "Service is a shock that goes down the bed, regeneration a fan: in brine selectivity is nearly lost, and hardness "
        "leaves over a long stretch. The dashed lines are where the salt arrives and where it has gone.",
        "waves = bf.waves(case)\ndrawn = plot.waves(waves)",
    ),
    Entry(
        "projected",
        "For a room",
        "The same picture inside `plot.projected()`: larger type and lines at the same size.",
        "cycle = case.mirrored().cycle()\nwith plot.projected():\n    drawn = plot.elution(cycle)",
    ),
]


def run(entry: Entry, case: bf.Case | None = None) -> dict[str, Any]:
    """Run an entry's code and return its names; a `case` takes the place of the built-in one."""
    names: dict[str, Any] = {}
    exec(PREAMBLE, names)  # noqa: S102
    if case is not None:
        names["case"] = case
    exec(entry.code, names)  # noqa: S102
    return names


def figure_of(drawn: Any) -> Any:
    """The figure of what an entry has drawn: a figure, axes, or an array of axes."""
    import numpy as np
    from matplotlib.figure import Figure

    return drawn if isinstance(drawn, Figure) else np.asarray(drawn, dtype=object).ravel()[0].figure


def build(out: Path, entries: Sequence[Entry] = ENTRIES, case: bf.Case | None = None, dpi: int = 160) -> Path:
    """Draw entries and write the page; its path."""
    import matplotlib.pyplot as plt

    out.mkdir(parents=True, exist_ok=True)
    for entry in entries:
        names = run(entry, case)
        figure = figure_of(names["drawn"])
        figure.savefig(out / f"{entry.name}.png", dpi=dpi)
        if entry.moving:
            names[entry.moving].save(out / entry.file, dpi=dpi / 2.0)
        plt.close(figure)
    page = out / "index.html"
    page.write_text(_page(entries), encoding="utf-8")
    return page


def _page(entries: Sequence[Entry]) -> str:
    contents = "\n".join(f'<li><a href="#{each.name}">{html.escape(each.title)}</a></li>' for each in entries)
    return PAGE.format(contents=contents, entries="\n".join(map(_section, entries)))


def _section(entry: Entry) -> str:
    title, caption, code = (html.escape(words) for words in (entry.title, entry.caption, entry.whole_code))
    return SECTION.format(name=entry.name, file=entry.file, title=title, caption=caption, code=code)


SECTION = """<section id="{name}">
<h2>{title}</h2>
<p>{caption}</p>
<img src="{file}" alt="{title}" loading="lazy">
<details><summary>Code</summary><pre><code>{code}</code></pre></details>
</section>"""

PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Pictures of brinefront</title>
<style>
body {{ font-family: sans-serif; line-height: 1.5; color: #22303C; background: #fff; max-width: 62rem; margin: 2rem auto;
  padding: 0 1rem; }}
a {{ color: #12476B; }}
ul {{ columns: 18rem; padding-left: 1.2rem; }}
section {{ margin: 3.5rem 0; break-inside: avoid; }}
img {{ max-width: 100%; height: auto; display: block; }}
pre {{ background: #F3F5F7; padding: 0.8rem 1rem; overflow-x: auto; }}
summary {{ cursor: pointer; color: #12476B; margin-top: 0.8rem; }}
p {{ max-width: 46rem; }}
</style>
</head>
<body>
<h1>Pictures of brinefront</h1>
<p>Each is of the built-in scenario, an invented laundry on a hard well. Results are estimates for study, not a design;
softened water holds more sodium, and spent brine harms soil and streams.</p>
<ul>
{contents}
</ul>
{entries}
</body>
</html>
"""


if __name__ == "__main__":
    import matplotlib as mpl

    mpl.use("Agg")
    parser = argparse.ArgumentParser(description="Draw every picture of the package on one page.")
    parser.add_argument("--out", type=Path, default=Path("target/gallery"), help="folder to write")
    parser.add_argument("--dpi", type=int, default=160)
    given = parser.parse_args()
    print(build(given.out, dpi=given.dpi))
