"""A culture's jar, drawn at its present level against the mark of its last feed."""

from __future__ import annotations

from markupsafe import Markup

from pointage.web.drawing.svg import drawing, element

WIDTH, HEIGHT = 150, 200
WALL_LEFT, WALL_RIGHT, FLOOR, BRIM = 8, 104, 190, 24
JUST_MIXED = 46  # pixels of culture in the jar when it is just mixed, so that 3.5 still fits
MARKS = (1.0, 1.5, 2.0, 2.5, 3.0)


def jar(
    low: float | None, middle: float | None, high: float | None, *, empty: bool = False
) -> Markup:
    """The jar with its culture at a rise of `middle`, and the band from `low` to `high`.

    Without a forecast it stands at the mark, for a level that nobody knows is not drawn.
    """
    level = _y(middle if middle is not None else 1.0)
    inside = WALL_RIGHT - WALL_LEFT
    parts = []
    if not empty:
        parts.append(
            element(
                "rect", class_="culture", x=WALL_LEFT, width=inside, y=level, height=FLOOR - level
            )
        )
    if low is not None and high is not None:
        top, bottom = _y(high), _y(low)
        parts.append(element("rect", class_="band", x=WALL_LEFT, width=inside, y=top,
                             height=max(1.0, bottom - top)))  # fmt: skip
    if middle is not None:
        parts.append(
            element("line", class_="level", x1=WALL_LEFT, x2=WALL_RIGHT, y1=level, y2=level)
        )
    for mark in MARKS:
        y = _y(mark)
        parts.append(element("line", class_="axis", x1=WALL_RIGHT + 4, x2=WALL_RIGHT + 12, y1=y,
                             y2=y))  # fmt: skip
        parts.append(element("text", f"{mark:g}", class_="hour", x=WALL_RIGHT + 17, y=y + 5))
    glass = (
        f"M{WALL_LEFT} {BRIM}V{FLOOR - 8}q0 8 8 8H{WALL_RIGHT - 8}q8 0 8-8V{BRIM}"
        f"M{WALL_LEFT - 4} {BRIM - 8}H{WALL_RIGHT + 4}"
    )
    parts.append(element("path", class_="glass", d=glass))
    return drawing(WIDTH, HEIGHT, parts, "jar")


def _y(rise: float) -> float:
    return round(max(BRIM + 2.0, FLOOR - JUST_MIXED * rise), 1)
