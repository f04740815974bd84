"""What is said of types is what the package has: the native half's stubs, and every module's own names."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

# What the checker says and is right to say, with the reason why it may stay.
ALLOWED = {
    # A cache in front of a function takes any arguments on paper.
    r"brinefront\.tables\.published\.(co_current_capacity|conditions|_table)",
    r"brinefront\.words\.labels\._figure_words",
    r"brinefront\.live\.feed\._weighed",
    r"brinefront\.units\.quantities\.(registry|_hardness)",
    r"brinefront\.native\.fields\.(every|_shape)",
    r"brinefront\.units\.display\._shown",
    r"brinefront\.report\.inputs\.sources",
    # Names for readers of signatures; at run time nobody needs them.
    r"brinefront\.(results\.comparison|tables\.sweeps)\.Progress",
    r"brinefront\.live\.(answers\.Progress|controls\.Moved)",
    r"brinefront\.report\.(pictures\.Size|directory\.Stamp)",
    # An alias of several literals, which the checker takes for a union.
    r"brinefront\.native\.handover\.Kind",
    # An alias in quotes: the package is imported without pint.
    r"brinefront\.units\.quantity\.Number",
    r"brinefront\..*\.(pd|xr)",
}
# Names and parameters are compared here; `test_types.py` checks types. To read what others mean by theirs takes a minute.
SETTINGS = """\
[mypy]
python_version = 3.10
ignore_errors = True
[mypy-pandas.*,xarray.*,matplotlib.*,numpy.*]
follow_imports = skip
ignore_missing_imports = True
"""


def test_types_say_what_the_package_has(tmp_path: Path) -> None:
    (tmp_path / "allowed").write_text("\n".join(sorted(ALLOWED)), encoding="utf-8")
    (tmp_path / "mypy.ini").write_text(SETTINGS, encoding="utf-8")
    options = ["--concise", "--allowlist", "allowed", "--mypy-config-file", "mypy.ini"]
    command = [sys.executable, "-m", "mypy.stubtest", *options, "brinefront"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
