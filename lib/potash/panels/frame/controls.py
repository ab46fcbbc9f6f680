"""Controls with a visible label, sized alike; every number that a person types goes into a Text.

A ``FloatText`` reads "3,5" as 35 and forgets trailing zeros, so none is used.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import ipywidgets as widgets

from potash.words import tr


def text(
    label: str,
    value: str = "",
    *,
    width: str = "230px",
    placeholder: str = "",
    live: bool = False,
) -> Any:
    """A field to type in, its label above it.

    Python hears of the text when the field is left or Enter pressed, so that a button pressed
    next finds all of it: with ``live``, at each key, a button may overtake the last keys.
    """
    field = widgets.Text(
        value=value,
        description=label,
        placeholder=placeholder,
        continuous_update=live,
        layout=widgets.Layout(width=width, max_width="100%"),
        style={"description_width": "auto"},
    )
    field.add_class("potash-field")
    return field


def choice(label: str, options: Sequence[Any], value: Any, *, width: str = "230px") -> Any:
    """A list to choose one entry from, its label above it."""
    field = widgets.Dropdown(
        options=labelled(options),
        value=value,
        description=label,
        layout=widgets.Layout(width=width, max_width="100%"),
        style={"description_width": "auto"},
    )
    field.add_class("potash-field")
    return field


def slider(label: str, value: float, lowest: float, highest: float, step: float, form: str) -> Any:
    """A slider; ``form`` is the format of its readout, unit included, such as ".0f"."""
    control = widgets.FloatSlider(
        value=value,
        min=lowest,
        max=highest,
        step=step,
        description=label,
        readout_format=form,
        layout=widgets.Layout(width="100%", max_width="720px"),
        style={"description_width": "auto"},
    )
    control.add_class("potash-slider")
    return control


def decades(label: str, lowest: int, highest: int, per_decade: int) -> Any:
    """A slider over powers of ten, from ten to the ``lowest`` to ten to the ``highest``."""
    control = widgets.FloatLogSlider(
        value=10.0**highest,
        base=10.0,
        min=lowest,
        max=highest,
        step=1 / per_decade,
        description=label,
        readout_format=".2g",
        layout=widgets.Layout(width="100%", max_width="720px"),
        style={"description_width": "auto"},
    )
    control.add_class("potash-slider")
    return control


def options(label: str, choices: Sequence[Any], value: Any = None) -> Any:
    """A few answers to choose one from, all visible."""
    group = widgets.RadioButtons(
        options=labelled(choices),
        value=value,
        description=label,
        layout=widgets.Layout(width="auto"),
        style={"description_width": "auto"},
    )
    group.add_class("potash-options")
    return group


def labelled(options: Sequence[Any]) -> list[tuple[str, Any]]:
    """Options with what is shown for each: a word of its own accord, in the reader's language."""
    return [(tr(one), one) if isinstance(one, str) else one for one in options]


def tick(label: str, *, value: bool = False) -> Any:
    """A box to tick, with its sentence."""
    return widgets.Checkbox(
        value=value, description=label, indent=False, layout=widgets.Layout(width="100%")
    )


def button(label: str, *, main: bool = False) -> Any:
    """A button as wide as its label; one a panel is the main one."""
    control = widgets.Button(description=label, layout=widgets.Layout(width="auto"))
    if main:
        control.add_class("potash-main")
    return control


def row(*children: Any) -> Any:
    """Controls side by side, going on in the next line where the page is narrow."""
    return widgets.HBox(list(children), layout=widgets.Layout(flex_flow="row wrap"))


def column(*children: Any) -> Any:
    """Controls below each other."""
    return widgets.VBox(list(children))


def html(content: str = "", *, height: str | None = None) -> Any:
    """A piece of page; with ``height`` it keeps its place whatever it shows."""
    return widgets.HTML(content, layout=widgets.Layout(min_height=height))


def shown(control: Any, visible: bool) -> None:
    """Show or hide a control."""
    control.layout.display = None if visible else "none"


@contextmanager
def emptied_on_error(*places: Any) -> Iterator[None]:
    """What stands in ``places`` stays until it is replaced, so that nothing jumps meanwhile.

    An error empties them: what stands there belongs to what was chosen before.
    """
    try:
        yield
    except Exception:
        for place in places:
            place.value = ""
        raise
