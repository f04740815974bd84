"""Follow every link of a folder of HTML pages: a file or an anchor that is not there, or a part fetched from elsewhere, fails.

Links to other hosts are only counted: the pages must be readable without a network, and so must this check.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

# What a browser fetches by itself to show a page, as tag and attribute.
FETCHED = {("script", "src"), ("img", "src"), ("link", "href"), ("source", "src"), ("iframe", "src"), ("video", "src")}
# Kinds of <link> that only name another page.
NAMING = {"canonical", "next", "prev", "search", "index", "alternate"}


@dataclass
class Page(HTMLParser):
    """Anchors and links of one page."""

    anchors: set[str] = field(default_factory=set)
    links: list[tuple[str, str, bool]] = field(default_factory=list)
    """Target, what it stands in, and whether showing the page needs it."""

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        self.anchors |= {found[name] for name in ("id", "name") if name in found}
        for name in ("href", "src"):
            if name in found:
                fetched = (tag, name) in FETCHED and not (tag == "link" and found.get("rel", "") in NAMING)
                self.links.append((found[name], f"<{tag} {name}>", fetched))


def check(folder: Path) -> tuple[list[str], int]:
    """What is wrong in the pages of a folder, in words, and the number of links followed."""
    pages = {}
    for path in sorted(folder.rglob("*.html")):
        pages[path.resolve()] = page = Page()
        page.feed(path.read_text(encoding="utf-8"))
    wrong, followed = [], 0
    for path, page in pages.items():
        for target, where, fetched in page.links:
            parts = urlsplit(target)
            if parts.scheme == "data" or parts.scheme == "javascript":
                continue
            if parts.scheme or parts.netloc:
                if fetched:
                    wrong.append(f"{path.relative_to(folder.resolve())}: {where} comes from elsewhere: {target}")
                continue
            followed += 1
            there = (path.parent / unquote(parts.path)).resolve() if parts.path else path
            there = there / "index.html" if there.is_dir() else there
            if not there.exists():
                wrong.append(f"{path.relative_to(folder.resolve())}: {where} is not there: {target}")
            elif parts.fragment and there in pages and not _has(pages[there], parts.fragment):
                wrong.append(f"{path.relative_to(folder.resolve())}: {where} has no such anchor: {target}")
    return wrong, followed


def _has(page: Page, anchor: str) -> bool:
    """Is the anchor there as written, or as decoded? A range of lines of source (`10-20`) begins at one."""
    return bool({anchor, unquote(anchor), anchor.partition("-")[0]} & page.anchors) or anchor == "top"


def main() -> int:
    """Check the folder named on the command line."""
    wrong, followed = check(Path(sys.argv[1]))
    print("\n".join(wrong[:50]), file=sys.stderr)
    print(f"{followed} links followed, {len(wrong)} wrong")
    return 1 if wrong or not followed else 0


if __name__ == "__main__":
    sys.exit(main())
