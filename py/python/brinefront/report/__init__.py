"""The report: one HTML file of a comparison, with its pictures, the sources of its inputs and the files to repeat it.

``page`` puts it together from ``tables``, ``inputs`` and ``pictures``; ``sources.json`` has where every default comes
from.
"""

from brinefront.report.page import CaseFile, Extras, render, write

__all__ = ["CaseFile", "Extras", "render", "write"]
