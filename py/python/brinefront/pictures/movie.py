"""The bed upright through one cycle, as a movie: GIF, MP4, or in a notebook."""

from __future__ import annotations

import base64
import tempfile
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brinefront.errors import InputError, MissingPackageError
from brinefront.native.optional import need
from brinefront.pictures import style
from brinefront.pictures.movie_scene import Scene
from brinefront.pictures.passage import passage_of
from brinefront.pictures.registry import Example, picture

if TYPE_CHECKING:
    from collections.abc import Iterator
    from os import PathLike

    import numpy as np
    import xarray as xr
    from matplotlib.animation import FuncAnimation
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from brinefront.native.protocols import Cycle

__all__ = ["Movie", "movie"]

# Frames of a step that has few moments, so that it can be read, and of the last moment.
FEWEST_FRAMES = 8
LAST_FRAMES = 12
# Colours of a GIF: all the pictures have, with their smoothed edges.
GIF_COLOURS = 96
WHITE_FROM = 248
WORDS = "The bed through one cycle"


@picture(
    Example(
        80,
        "movie",
        "The same as a movie",
        "Hardness on the resin and salt in the liquid, with the way of the flow, and what leaves drawn as it leaves. In a notebook "
        "a movie plays by itself; it saves as GIF or MP4.",
        "cycle = case.mirrored().cycle()\nmovie = plot.movie(cycle, moments=90)\ndrawn = movie.draw(9)",
        moving="movie",
    ),
    of_sample=lambda draw, sample: draw(sample.both.cycles[1], moments=24).draw(4),
)
def movie(cycle: Cycle, moments: int = 150, frames_per_second: float = 12.5) -> Movie:
    """The bed upright through a whole cycle.

    Shown are hardness on the resin and salt in the liquid along the depth, the way of the flow, and the hardness of
    what leaves. The cycle is run again for it.

    Parameters
    ----------
    cycle : Cycle
        A finished cycle.
    moments : int, default 150
        How many of the cycle's moments to show, as :meth:`brinefront.Cycle.through_time` spreads them: evenly over the
        throughput of each step, and a short step is shown more slowly than the service run.
    frames_per_second : float, default 12.5
        From 1 to 50.

    Returns
    -------
    Movie
        ``save("bed.gif")`` or ``save("bed.mp4")`` it; in a notebook it plays by itself.

    Raises
    ------
    InputError
        For a number that is out of limits.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> film = plot.movie(bf.default_case().replace({"cells": 10}).cycle(), moments=20)
    >>> film.bed.sizes["moment"]
    20
    """
    if not 1.0 <= frames_per_second <= 50.0:
        raise InputError("frames_per_second", frames_per_second, "must be from 1 to 50")
    return Movie(cycle, moments, frames_per_second)


class Movie:
    """A movie of one cycle; what :func:`movie` returns.

    Attributes
    ----------
    bed : xarray.Dataset
        What is shown: :meth:`brinefront.Cycle.through_time`.
    frames : tuple of int
        The moment that each frame shows; one of a step with few moments is held.
    figure : matplotlib.figure.Figure
        The picture, as ``draw`` left it.
    frames_per_second : float
        How fast it runs.
    """

    def __init__(self, cycle: Cycle, moments: int, frames_per_second: float) -> None:
        self.frames_per_second = frames_per_second
        self._passage = passage_of(cycle, moments)
        self.bed: xr.Dataset = self._passage.bed
        held = [1] * self.bed.sizes["moment"]
        for span in self._passage.spans:
            inside = range(span.moments.start, span.moments.stop)
            for moment in inside:
                held[moment] = -(-FEWEST_FRAMES // len(inside))
        held[-1] = LAST_FRAMES
        self._held = tuple(held)
        self.frames: tuple[int, ...] = tuple(moment for moment, times in enumerate(held) for _ in range(times))
        with style.styled():
            self._scene = Scene(cycle, self._passage)
        self.figure: Figure = self._scene.figure

    def draw(self, moment: int) -> Figure:
        """Show one moment of ``bed``.

        Parameters
        ----------
        moment : int
            Its place along ``moment``.

        Returns
        -------
        matplotlib.figure.Figure
            The figure, which the next moment changes.
        """
        self._scene.show(moment)
        return self.figure

    @cached_property
    def animation(self) -> FuncAnimation:
        """The movie as matplotlib animates it; made when first asked for."""
        from matplotlib.animation import FuncAnimation

        def show(frame: int) -> list[Any]:
            self._scene.show(self.frames[frame])
            return self._scene.changing

        return FuncAnimation(self.figure, show, frames=len(self.frames), interval=1000.0 / self.frames_per_second)

    def save(self, path: str | PathLike[str], dpi: float = 90.0) -> Path:
        """Write the movie to a file.

        Parameters
        ----------
        path : str or path
            Its ending decides what it becomes: ``.gif`` (one picture a moment, held as long as it takes) or ``.mp4``, which needs
            the package imageio-ffmpeg.
        dpi : float, default 90.0
            Dots per inch, 30 to 300; pictures are 8 by 5 inches.

        Returns
        -------
        pathlib.Path
            The file.

        Raises
        ------
        InputError
            For another ending, or a resolution outside 30 to 300.
        MissingPackageError
            For an MP4 without imageio-ffmpeg; the message tells how to install it.
        """
        path = Path(path)
        if not 30.0 <= dpi <= 300.0:
            raise InputError("dpi", dpi, "must be from 30 to 300")
        match path.suffix.lower():
            case ".gif":
                self._save_gif(path, dpi)
            case ".mp4":
                self._save_mp4(path, dpi)
            case _:
                raise InputError("path", str(path), "must end in .gif or .mp4")
        return path

    def _save_gif(self, path: Path, dpi: float) -> None:
        image = need("PIL.Image", "GIF movies")
        # One palette for all, or colours flicker.
        palette = self._palette(dpi)
        pictures = [
            image.fromarray(pixels).quantize(palette=palette, dither=image.Dither.NONE)
            for pixels in self._pictures(dpi)
        ]
        shown = [1000.0 * times / self.frames_per_second for times in self._held]
        # A GIF counts in hundredths of a second; rounded along the way they do not drift.
        ends = [10 * round(sum(shown[: k + 1]) / 10.0) for k in range(len(shown))]
        durations = [end - start for start, end in zip([0, *ends], ends, strict=False)]
        first, *others = pictures
        first.save(path, save_all=True, append_images=others, duration=durations, loop=0, optimize=False)

    def _palette(self, dpi: float) -> Any:
        """The colours of a few pictures spread over the cycle."""
        import numpy as np

        image = need("PIL.Image", "GIF movies")
        few = sorted({(span.moments.start + span.moments.stop) // 2 for span in self._passage.spans})
        together = np.concatenate(list(self._pictures(dpi, few)))
        found = image.fromarray(together).quantize(GIF_COLOURS, method=image.Quantize.MEDIANCUT)
        # The lightest colours are means of the paper and the edges on it: the paper is white.
        colours = np.array(found.getpalette()).reshape(-1, 3)
        colours[(colours >= WHITE_FROM).all(axis=1)] = 255
        found.putpalette(colours.ravel().tolist())
        return found

    def _save_mp4(self, path: Path, dpi: float) -> None:
        import numpy as np

        ffmpeg = need("imageio_ffmpeg", "MP4 movies", "plot")
        width, height = (2 * round(inches * dpi / 2.0) for inches in self.figure.get_size_inches())
        writer = ffmpeg.write_frames(
            str(path),
            (width, height),
            fps=self.frames_per_second,
            codec="libx264",
            quality=None,
            output_params=["-crf", "20", "-movflags", "+faststart"],
            macro_block_size=2,
            ffmpeg_log_level="error",
        )
        writer.send(None)
        try:
            for times, pixels in zip(self._held, self._pictures(dpi), strict=True):
                # Its pictures have an even number of rows and columns.
                even = np.ascontiguousarray(_filled(pixels, height, width))
                for _ in range(times):
                    writer.send(even)
        finally:
            writer.close()

    def _pictures(self, dpi: float, moments: list[int] | None = None) -> Iterator[NDArray[np.uint8]]:
        """The moments as pixels, rows x columns x RGB; what does not move is drawn once."""
        import numpy as np
        from matplotlib.backends.backend_agg import FigureCanvasAgg

        before = self.figure.get_dpi()
        changing = self._scene.changing
        with style.styled():
            try:
                self.figure.set_dpi(dpi)
                canvas: Any = FigureCanvasAgg(self.figure)
                for artist in changing:
                    artist.set_animated(True)
                canvas.draw()
                still = canvas.copy_from_bbox(self.figure.bbox)
                for moment in range(self.bed.sizes["moment"]) if moments is None else moments:
                    self._scene.show(moment)
                    canvas.restore_region(still)
                    for artist in changing:
                        self.figure.draw_artist(artist)
                    yield np.array(canvas.buffer_rgba())[:, :, :3]
            finally:
                for artist in changing:
                    artist.set_animated(False)
                self.figure.set_dpi(before)

    def to_html(self) -> str:
        """The movie as a piece of a page, which then needs no network.

        Returns
        -------
        str
            An MP4 with its controls where imageio-ffmpeg is installed, else a GIF that plays on: some 0.2 or 3 MB, where a
            picture a frame (``animation.to_jshtml()``) is 9.
        """
        try:
            need("imageio_ffmpeg", "MP4 movies", "plot")
            kind = "mp4"
        except MissingPackageError:
            kind = "gif"
        with tempfile.TemporaryDirectory() as folder:
            data = self.save(Path(folder) / f"bed.{kind}").read_bytes()
        inside = base64.b64encode(data).decode("ascii")
        if kind == "gif":
            return f'<img style="max-width: 100%" alt="{WORDS}" src="data:image/gif;base64,{inside}">'
        return (
            '<video controls autoplay loop muted playsinline style="max-width: 100%" '
            f'src="data:video/mp4;base64,{inside}">{WORDS}</video>'
        )

    def _repr_html_(self) -> str:
        return self.to_html()

    def __repr__(self) -> str:
        seconds = len(self.frames) / self.frames_per_second
        return f"<Movie of {self.bed.sizes['moment']} moments, {seconds:.0f} s>"


def _filled(pixels: NDArray[np.uint8], height: int, width: int) -> NDArray[np.uint8]:
    """Pixels cut to a size, or filled up to it by repeating the last row and column."""
    import numpy as np

    rows, columns = pixels.shape[:2]
    beyond = ((0, max(0, height - rows)), (0, max(0, width - columns)), (0, 0))
    return np.pad(pixels, beyond, mode="edge")[:height, :width]
