"""Build the wheel and the source distribution, and try each as somebody would who has nothing else.

Everything is made in ``target/packages``, with an empty virtual environment for each way to install. The compiler's work is
shared with the tree's own (``target``), so that a second build costs seconds; ``--cold`` compiles the source distribution
from nothing. Needs the extra ``test``: run it with the project's own environment, as ``run_all.py`` does.
"""

from __future__ import annotations

import ast
import email
import filecmp
import os
import shutil
import subprocess
import sys
import tarfile
import time
import zipfile
from email.message import Message
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(TOP / "py"))

from environment import interpreter, run

FOLDER = TOP / "target" / "packages"
INSTALLED = TOP / "tests" / "tools" / "installed"

# The promise of a light import, with room for a busy machine: the best of five new processes.
IMPORT_S = 0.3
# A page of two curves, two beds and a table is never smaller; an empty page is.
PICTURE_BYTES = 50_000
THREE_LINES = """\
import brinefront as bf
both = bf.compare(bf.default_case())
both.sheet().savefig("comparison.png")
"""

BASE = {"matplotlib", "numpy", "pandas", "xarray"}
EXTRAS = {"plot", "report", "live", "units", "export", "docs", "test"}
# What the code reads while it is built or run, and no compiler would miss by its name.
NOT_CODE = (
    "LICENSE",
    "README.md",
    "Cargo.lock",
    "core/build.rs",
    "core/src/theory.md",
    "core/src/laws/data/HarvieMollerWeare1984.toml",
    "core/src/inputs/data/selectivity/Clifford1999.toml",
    "python/brinefront/tables/published_capacity.json",
    "python/brinefront/py.typed",
    "python/brinefront/_core.pyi",
)


def main() -> None:
    """Build, look inside, install, use."""
    began = time.monotonic()
    wheel, sdist = built()
    run(sys.executable, "py/stubs.py", "--check")
    check_wheel(wheel)
    source = unpacked(sdist)
    check_source(source)

    light = empty_environment("wheel")
    install(light, "--no-deps", wheel, "numpy")
    check_import(light)
    use(light, INSTALLED / "light.py")
    check_extras(light, wheel)

    compiled = empty_environment("source")
    install(compiled, "--no-deps", source, "numpy", CARGO_TARGET_DIR=str(target_of_source()))
    use(compiled, INSTALLED / "light.py")

    usual = empty_environment("usual")
    install(usual, TOP / "py")
    check_picture(usual)
    print(f"packages: wheel {wheel.stat().st_size / 1e6:.1f} MB, all in {time.monotonic() - began:.0f} s")


def built() -> tuple[Path, Path]:
    """The wheel and the source distribution, built anew."""
    for old in [*FOLDER.glob("*.whl"), *FOLDER.glob("*.tar.gz")]:
        old.unlink()
    manifest = TOP / "py" / "Cargo.toml"
    maturin = (sys.executable, "-m", "maturin")
    run(*maturin, "build", "--release", "--quiet", "--locked", "-m", manifest, "-o", FOLDER)
    run(*maturin, "sdist", "-m", manifest, "-o", FOLDER)
    (wheel,), (sdist,) = FOLDER.glob("*.whl"), FOLDER.glob("*.tar.gz")
    return wheel, sdist


def check_wheel(wheel: Path) -> None:
    """One file for every Python from 3.10 on, with its types, data, licence and what it needs."""
    with zipfile.ZipFile(wheel) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    version = wheel.name.split("-")[1]
    about = f"brinefront-{version}.dist-info/"
    assert wheel.name.startswith(f"brinefront-{version}-cp310-abi3-"), wheel.name
    assert b"Tag: cp310-abi3-" in files[about + "WHEEL"]

    check_metadata(email.message_from_bytes(files[about + "METADATA"]))
    assert files[about + "licenses/LICENSE"] == (TOP / "LICENSE").read_bytes()
    entry_points = files[about + "entry_points.txt"].decode().split()
    assert "".join(entry_points) == "[console_scripts]brinefront=brinefront.cli:main", entry_points

    native = [name for name in files if name.endswith((".so", ".pyd"))]
    assert native in (["brinefront/_core.abi3.so"], ["brinefront/_core.pyd"]), native
    package = TOP / "py" / "python"
    kept = {path.relative_to(package).as_posix() for path in package.rglob("*") if belongs(path)}
    packed = {name for name in files if not name.startswith(about)} - set(native)
    assert packed == kept, f"wheel and tree differ in {packed ^ kept}"
    for name in packed:
        assert files[name] == (package / name).read_bytes(), name
        if name.endswith((".py", ".pyi")):
            ast.parse(files[name], name, feature_version=(3, 10))


def check_metadata(said: Message) -> None:
    """What an installer and a reader of the metadata are told."""
    assert said["Name"] == "brinefront"
    assert said["Requires-Python"] == ">=3.10"
    assert said["License-Expression"] == "MIT"
    assert said.get_all("License-File") == ["LICENSE"]
    assert said["Description-Content-Type"].startswith("text/markdown")
    readme = said.get_payload(decode=True)
    assert isinstance(readme, bytes) and readme.rstrip() == (TOP / "README.md").read_bytes().rstrip()
    assert set(said.get_all("Provides-Extra") or []) == EXTRAS
    always = [need for need in said.get_all("Requires-Dist") or [] if ";" not in need]
    assert {need.partition(">=")[0] for need in always} == BASE, always


def unpacked(sdist: Path) -> Path:
    """The source distribution as files, with the times that they have in it."""
    shutil.rmtree(FOLDER / "unpacked", ignore_errors=True)
    with tarfile.open(sdist) as archive:
        archive.extractall(FOLDER / "unpacked", filter="data")
    (source,) = (FOLDER / "unpacked").iterdir()
    return source


def check_source(source: Path) -> None:
    """All that a build needs, as it stands in the tree; nothing of the tests."""
    for name in NOT_CODE:
        assert (source / name).is_file(), f"{name} is not in the source distribution"
    for ours, theirs in ((TOP / "core", "core"), (TOP / "py" / "src", "py/src"), (TOP / "py" / "python", "python")):
        for path in filter(belongs, ours.rglob("*")):
            packed = source / theirs / path.relative_to(ours)
            assert packed.is_file(), f"{theirs}/{path.relative_to(ours)} is not in the source distribution"
            # Cargo writes manifests anew.
            assert path.name == "Cargo.toml" or filecmp.cmp(path, packed, shallow=False), packed
    assert {path.name for path in source.iterdir() if path.is_dir()} == {"core", "py", "python"}
    check_metadata(email.message_from_bytes((source / "PKG-INFO").read_bytes()))


def belongs(path: Path) -> bool:
    """Is it a file of the project, neither compiled nor a cache?"""
    return path.is_file() and "__pycache__" not in path.parts and path.suffix not in {".so", ".pyd"}


def target_of_source() -> Path:
    """Where cargo builds the source distribution.

    Files of a source distribution are older than any build. Beside the tree's own build cargo finds that each file it has
    read is there, and compiles nothing; that they are the tree's was checked before.
    """
    return FOLDER / "cold" if "--cold" in sys.argv[1:] else Path(os.environ.get("CARGO_TARGET_DIR", TOP / "target"))


def empty_environment(name: str) -> Path:
    """The Python of a new virtual environment with nothing in it, not even pip."""
    place = FOLDER / name
    shutil.rmtree(place, ignore_errors=True)
    run(sys.executable, "-m", "venv", "--without-pip", place)
    return interpreter(place)


def install(python: Path, *what: str | Path, **extra: str) -> None:
    """Install into an environment, with the pip of this one."""
    pip = (sys.executable, "-m", "pip", "--python", python, "--disable-pip-version-check")
    run(*pip, "install", "--quiet", *what, **extra)


def use(python: Path, script: Path) -> None:
    """Run a script in an empty folder, so that nothing but the installed package can be found."""
    print(f"+ {script.name} with {python.parents[1].name}", flush=True)
    finished = subprocess.run([python, "-I", script], cwd=empty_folder(), check=False)
    if finished.returncode != 0:
        sys.exit(finished.returncode)


def check_import(python: Path) -> None:
    """An import is light: the best of five new processes, its own cost without the interpreter's start."""
    clock = "import time; began = time.perf_counter(); import brinefront; print(time.perf_counter() - began)"
    times = [float(subprocess.check_output([python, "-I", "-c", clock], cwd=empty_folder())) for _ in range(5)]
    print(f"packages: import brinefront takes {min(times):.3f} s at best, {max(times):.3f} s at worst", flush=True)
    assert min(times) < IMPORT_S, times


def check_extras(python: Path, wheel: Path) -> None:
    """Every extra can be had together with all others, and so alone; that of the tests is what runs this."""
    names = ",".join(sorted(EXTRAS - {"test"}))
    install(python, "--dry-run", f"brinefront[{names}] @ {wheel.as_uri()}")


def check_picture(python: Path) -> None:
    """Three lines from an installation to a picture that can be shown."""
    folder = empty_folder()
    subprocess.run([python, "-I", "-c", THREE_LINES], cwd=folder, check=True)
    picture = (folder / "comparison.png").read_bytes()
    assert picture.startswith(b"\x89PNG\r\n\x1a\n") and len(picture) > PICTURE_BYTES, len(picture)
    print(f"packages: comparison.png of {len(picture) / 1e3:.0f} kB", flush=True)


def empty_folder() -> Path:
    """A new folder with nothing in it."""
    folder = FOLDER / "empty"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder


if __name__ == "__main__":
    main()
