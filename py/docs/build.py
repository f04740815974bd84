"""Build the documentation site into ``target/site``: one folder that needs no server and no network.

Text comes from ``py/docs``; theory, README's chapters, notebooks, gallery and docstrings come from where they stand. Needs the
package with its extra ``docs``, and cargo for the crate's own pages.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
DOCS = TOP / "py" / "docs"
SITE = TOP / "target" / "site"
STAGE = TOP / "target" / "site-source"
GALLERY = TOP / "target" / "gallery"

# Chapters of README that are pages of the site, by their headings there.
CHAPTERS = {"case_file": "A case file", "units": "Units", "ground": "What the numbers stand on", "cautions": "Cautions"}


def main() -> int:
    """Build everything; a warning is an error."""
    stage()
    sphinx = [sys.executable, "-m", "sphinx", "-b", "html", "-n", "-W", "--keep-going", "-q", "-E", STAGE, SITE]
    subprocess.run([str(part) for part in sphinx], check=True)
    crate_pages()
    print(f"site: {SITE.relative_to(TOP)}/index.html")
    return 0


def stage() -> None:
    """Gather the sources in one folder."""
    shutil.rmtree(STAGE, ignore_errors=True)
    shutil.rmtree(SITE, ignore_errors=True)
    shutil.copytree(DOCS, STAGE, ignore=shutil.ignore_patterns("__pycache__", "build.py"))
    shutil.copy(TOP / "core" / "src" / "theory.md", STAGE / "theory.md")
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    for name, heading in CHAPTERS.items():
        (STAGE / f"{name}.md").write_text(chapter(readme, heading), encoding="utf-8")
    (STAGE / "job.txt").write_text(readme.split("\n\n")[1] + "\n", encoding="utf-8")
    shutil.copy(TOP / "notebooks-demo" / "comparison_sheet.png", STAGE / "_static")
    for notebook in sorted((TOP / "notebooks-demo").glob("*.ipynb")):
        shutil.copy(notebook, STAGE / "notebooks")
    gallery_page()


def chapter(readme: str, heading: str) -> str:
    """A second-level chapter of README as a page of its own."""
    _, found, after = readme.partition(f"\n## {heading}\n")
    if not found:
        sys.exit(f"README has no chapter {heading!r}")
    return f"# {heading}\n{after.partition(chr(10) + '## ')[0]}"


def gallery_page() -> None:
    """Every picture of the gallery, what to look at, and the code that draws it."""
    sys.path.insert(0, str(TOP / "tests" / "tools"))
    from gallery import ENTRIES, PREAMBLE, build

    build(GALLERY)
    pictures = STAGE / "_static" / "gallery"
    shutil.copytree(GALLERY, pictures, ignore=shutil.ignore_patterns("*.html"))
    parts = [
        "# Gallery",
        "Every picture of the package, for the built-in scenario, with the code that draws it after this:",
    ]
    parts += [f"```python\n{PREAMBLE}\n```"]
    for entry in ENTRIES:
        image = f"```{{image}} _static/gallery/{entry.file}\n:alt: {entry.title}\n:class: picture\n```"
        parts += [f"## {entry.title}", image, entry.caption, f"```python\n{entry.code.strip()}\n```"]
    (STAGE / "gallery.md").write_text("\n\n".join(parts) + "\n", encoding="utf-8")


def crate_pages() -> None:
    """The crate's own documentation beside the Python pages."""
    subprocess.run(["cargo", "doc", "--quiet", "--no-deps", "-p", "brinefront"], cwd=TOP, check=True)
    shutil.copytree(TOP / "target" / "doc", SITE / "rust", dirs_exist_ok=True)
    # Its help and settings lead to a front page, which a single crate does not get.
    front = '<!DOCTYPE html><meta http-equiv="refresh" content="0; url=brinefront/index.html"><title>brinefront</title>'
    (SITE / "rust" / "index.html").write_text(
        f'{front}<a href="brinefront/index.html">brinefront</a>\n', encoding="utf-8"
    )


if __name__ == "__main__":
    sys.exit(main())
