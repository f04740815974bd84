"""What is known of the pictures: each file that draws one registers it here, beside the function.

:mod:`brinefront.plot` names the registered pictures, the gallery shows their examples, and tests compare each, drawn of a
sample, with what it was and with its data.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol, TypeVar, cast

from brinefront.units import display

if TYPE_CHECKING:
    from collections.abc import Callable

    from brinefront._core import Case
    from brinefront.native.protocols import Comparison, SaltAccount, Waves

__all__ = ["Example", "Picture", "Sample", "picture", "registered"]

Drawing = TypeVar("Drawing", bound="Callable[..., Any]")


class Sample(Protocol):
    """Results of one case that a picture may be drawn of; each is worked out where a picture asks for it."""

    @property
    def case(self) -> Case: ...
    @property
    def both(self) -> Comparison: ...
    @property
    def account(self) -> SaltAccount: ...
    @property
    def waves(self) -> Waves: ...


@dataclass(frozen=True)
class Example:
    """One entry of the gallery.

    `code` begins with ``bf``, ``plot`` and the built-in ``case`` and leaves the axes, or the figure, in ``drawn``. Entries
    are shown in the order of `place`.
    """

    place: int
    name: str
    title: str
    caption: str
    code: str
    moving: str = ""
    """What the code calls the movie that `drawn` is a moment of, if it is of one."""


@dataclass(frozen=True)
class Picture:
    """A picture: the function that draws it, its entries in the gallery, and how it is drawn of a sample."""

    draw: Callable[..., Any]
    call: Callable[[Callable[..., Any], Sample], Any]
    examples: tuple[Example, ...]

    @property
    def name(self) -> str:
        """Its public name, that of its function."""
        return str(self.draw.__name__)

    def of_sample(self, sample: Sample) -> Any:
        """What is drawn of a sample: a figure, axes, or an array of axes."""
        return self.call(self.draw, sample)


_registered: dict[str, Picture] = {}


def picture(*examples: Example, of_sample: Callable[[Callable[..., Any], Sample], Any]) -> Callable[[Drawing], Drawing]:
    """Register the function under it as a picture, with its entries in the gallery; it draws in the units of its case.

    `of_sample` calls the function, which it is given, on those of a sample's results that the picture needs.
    """

    def register(draw: Drawing) -> Drawing:
        draw = cast("Drawing", display.as_asked(draw))
        found = Picture(draw, of_sample, examples)
        _registered[found.name] = found
        return draw

    return register


def registered() -> dict[str, Picture]:
    """The pictures of the files that were imported, by name."""
    return dict(sorted(_registered.items()))
