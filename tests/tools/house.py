"""Draw the structure of the crate and of the Python package from their imports.

    python tests/tools/house.py [--at REV] [--out FOLDER]

reads the working tree, or a revision of it, and prints for each of the two: files, floors (files in the longest chain of
imports, a circle counted as one floor), imports from a room into one above it, and circles among files. One SVG each is
written to FOLDER, ``target/house`` unless given: rooms in their order, files inside, upward imports red.

What counts as an import: in Rust a ``use`` or a path from ``crate``, ``self`` or ``super``, followed through ``pub use`` to
the file that defines the name, tests apart; in Python every import statement, also one for types alone and one inside a
function. The compiled library ``_core`` is below every room of the package and is no file of it; what its stub names is
listed apart, as is the one module through which it calls upwards.
"""

from __future__ import annotations

import argparse
import ast
import re
import subprocess
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from html import escape
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]

RUST = "core/src"
RUST_ROOMS = ("numerics", "units", "inputs", "laws", "plan", "bed", "cycle", "report", "study")
"""Rooms of the crate, in the order in which a value passes through them; a room that is not there is left out."""
WITHOUT_CASE = ("bed", "cycle", "report")
"""Rooms that work with the plan of a case and need no `Case`."""

PYTHON = "py/python/brinefront"
PYTHON_ROOMS = (
    "errors",
    "native",
    "units",
    "words",
    "tables",
    "files",
    "pictures",
    "text",
    "plot",
    "report",
    "live",
    "results",
    "__init__",
    "former",
    "cli",
)
"""Rooms of the package, the lowest first: a room imports only from those before it. Some are one file."""
HANDOVER = "native/handover.py"
"""The module through which the library hands finished work to the classes."""

# Single files that belong to a room by name: former places of modules, and the command.
_FILES = {"study": "former", "salt_account": "former", "theory": "former", "figures": "former", "__main__": "cli"}
# Rooms of the files of a package that has no folders for them yet.
_UNSORTED = {
    "native": "optional",
    "units": "units quantity quantities field_units trade",
    "words": "figures labels text notebook",
    "tables": "tables datasets through_time hydraulics published",
    "files": "export csv_files",
    "pictures": "plot",
    "report": "report_files",
    "results": "results study salt_account theory long_table",
}


@dataclass(frozen=True)
class House:
    """Files with their rooms, and who imports whom.

    Attributes
    ----------
    name : str
        Of the drawing's file.
    rooms : dict of str to list of str
        Files of each room, the lowest room first.
    imports : dict of str to set of str
        The files that a file imports.
    """

    name: str
    rooms: dict[str, list[str]]
    imports: dict[str, set[str]]

    @property
    def room_of(self) -> dict[str, str]:
        """The room of each file."""
        return {file: room for room, files in self.rooms.items() for file in files}

    def upward(self) -> list[tuple[str, str]]:
        """Imports from a room into one above it."""
        order = {room: place for place, room in enumerate(self.rooms)}
        room = self.room_of
        return sorted(
            (file, other)
            for file, others in self.imports.items()
            for other in others
            if order[room[other]] > order[room[file]]
        )

    def circles(self) -> list[list[str]]:
        """Files that import each other, directly or through others: strongly connected components of two or more."""
        return sorted((sorted(each) for each in components(self.imports) if len(each) > 1), key=len, reverse=True)

    def floors(self) -> int:
        """Files in the longest chain of imports, a circle counted as one."""
        parts = components(self.imports)
        part_of = {file: place for place, part in enumerate(parts) for file in part}
        height: dict[int, int] = {}
        # Components come with what they import ahead of them.
        for place, part in enumerate(parts):
            below = {part_of[other] for file in part for other in self.imports[file]} - {place}
            height[place] = 1 + max((height[each] for each in below), default=0)
        return max(height.values(), default=0)


def components(imports: Mapping[str, set[str]]) -> list[set[str]]:
    """Strongly connected components by R. E. Tarjan (1972), SIAM J. Comput. 1, 146; each after those it imports."""
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    path: list[str] = []
    on_path: set[str] = set()
    found: list[set[str]] = []

    def visit(file: str) -> None:
        index[file] = low[file] = len(index)
        path.append(file)
        on_path.add(file)
        for other in sorted(imports[file]):
            if other not in index:
                visit(other)
                low[file] = min(low[file], low[other])
            elif other in on_path:
                low[file] = min(low[file], index[other])
        if low[file] == index[file]:
            part = set(path[path.index(file) :])
            del path[path.index(file) :]
            on_path.difference_update(part)
            found.append(part)

    for file in sorted(imports):
        if file not in index:
            visit(file)
    return found


def sources(folder: str, suffixes: tuple[str, ...], revision: str | None) -> dict[str, str]:
    """The texts of the files of a folder by their paths in it, of the working tree or of a revision."""
    if revision is None:
        paths = (path for path in (TOP / folder).rglob("*") if path.suffix in suffixes)
        return {path.relative_to(TOP / folder).as_posix(): path.read_text("utf-8") for path in sorted(paths)}
    listed = _git("ls-tree", "-r", "--name-only", revision, f"{folder}/").splitlines()
    return {
        path.removeprefix(f"{folder}/"): _git("show", f"{revision}:{path}")
        for path in listed
        if path.endswith(suffixes)
    }


def _git(*arguments: str) -> str:
    return subprocess.run(["git", *arguments], cwd=TOP, check=True, capture_output=True, encoding="utf-8").stdout


def _sorted_into(order: Iterable[str], room_of: Mapping[str, str]) -> dict[str, list[str]]:
    rooms: dict[str, list[str]] = {room: [] for room in order}
    for file, room in room_of.items():
        rooms.setdefault(room, []).append(file)
    return {room: files for room, files in rooms.items() if files}


# The Python package.


def python_house(files: Mapping[str, str]) -> House:
    """The house of the package out of the texts of its files."""
    of_module = {_module(path): path for path in files if path.endswith(".py")}
    imports = {
        path: {of_module[name] for name in _imported(files[path], of_module)} - {path} for path in of_module.values()
    }
    folders = {path.split("/")[0] for path in of_module.values() if "/" in path}
    return House("python", _sorted_into(PYTHON_ROOMS, {path: _room(path, folders) for path in imports}), imports)


def stub_names(files: Mapping[str, str]) -> list[str]:
    """What the stub of the compiled library imports from the package: the types of what it hands over."""
    tree = ast.parse(files.get("_core.pyi", ""))
    return sorted(
        f"{node.module}.{each.name}"
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("brinefront")
        for each in node.names
    )


def _module(path: str) -> str:
    return ".".join(["brinefront", *path.removesuffix(".py").removesuffix("__init__").strip("/").split("/")]).strip(".")


def _imported(text: str, known: Mapping[str, str]) -> Iterator[str]:
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from (each.name for each in node.names if each.name in known)
        elif isinstance(node, ast.ImportFrom) and node.module in known:
            for each in node.names:
                inner = f"{node.module}.{each.name}"
                if inner in known:
                    yield inner
                elif not (node.module == "brinefront" and each.name == "_core"):
                    yield node.module


def _room(path: str, folders: set[str]) -> str:
    first = path.split("/")[0].removesuffix(".py")
    if "native" not in folders:
        return next((room for room, names in _UNSORTED.items() if first in names.split()), _FILES.get(first, first))
    return first if "/" in path else _FILES.get(first, first)


# The crate.


def rust_house(files: Mapping[str, str]) -> House:
    """The house of the crate out of the texts of its files; the crate's root and its errors are beside the rooms."""
    texts = {path: _code(text) for path, text in files.items() if not path.endswith("tests.rs")}
    module_of = {path: _rust_module(path) for path in texts}
    crate = _Crate({module: path for path, module in module_of.items()}, texts)
    imports = {path: set(crate.imported(path, module_of[path])) - {path} for path in texts}
    # The root names every room and is named by none: its re-exports are followed.
    room_of = {path: path.split("/")[0].removesuffix(".rs") for path in texts}
    return House("rust", _sorted_into(("error", *RUST_ROOMS, "lib"), room_of), imports)


def takes_case(files: Mapping[str, str]) -> list[str]:
    """Functions that take a `Case` in rooms that work with its plan, tests apart."""
    found = []
    for path, text in files.items():
        if path.split("/")[0] in WITHOUT_CASE and not path.endswith("tests.rs"):
            for name, parameters in re.findall(r"\bfn (\w+)(?:<[^(]*>)?\(([^)]*(?:\([^)]*\)[^)]*)*)\)", _code(text)):
                if re.search(r"\bCase\b", parameters):
                    found.append(f"{path}: {name}")
    return found


def _code(text: str) -> str:
    """Without comments, texts and the tests at the end of a file."""
    text = re.sub(r"//[^\n]*", "", text)
    text = re.sub(r'"(?:[^"\\]|\\.)*"', '""', text)
    return re.split(r"#\[cfg\(test\)\]\s*(?:#\[[^\n]*\]\s*)*mod \w+ \{", text)[0]


def _rust_module(path: str) -> tuple[str, ...]:
    parts = tuple(path.removesuffix(".rs").split("/"))
    return parts[:-1] if parts[-1] in ("mod", "lib") else parts


class _Crate:
    """Resolves paths to the files that define what they name."""

    def __init__(self, files: Mapping[tuple[str, ...], str], texts: Mapping[str, str]) -> None:
        self.files = files
        self.exported: dict[tuple[str, ...], dict[str, tuple[str, ...]]] = defaultdict(dict)
        for module, path in files.items():
            for tree in re.findall(r"\bpub(?:\([^)]*\))? use ([^;]+);", texts[path]):
                for names, alias in _branches(tree):
                    self.exported[module][alias] = self.absolute(module, names)
        self.texts = texts

    def imported(self, path: str, module: tuple[str, ...]) -> Iterator[str]:
        """The files whose names a file uses."""
        text = self.texts[path]
        for tree in re.findall(r"\buse ([^;]+);", text):
            for names, _ in _branches(tree):
                yield from self.file(self.absolute(module, names))
        without_use = re.sub(r"\buse [^;]+;", "", text)
        for found in re.findall(r"\b(?:crate|self|super)(?:::\w+)+", without_use):
            yield from self.file(self.absolute(module, tuple(found.split("::"))))

    def absolute(self, module: tuple[str, ...], names: tuple[str, ...]) -> tuple[str, ...]:
        """A path from the crate's root; one that begins with another crate's name is empty."""
        if names[0] == "crate":
            return ("crate", *names[1:])
        here = list(module)
        while names and names[0] in ("self", "super"):
            if names[0] == "super":
                here = here[:-1]
            names = names[1:]
            if not names:
                return ("crate", *here)
            if names[0] not in ("self", "super"):
                return ("crate", *here, *names)
        return ("crate", *module, *names) if (*module, names[0]) in self.files else ()

    def file(self, names: tuple[str, ...], depth: int = 8) -> Iterator[str]:
        """The file that defines what a path names, by way of what is exported again."""
        if not names or depth == 0:
            return
        inside = names[1:]
        length = next(size for size in range(len(inside), -1, -1) if inside[:size] in self.files)
        module, rest = inside[:length], inside[length:]
        again = self.exported[module].get(rest[0]) if rest else None
        if again:
            yield from self.file((*again, *rest[1:]), depth - 1)
        elif module:
            yield self.files[module]


def _branches(tree: str) -> Iterator[tuple[tuple[str, ...], str]]:
    """Paths of a ``use`` tree, each with the name that it gets."""
    tree = " ".join(tree.split())
    head, brace, rest = tree.partition("{")
    if not brace:
        path, _, alias = tree.partition(" as ")
        names = tuple(part for part in path.strip().split("::") if part and part != "*")
        if names:
            names = names[:-1] if len(names) > 1 and names[-1] == "self" else names
            yield names, alias.strip() or names[-1]
        return
    inner, depth, start = rest[: rest.rindex("}")], 0, 0
    for place, letter in enumerate(inner + ","):
        depth += {"{": 1, "}": -1}.get(letter, 0)
        if letter == "," and depth == 0:
            if part := inner[start:place].strip():
                yield from _branches(head + part)
            start = place + 1


# What is printed and drawn.


def described(house: House) -> str:
    """The numbers of a house, and what is wrong with it, in lines."""
    upward, circles = house.upward(), house.circles()
    counts = f"{len(house.imports)} files in {len(house.rooms)} rooms, {house.floors()} floors"
    wrong = f"{len(upward)} imports upward, {len(circles)} circles ({sum(map(len, circles))} files)"
    lines = [f"{house.name}: {counts}, {wrong}"]
    lines += [f"  upward: {file} -> {other}" for file, other in upward]
    lines += [f"  circle of {len(each)}: {', '.join(each)}" for each in circles]
    return "\n".join(lines)


FILE_WIDTH, FILE_HEIGHT, COLUMNS, EDGE = 150, 22, 7, 10


def drawn(house: House) -> str:
    """The house as SVG: the lowest room at the bottom."""
    at: dict[str, tuple[float, float]] = {}
    boxes: list[str] = []
    top = float(EDGE)
    width = 2 * EDGE + COLUMNS * FILE_WIDTH
    for room, files in reversed(house.rooms.items()):
        rows = -(-len(files) // COLUMNS)
        height = rows * FILE_HEIGHT + 24
        boxes.append(
            f'<rect x="{EDGE}" y="{top}" width="{width - 2 * EDGE}" height="{height}" fill="#F4F6F8" stroke="#4A5966"/>'
            f'<text x="{EDGE + 6}" y="{top + 15}" font-weight="bold">{escape(room)}</text>'
        )
        for place, file in enumerate(sorted(files)):
            x, y = EDGE + place % COLUMNS * FILE_WIDTH, top + 20 + place // COLUMNS * FILE_HEIGHT
            at[file] = (x + FILE_WIDTH / 2, y + FILE_HEIGHT / 2)
            name = file.removeprefix(f"{room}/").rsplit(".", 1)[0]
            boxes.append(f'<text x="{x + FILE_WIDTH / 2}" y="{y + 15}" text-anchor="middle">{escape(name)}</text>')
        top += height + 14
    upward = set(house.upward())
    circle_of = {file: place for place, each in enumerate(house.circles()) for file in each}
    arrows: dict[bool, list[str]] = {False: [], True: []}
    for file, others in house.imports.items():
        for other in others:
            together = file in circle_of and circle_of.get(other) == circle_of[file]
            wrong = (file, other) in upward or together
            (x0, y0), (x1, y1) = at[file], at[other]
            look = (
                'stroke="#C22F2F" stroke-width="1.4"' if wrong else 'stroke="#8A97A3" stroke-width="0.5" opacity="0.5"'
            )
            arrows[wrong].append(f'<path d="M{x0} {y0}L{x1} {y1}" {look} marker-end="url(#tip)"/>')
    tip = (
        '<marker id="tip" viewBox="0 0 8 8" refX="8" refY="4" markerWidth="6" markerHeight="6" orient="auto">'
        '<path d="M0 0L8 4L0 8z" fill="context-stroke"/></marker>'
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{top}" font-family="sans-serif" font-size="11">'
        f'<defs>{tip}</defs><rect width="100%" height="100%" fill="white"/>'
        + "".join([*boxes, *arrows[False], *arrows[True]])
        + "</svg>\n"
    )


def main() -> None:
    """Print and draw both houses."""
    parser = argparse.ArgumentParser(
        description="Draw the structure of the crate and of the package from their imports."
    )
    parser.add_argument("--at", metavar="REV", help="a git revision; the working tree if not given")
    parser.add_argument("--out", type=Path, default=TOP / "target" / "house", metavar="FOLDER", help="where to draw")
    options = parser.parse_args()
    rust = sources(RUST, (".rs",), options.at)
    python = sources(PYTHON, (".py", ".pyi"), options.at)
    options.out.mkdir(parents=True, exist_ok=True)
    for house in (rust_house(rust), python_house(python)):
        print(described(house))
        (options.out / f"{house.name}.svg").write_text(drawn(house), encoding="utf-8")
    cases = takes_case(rust)
    print(f"{len(cases)} functions of {', '.join(WITHOUT_CASE)} take a Case", *cases, sep="\n  ")
    print("the stub of the library names", *stub_names(python), sep="\n  ")
    if HANDOVER in python:
        print(f"the library calls upwards through {HANDOVER} alone")


if __name__ == "__main__":
    main()
