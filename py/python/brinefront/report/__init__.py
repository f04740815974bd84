"""The report: one HTML file of a comparison, with its pictures, the sources of its inputs and the files to repeat it.

``page`` puts it together from ``tables``, ``inputs`` and ``pictures``; the records of
``brinefront.native.fields`` have the source of every default, ``sources.json`` that of every law.
"""

from brinefront.report.page import CaseFile, Extras, render, write

__all__ = ["CaseFile", "Extras", "render", "write"]
