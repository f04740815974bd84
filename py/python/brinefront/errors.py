"""The exceptions of brinefront; every one names what was attempted, with which value, and what was allowed."""

# The native module looks these classes up by name: this file imports nothing.

__all__ = [
    "BrinefrontError",
    "CaseFileAccessError",
    "CaseFileError",
    "CaseFileNotFoundError",
    "FileError",
    "InputError",
    "MissingPackageError",
    "SolverError",
]


class BrinefrontError(Exception):
    """Base of every error that brinefront raises."""


class InputError(BrinefrontError, ValueError):
    """A value outside what its field allows.

    Parameters
    ----------
    field : str
        Dotted name of the field, as in a case file (``regeneration.dose_g_per_l``).
    value : int, float or str
        The value that was given; a text where it is not a number.
    limits : str
        What would have been allowed, with its unit.
    source_name : str, optional
        The file or text that the value stands in, if it was read from one.

    Examples
    --------
    >>> import brinefront as bf
    >>> try:
    ...     bf.Bed(depth_m=90.0, diameter_m=0.4)
    ... except bf.InputError as error:
    ...     print(error)
    bed.depth_m = 90: must be a number from 0.01 to 20 m
    """

    def __init__(self, field: str, value: "int | float | str", limits: str, source_name: "str | None" = None) -> None:
        field, value = _shortened(field), _shortened(value) if isinstance(value, str) else value
        super().__init__(field, value, limits, source_name)
        self.field = field
        self.value = _number_if_one(value)
        self.limits = limits
        self.source_name = source_name

    def __str__(self) -> str:
        begun = "" if self.source_name is None else f"{self.source_name}: "
        return f"{begun}{self.field} = {self.value}: {self.limits}"


class CaseFileError(BrinefrontError, ValueError):
    """A case file, or a text, that cannot be understood; the message names the line and the key."""


class CaseFileAccessError(CaseFileError, OSError):
    """A case file that cannot be read: a directory, no permission, or not UTF-8 text."""


class CaseFileNotFoundError(CaseFileAccessError, FileNotFoundError):
    """A case file that does not exist."""


class FileError(BrinefrontError, ValueError):
    """A file of results that is damaged, or holds something else; the message names the file and what is wrong with it."""


class MissingPackageError(BrinefrontError, ImportError):
    """A part of brinefront that needs a package which is not installed; the message names what to install."""


class SolverError(BrinefrontError, RuntimeError):
    """A run that could not be carried through; the message names step, time, cell and cause."""


def _shortened(given: str) -> str:
    """What was given as an error repeats it: one that nobody would read to its end is cut, and its length said."""
    return given if len(given) <= 200 else f"{given[:100]}... ({len(given)} characters)"


def _number_if_one(value: "int | float | str") -> "int | float | str":
    for kind in (int, float):
        try:
            return kind(value) if isinstance(value, str) else value
        except ValueError:
            continue
    return value
