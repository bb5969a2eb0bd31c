"""A few lines to write SVG by hand: elements with escaped attributes and nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from markupsafe import Markup, escape

Attribute = str | float | int

_TO_ESCAPE = re.compile("[&<>\"']")


def element(name: str, inside: Markup | str = "", **attributes: Attribute) -> Markup:
    """One element. `class_` is the attribute class; font_size becomes font-size."""
    # A page has hundreds of these, and Markup.format takes ten times as long.
    written = [
        f"{value:.1f}".removesuffix(".0") if type(value) is float else _number(value)
        for value in attributes.values()
    ]
    shown = inside if not inside or isinstance(inside, Markup) else escape(inside)
    return Markup(_shape(name, tuple(attributes)) % (*written, shown))


@cache
def _shape(name: str, keys: tuple[str, ...]) -> str:
    written = "".join([f' {key.rstrip("_").replace("_", "-")}="%s"' for key in keys])
    return f"<{name}{written}>%s</{name}>"


def drawing(width: float, height: float, parts: Iterable[Markup], class_: str) -> Markup:
    """A whole drawing, hidden from screen readers: the page says the same in words beside it."""
    wide, high = _number(width), _number(height)
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{_number(class_)}" '
        f'viewBox="0 0 {wide} {high}" width="{wide}" height="{high}" aria-hidden="true" '
        f'focusable="false">{"".join(parts)}</svg>'
    )


def together(parts: Iterable[Markup]) -> Markup:
    """One after the other. Markup.join escapes each again, which shows in the time of a page."""
    return Markup("".join(parts))


def _number(value: Attribute) -> str:
    if isinstance(value, str):
        is_plain = isinstance(value, Markup) or not _TO_ESCAPE.search(value)
        return value if is_plain else escape(value)
    return f"{value:.1f}".removesuffix(".0") if isinstance(value, float) else str(value)
