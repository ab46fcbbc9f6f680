"""Pictures: one matplotlib figure a panel, kept and redrawn, shown as an ``<img>`` with words.

An image inside text/html is the one form that a live panel, a saved notebook, another person's
JupyterLab that does not trust it, and an exported page all show, alternative text included. The
figure is made once. Frame, ticks and labels are drawn once and kept as a background; at each key
press only the artists that move are drawn on it, which takes 1 ms instead of 20.
"""

import base64
import html
import io
import re
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from potash.panels.frame import look

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes

# Screens show 1 to 2 device pixels for each CSS pixel: 1.6 is sharp enough on all of them and
# costs half of what 2 would.
_DENSITY = 1.6
_CSS_PIXELS_PER_INCH = 100
# Enough shades for smooth edges of a dozen hues; a palette image is half as large.
_SHADES = 128
# While a slider moves, speed counts; in a saved notebook, room does, up to 12 ms a picture.
_QUICK, _SMALL = 1, 6
_EMBEDDED = re.compile("(?<=data:image/png;base64,)[A-Za-z0-9+/=]+")
_STYLING = threading.RLock()


class Picture:
    """A figure of fixed size in CSS pixels.

    A panel draws into ``axes``, names the artists that will move with ``moving``, and asks for
    ``to_html`` after each move. When limits, ticks or labels change, it calls ``settle`` first.
    """

    def __init__(self, width: int = 720, height: int = 340) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        self.width = width
        self.height = height
        with styled():
            self.figure = Figure(
                figsize=(width / _CSS_PIXELS_PER_INCH, height / _CSS_PIXELS_PER_INCH),
                dpi=_CSS_PIXELS_PER_INCH * _DENSITY,
                layout="constrained",
            )
            self._canvas: Any = FigureCanvasAgg(self.figure)
            self.axes: Axes = self.figure.add_subplot()
        self._moving: list[Artist] = []
        self._background: Any = None
        self._palette: Any = None

    def moving(self, *artists: "Artist") -> None:
        """Say which artists move from one frame to the next; all others are background."""
        for artist in artists:
            artist.set_animated(True)
        self._moving = sorted([*self._moving, *artists], key=lambda artist: artist.get_zorder())
        self._background = None

    def settle(self) -> None:
        """Draw the background anew, after limits, ticks or labels changed.

        The layout is fitted once only: frames must not shift from one key press to the next.
        """
        with styled():
            self._canvas.draw()
            self.figure.set_layout_engine("none")
        self._background = self._canvas.copy_from_bbox(self.figure.bbox)
        self._draw_moving()
        self._palette = self._pixels().quantize(_SHADES, method=_octree())

    def png(self) -> bytes:
        """The figure as it now is, as PNG."""
        if self._background is None:
            self.settle()
        self._canvas.restore_region(self._background)
        self._draw_moving()
        # Shades come from the first frame: finding them anew would cost more than all the rest.
        image = self._pixels().quantize(palette=self._palette, dither=0)
        encoded = io.BytesIO()
        image.save(encoded, "PNG", compress_level=_QUICK)
        return encoded.getvalue()

    def to_html(self, alternative: str) -> str:
        """An ``<img>`` of the figure as it now is.

        ``alternative`` says in words what the picture shows, with its key numbers.
        """
        data = base64.b64encode(self.png()).decode("ascii")
        return (
            f'<img class="potash-picture" width="{self.width}" height="{self.height}" '
            f'alt="{html.escape(alternative)}" src="data:image/png;base64,{data}">'
        )

    def _draw_moving(self) -> None:
        with styled():
            for artist in self._moving:
                self.figure.draw_artist(artist)

    def _pixels(self) -> Any:
        from PIL import Image

        size = self._canvas.get_width_height()
        drawn = self._canvas.buffer_rgba()
        return Image.frombuffer("RGBA", size, drawn, "raw", "RGBA", 0, 1).convert("RGB")


def packed(page: str) -> str:
    """``page`` with the pictures embedded in it in three quarters of the room, pixels unchanged."""
    return _EMBEDDED.sub(_packed_picture, page)


def _packed_picture(found: re.Match[str]) -> str:
    from PIL import Image

    small = io.BytesIO()
    with Image.open(io.BytesIO(base64.b64decode(found[0]))) as image:
        image.save(small, "PNG", compress_level=_SMALL)
    return base64.b64encode(small.getvalue()).decode("ascii")


def _octree() -> Any:
    from PIL import Image

    return Image.Quantize.FASTOCTREE


@contextmanager
def styled() -> Iterator[None]:
    """A context in which figures are made and drawn in the look of the workbook.

    The look belongs to the process: while one panel is built in one thread, another that is drawn
    in a second one waits.
    """
    import matplotlib

    with _STYLING, matplotlib.rc_context(dict(look.PICTURE_STYLE)):
        yield


class SharedBar:
    """One amount and what it is shared among, as a bar of labelled pieces."""

    _HUES = (look.CONTRAST, look.ACCENT, "#c9c4d8", look.WARNING)
    _HATCHES = ("///", "", "...", "xx")

    def __init__(self, title: str, unit: str = "mmol") -> None:
        self.title = title
        self.unit = unit
        self._picture: Picture | None = None
        self._names: tuple[str, ...] = ()
        self._limit = 0.0

    def to_html(self, shares: Mapping[str, tuple[float, str]]) -> str:
        """An ``<img>`` of the ``shares``: by name the amount, and the amount in words."""
        whole = sum(amount for amount, _ in shares.values())
        names = tuple(shares)
        outgrown = whole > self._limit or whole < self._limit / 4
        if self._picture is None or names != self._names or outgrown:
            self._begin(names, whole)
        assert self._picture is not None
        left = 0.0
        for patch, label, (amount, words) in zip(
            self._patches, self._labels, shares.values(), strict=True
        ):
            patch.set_x(left)
            patch.set_width(amount)
            label.set_position((left + amount / 2, 0.0))
            label.set_text(words if amount > 0.08 * self._limit else "")
            left += amount
        told = "; ".join(f"{name} {words}" for name, (_, words) in shares.items())
        return self._picture.to_html(f"{self.title}: {told}.")

    def _begin(self, names: tuple[str, ...], whole: float) -> None:
        self._names = names
        self._limit = round_up(whole * 1.05)
        self._picture = Picture(height=150)
        axes = self._picture.axes
        axes.set(xlim=(0, self._limit), ylim=(-0.5, 0.5), yticks=[], xlabel=self.unit)
        axes.set_title(self.title, loc="left")
        axes.spines["left"].set_visible(False)
        styles = zip(names, self._HUES, self._HATCHES, strict=False)
        with styled():
            self._patches = [
                axes.barh(
                    [0], [1], height=0.62, color=hue, hatch=hatch, edgecolor=look.PAPER, label=name
                )[0]
                for name, hue, hatch in styles
            ]
            self._labels = [
                axes.text(
                    0, 0, "", ha="center", va="center", fontweight="bold",
                    bbox={"facecolor": look.PAPER, "edgecolor": "none", "pad": 2, "alpha": 0.92},
                )
                for _ in names
            ]  # fmt: skip
            self._picture.figure.legend(loc="outside upper right", ncols=len(names))
        self._picture.moving(*self._patches, *self._labels)


def round_up(amount: float) -> float:
    """The next of 1, 2, 3, 4, 5, 6, 8 times a power of ten, so that an axis has calm limits."""
    import math

    power = 10.0 ** math.floor(math.log10(amount)) if amount > 0 else 1.0
    steps = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
    return next((step * power for step in steps if step * power >= amount), 10 * power)
