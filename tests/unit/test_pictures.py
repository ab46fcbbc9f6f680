"""Pictures in the frame of the panels: quick while a slider moves, small in a saved notebook."""

import base64
import io
import re

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from PIL import Image

from potash.panels.frame.pictures import Picture, packed
from potash.panels.frame.still import Still

EMBEDDED = re.compile('src="data:image/png;base64,([^"]+)"')


def drawn() -> str:
    picture = Picture()
    x = np.linspace(0, 10, 400)
    for shift in range(6):
        picture.axes.plot(x, np.sin(x + shift))
    return picture.to_html("six waves")


def pixels(page: str) -> list[bytes]:
    pictures = (io.BytesIO(base64.b64decode(data)) for data in EMBEDDED.findall(page))
    return [Image.open(picture).convert("RGB").tobytes() for picture in pictures]


def test_new_limits_cost_one_drawing_and_leave_the_axes_where_they_are(monkeypatch):
    picture = Picture()
    picture.axes.plot([0, 1], [0, 1])
    picture.to_html("a line")
    place, drawings = picture.axes.get_position().bounds, []
    draw = FigureCanvasAgg.draw
    monkeypatch.setattr(FigureCanvasAgg, "draw", lambda canvas: drawings.append(1) or draw(canvas))
    picture.axes.set(ylim=(0, 12345.678), ylabel="much wider numbers")
    picture.settle()
    assert picture.axes.get_position().bounds == place
    assert drawings == [1]


def test_a_packed_picture_is_smaller_and_shows_the_same():
    page = f"<p>first</p>{drawn()}<p>between</p>{drawn()}<p>last</p>"
    small = packed(page)
    assert len(small) < 0.85 * len(page)
    assert pixels(small) == pixels(page)
    assert len(pixels(page)) == 2
    assert EMBEDDED.sub("", small) == EMBEDDED.sub("", page)


def test_a_page_without_a_picture_stays_as_it_is():
    page = '<p>data:image/png;base64 is how a picture is embedded</p><img src="chart.png">'
    assert packed(page) == page


def test_a_still_is_saved_with_its_pictures_packed(monkeypatch):
    shown = []
    monkeypatch.setattr("IPython.display.display", lambda bundle, **_: shown.append(bundle))
    page = drawn()
    still = Still("Waves")
    still.update(page, "six waves", {})
    still.show()
    assert pixels(shown[0]["text/html"]) == pixels(page)
    assert len(shown[0]["text/html"]) < len(still.bundle["text/html"])
