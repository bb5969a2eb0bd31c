"""Plots by hand: two scales, a quiet grid, lines, dots, bars. Colours are the stylesheet's."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from pointage.web.drawing.svg import drawing, element, together

Point = tuple[float, float]
NARROW, WIDE = 350.0, 720.0
RIGHT, TOP, BOTTOM = 10.0, 12.0, 28.0


@dataclass(frozen=True, slots=True)
class Plot:
    """A plot of `width` with room for the labels of its scales. x, y: what the scales span."""

    width: float
    x: tuple[float, float]
    y: tuple[float, float]
    height: float = 220.0
    left: float = 40.0

    def at(self, x: float, y: float) -> Point:
        """A point of the scales, in the drawing."""
        across = (x - self.x[0]) / ((self.x[1] - self.x[0]) or 1.0)
        up = (y - self.y[0]) / ((self.y[1] - self.y[0]) or 1.0)
        wide, high = self.width - self.left - RIGHT, self.height - TOP - BOTTOM
        return self.left + across * wide, TOP + (1 - up) * high

    def levels(self, marks: Iterable[tuple[float, str]]) -> Markup:
        """A quiet line across for each mark of the upright scale, with its label."""
        parts = []
        for value, label in marks:
            x, y = self.at(self.x[0], value)
            end, _ = self.at(self.x[1], value)
            parts += [
                element("line", class_="level-line", x1=x, y1=y, x2=end, y2=y),
                element("text", label, class_="hour", x=x - 8, y=y + 5, text_anchor="end"),
            ]
        return together(parts)

    def along(self, marks: Iterable[tuple[float, str]]) -> Markup:
        """Labels under the plot."""
        y = self.height - 6
        found = []
        for value, label in marks:
            x, _ = self.at(value, self.y[0])
            near = "end" if x > self.width - 24 else "start" if x < self.left + 12 else "middle"
            found.append(element("text", label, class_="hour", x=x, y=y, text_anchor=near))
        return together(found)

    def line(self, points: Sequence[Point], class_: str, opacity: float = 1.0) -> Markup:
        return element(
            "polyline", points=self._points(points), class_=class_, opacity=round(opacity, 2)
        )

    def area(self, lower: Sequence[Point], upper: Sequence[Point], class_: str) -> Markup:
        """Between two lines."""
        return element("polygon", points=self._points([*lower, *reversed(upper)]), class_=class_)

    def dots(self, points: Iterable[Point], class_: str, radius: float = 4.0) -> Markup:
        placed = (self.at(*point) for point in points)
        return together(element("circle", cx=x, cy=y, r=radius, class_=class_) for x, y in placed)

    def bar(self, x: float, low: float, high: float, thick: float, class_: str) -> Markup:
        """An upright bar between two values, `thick` in the drawing's own units."""
        centre, top = self.at(x, high)
        _, foot = self.at(x, low)
        return element(
            "rect", x=centre - thick / 2, y=top, width=thick, height=max(foot - top, 0.5),
            class_=class_,
        )  # fmt: skip

    def span(self, low: float, high: float, class_: str) -> Markup:
        """A stretch of the scale below, shaded from top to foot."""
        start, top = self.at(low, self.y[1])
        end, foot = self.at(high, self.y[0])
        return element("rect", x=start, y=top, width=end - start, height=foot - top, class_=class_)

    def upright(self, x: float, label: str) -> Markup:
        """A line from top to foot with a label at its head."""
        at, foot = self.at(x, self.y[0])
        return element("line", class_="then", x1=at, y1=TOP, x2=at, y2=foot) + element(
            "text", label, class_="then-label", x=at + 5, y=TOP + 11
        )

    def drawn(self, parts: Iterable[Markup]) -> Markup:
        """The whole drawing."""
        return drawing(self.width, self.height, parts, "plot")

    def _points(self, points: Sequence[Point]) -> Markup:
        # As `at` has it, which a page would ask for a thousand times.
        (x0, x1), (y0, y1) = self.x, self.y
        across, up = (x1 - x0) or 1.0, (y1 - y0) or 1.0
        left, wide, high = self.left, self.width - self.left - RIGHT, self.height - TOP - BOTTOM
        placed = [
            f"{left + (x - x0) / across * wide:.1f},{TOP + (1 - (y - y0) / up) * high:.1f}"
            for x, y in points
        ]
        return Markup(" ".join(placed))


def steps(low: float, high: float, most: int) -> list[float]:
    """Round values between two, at most so many: 1, 2 or 5 times a power of ten apart."""
    span = max(high - low, 1e-9)
    size = next(
        factor * 10.0**power
        for power in range(-3, 7)
        for factor in (1, 2, 5)
        if span / (factor * 10.0**power) <= most
    )
    first = -(-low // size)
    return [round((first + n) * size, 6) for n in range(int((high - first * size) / size) + 1)]
