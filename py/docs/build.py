"""Build the documentation site into ``target/site``: one folder that needs no server and no network.

Text comes from ``py/docs``; theory, README's chapters, notebooks, gallery and docstrings come from where they stand. Needs the
package with its extra ``docs``, and cargo for the crate's own pages.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pybtex.database import Entry

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
    (STAGE / "sources.md").write_text(sources_page(), encoding="utf-8")
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    for name, heading in CHAPTERS.items():
        (STAGE / f"{name}.md").write_text(chapter(readme, heading), encoding="utf-8")
    with (STAGE / "case_file.md").open("a", encoding="utf-8") as page:
        page.write(field_table())
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


# What a bibliography says of how far a source was seen, and what that means.
READ = {
    "paper": "The source itself was read: its pages, a transcription of them, or its abstract, as the line says.",
    "textbook": "A textbook, handbook, standard, manual, database or lecture was read, which is the source or has it.",
    "second-hand": "Another text, or a program, that cites the source was read.",
    "from memory": "Recalled: these sources were not seen, and what rests on them may be wrong in a detail.",
}
READ_HEADINGS = {
    "paper": "Read",
    "textbook": "Read in a textbook or the like",
    "second-hand": "Read second-hand",
    "from memory": "Still to be read",
}


def sources_page() -> str:
    """Every source by how far it was seen, those that are still to be read apart."""
    from pybtex.database import parse_file

    entries = parse_file(str(TOP / "core" / "references.bib")).entries.values()
    parts = ["# Sources", "Every source that the package, its tests and these pages cite, by how far it was seen."]
    for read, meaning in READ.items():
        found = sorted(
            (entry for entry in entries if entry.fields["read"] == read), key=lambda entry: entry.key.lower()
        )
        lines = [f"- {source_line(entry)}" for entry in found]
        parts += [f"## {READ_HEADINGS[read]}", meaning, "\n".join(lines)]
    return "\n\n".join(parts) + "\n"


def source_line(entry: Entry) -> str:
    """Authors (year), title, where it was published; what was seen of it."""
    fields = entry.fields
    year = f"({fields['year']}{entry.key.partition(fields['year'])[2]})" if "year" in fields else ""
    names = [str(person).partition(", ") for person in entry.persons.get("author", [])]
    authors = ", ".join(f"{first} {last}".strip() for last, _, first in names).replace(", others", " and others")
    title = f"*{fields['title']}*" if "title" in fields else ""
    journal = " ".join(
        fields[name] for name in ("journal", "booktitle", "institution", "number", "volume") if name in fields
    )
    edition = f"{fields['edition']} ed." if "edition" in fields else ""
    chapter = f"ch. {fields['chapter']}" if "chapter" in fields else ""
    place = [title, journal, edition, fields.get("publisher", ""), chapter, fields.get("pages", "")]
    cited = ", ".join(part for part in [f"{authors} {year}".strip(), *place] if part)
    return f"{cited.rstrip('.')}. {fields['note']}".translate({ord("{"): None, ord("}"): None})


def field_table() -> str:
    """Every field of a case file with unit, limits and default, from the records of the native half."""
    from brinefront.native import fields

    lines = [
        "",
        "## Every field",
        "",
        "| field | what | unit | limits | default | source |",
        "|---|---|---|---|---|---|",
    ]
    for name, facts in fields.every().items():
        default = (
            json.dumps(facts["default"])
            if "default" in facts
            else facts.get("unset", facts.get("off", "must be given"))
        )
        standing = facts.get("standing", "published")
        source = facts.get("source", "") + ("" if standing in ("published", "definition") else f" ({standing})")
        cells = (f"`{name}`", facts["words"], facts.get("unit", ""), facts.get("limits", ""), default, source)
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines) + "\n"


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
    subprocess.run(
        ["cargo", "doc", "--quiet", "--no-deps", "-p", "brinefront", "--features", "theory"], cwd=TOP, check=True
    )
    shutil.copytree(TOP / "target" / "doc", SITE / "rust", dirs_exist_ok=True)
    # Its help and settings lead to a front page, which a single crate does not get.
    front = '<!DOCTYPE html><meta http-equiv="refresh" content="0; url=brinefront/index.html"><title>brinefront</title>'
    (SITE / "rust" / "index.html").write_text(
        f'{front}<a href="brinefront/index.html">brinefront</a>\n', encoding="utf-8"
    )


if __name__ == "__main__":
    sys.exit(main())
