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

from brinefront.pictures import every
from brinefront.pictures.registry import Example

if TYPE_CHECKING:
    from collections.abc import Sequence

    import brinefront as bf

# What the code of every entry begins with.
PREAMBLE = """import brinefront as bf
from brinefront import plot

case = bf.default_case()"""


@dataclass(frozen=True)
class Entry(Example):
    """One entry: an example of a picture, of which picture, and the file that shows it."""

    picture: str = ""

    @property
    def file(self) -> str:
        """The file it is shown from."""
        return f"{self.name}.gif" if self.moving else f"{self.name}.png"

    @property
    def whole_code(self) -> str:
        """Code that runs by itself."""
        return f"{PREAMBLE}\n{self.code}"


# Every example of every picture, in their places.
ENTRIES: list[Entry] = sorted(
    (Entry(**vars(example), picture=name) for name, each in every().items() for example in each.examples),
    key=lambda entry: entry.place,
)


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
