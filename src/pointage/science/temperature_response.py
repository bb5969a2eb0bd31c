"""How fast a microbe grows at one temperature against another: published forms.

Each returns a rate relative to that at the organism's optimum, so 1.0 at best and 0.0 where there
is no growth. Ratios between temperatures carry over from the laboratory to dough; absolute rates do
not, and are a trait of the culture (mixture/traits.py).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from math import exp


def power_exponential(celsius: float, maximum: float, b: float, c: float) -> float:
    """Relative growth rate by the power-exponential curve of the 1998 sourdough study.

    f(T) = (x / x₀)^b · exp(−c (x − x₀)) with x = Tmax − T and x₀ = b/c; 0 at and above Tmax.

    Units: celsius and maximum in °C, b dimensionless, c in 1/K; the answer is dimensionless.
    Range: 2 to 40 °C; below, the curve keeps a small positive value that nobody measured.
    Source: form of Gänzle, Ehmann & Hammes 1998, Appl Environ Microbiol 64:2616, from memory.
    """
    x = maximum - celsius
    if x <= 0.0:
        return 0.0
    best = b / c
    ratio = x / best
    return float(ratio**b * exp(-c * (x - best)))


def cardinal(celsius: float, minimum: float, optimum: float, maximum: float) -> float:
    """Relative growth rate by the cardinal temperature model with inflection.

    γ(T) = (T−Tmax)(T−Tmin)² / {(Topt−Tmin)·[(Topt−Tmin)(T−Topt) − (Topt−Tmax)(Topt+Tmin−2T)]},
    0 outside Tmin to Tmax.

    Units: °C; the answer is dimensionless.
    Range: any temperature, provided that Topt lies in the upper half between Tmin and Tmax.
    Source: Rosso, Lobry & Flandrois 1993, J Theor Biol 162:447-463.
    """
    if celsius <= minimum or celsius >= maximum:
        return 0.0
    span = optimum - minimum
    bracket = span * (celsius - optimum) - (optimum - maximum) * (optimum + minimum - 2 * celsius)
    return (celsius - maximum) * (celsius - minimum) ** 2 / (span * bracket)


def through_points(celsius: float, points: Sequence[tuple[float, float]]) -> float:
    """Relative growth rate by a monotone cubic curve through published points.

    A piecewise cubic Hermite curve whose slopes keep it from overshooting: no rate above a
    published maximum, none below nought; 0 outside the first and last point.

    Units: °C and dimensionless shares of the highest rate, in order of temperature.
    Range: from the first point to the last.
    Source: Fritsch & Carlson 1980, SIAM J Numer Anal 17:238-246; the points come from the parameter
    set.
    """
    low, high = points[0][0], points[-1][0]
    if not low < celsius < high:
        return 0.0
    temperatures, curve = _curve(tuple((float(t), float(share)) for t, share in points))
    piece = bisect_right(temperatures, celsius) - 1
    x = celsius - temperatures[piece]
    share, slope, square, cube = curve[piece]
    return share + slope * x + square * (x * x) + cube * (x * x * x)


@cache
def _curve(
    points: tuple[tuple[float, float], ...],
) -> tuple[list[float], list[tuple[float, float, float, float]]]:
    """The temperatures, and of each stretch between two the four coefficients of its cubic."""
    width = [after[0] - before[0] for before, after in pairwise(points)]
    rise = [(b[1] - a[1]) / dt for (a, b), dt in zip(pairwise(points), width, strict=True)]
    slopes = [
        _end_slope(width[0], width[1], rise[0], rise[1]),
        *(
            _inner_slope(*widths, *rises)
            for widths, rises in zip(pairwise(width), pairwise(rise), strict=True)
        ),
        _end_slope(width[-1], width[-2], rise[-1], rise[-2]),
    ]
    curve = []
    for (_, share), dt, dy, (a, b) in zip(points, width, rise, pairwise(slopes), strict=False):
        bend = (a + b - 2 * dy) / dt
        curve.append((share, a, (dy - a) / dt - bend, bend / dt))
    return [t for t, _ in points], curve


def _inner_slope(h0: float, h1: float, m0: float, m1: float) -> float:
    """Weighted harmonic mean of the rises on both sides; 0 at a turning point."""
    if m0 * m1 <= 0.0:
        return 0.0
    w0, w1 = 2 * h1 + h0, h1 + 2 * h0
    return 1.0 / ((w0 / m0 + w1 / m1) / (w0 + w1))


def _end_slope(h0: float, h1: float, m0: float, m1: float) -> float:
    """The slope of the parabola through the three outer points, kept from overshooting."""
    slope = ((2 * h0 + h1) * m0 - h0 * m1) / (h0 + h1)
    if slope * m0 <= 0.0:
        return 0.0
    return 3 * m0 if m0 * m1 <= 0.0 and abs(slope) > 3 * abs(m0) else slope


def cold_stop(celsius: float, half: float, width: float) -> float:
    """The share of the curve's rate that is left in the cold: a logistic step.

    g(T) = 1 / (1 + exp(−(T − half)/width)). The published curves keep a small positive rate where
    the same authors say "no growth" (yeast below 8 °C); this brings the two together.

    Units: °C; the answer is dimensionless, 0 to 1.
    Range: meant for −5 to 15 °C; near 1 above.
    Source: the limit is from the rules of thumb of 1998; the form and width are ours.
    """
    return 1.0 / (1.0 + exp(-(celsius - half) / width))
