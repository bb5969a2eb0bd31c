"""Warming and cooling of a body by conduction: the exact series.

A body at one temperature is put into surroundings at another, with a coefficient between them. Of
the gap that there was, each place in it still has Σ Cₙ·φ(ζₙr)·exp(−ζₙ²·Fo), with Fo = α·t/R².

Slab, cylinder and sphere differ in how the area grows with the distance r from the core, r^p, with
p = 0, 1 and 2; bodies between them have a p between. Their modes are one function,

    φ(z) = ₀F₁(; (p+1)/2; −z²/4):  cos z,  J₀(z),  sin z / z.

With ψ = −φ', the condition at the surface is ζψ(ζ) = Bi·φ(ζ), and the two integrals that a series
needs are ∫φ r^p = ψ/ζ and ∫φ² r^p = [φ² + ψ² − (p−1)φψ/ζ]/2, both from 0 to 1 (Green's identities).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import atan, cos, exp, pi, sin

from pointage.errors import RangeError

SLAB, CYLINDER, SPHERE = 0.0, 1.0, 2.0
LUMPED_BIOT = 0.1
"""Below it a body is warm right through, to within 5 % of the gap: the textbooks' rule."""
MOST_TERMS = 20
SOONEST_FOURIER = 0.01
"""The terms left out are then below 1e-15."""
_STRIDE = 1.0  # roots lie further apart than this
_POWER_SERIES_Z = 12.0  # beyond, a power series loses too many digits


@dataclass(frozen=True, slots=True)
class Term:
    """One term: its root ζ, and its coefficients at the core and in the mean over the body."""

    root: float
    core: float
    mean: float


def biot_number(coefficient: float, length: float, conductivity: float) -> float:
    """How hard the inside is to warm against the surface: Bi = h·R/λ.

    Units: W/(m²·K), m from core to surface, W/(m·K); a pure number out.
    Range: all above zero.
    Source: definition. The rule that a body is lumped below 0.1 counts with volume over surface for
    R in Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, chapter 5 (from memory).
    """
    return coefficient * length / conductivity


def fourier_number(diffusivity: float, seconds: float, length: float) -> float:
    """Time in the body's own measure: Fo = α·t/R².

    Units: m²/s, s, m; a pure number out.
    Range: length above zero.
    Source: definition.
    """
    return diffusivity * seconds / length**2


@lru_cache(maxsize=512)
def terms(power: float, biot: float, count: int = 1) -> tuple[Term, ...]:
    """The first terms of the series of a body of this power.

    Units: pure numbers in and out.
    Range: biot above zero; power 0, 1 or 2 with up to 20 terms, or any from −0.5 to 6 with a single
    one; RangeError outside.
    Source: Carslaw & Jaeger, Conduction of Heat in Solids, and Incropera & DeWitt, chapter 5 (from
    memory), for the three shapes; the same derivation for powers between.
    """
    if not biot > 0:
        raise RangeError("Biot number", biot, 0.0, float("inf"), "")
    known = power in (SLAB, CYLINDER, SPHERE)
    if not -0.5 <= power <= 6.0:
        raise RangeError("power", power, -0.5, 6.0, "")
    most = MOST_TERMS if known else 1
    if not 1 <= count <= most:
        raise RangeError("terms", count, 1, most, "")

    def excess(z: float) -> float:
        mode, slope = _mode(power, z)
        return z * slope - biot * mode

    found: list[Term] = []
    low, before = 1e-9, -biot
    while len(found) < count:
        high = low + _STRIDE
        after = excess(high)
        if (before < 0) != (after < 0):
            found.append(_term(power, _root(excess, low, high)))
        low, before = high, after
    return tuple(found)


def core_ratio(power: float, biot: float, fourier: float) -> float:
    """What is left of the gap at the core: Σ Cₙ·exp(−ζₙ²·Fo).

    Units: pure numbers in and out.
    Range: power 0, 1 or 2; fourier 0.01 and more; RangeError outside.
    Source: as `terms`; its first term is what Heisler's charts draw.
    """
    return sum(t.core * exp(-(t.root**2) * fourier) for t in _enough(power, biot, fourier))


def mean_ratio(power: float, biot: float, fourier: float) -> float:
    """What is left of the gap in the mean over the body.

    Units: pure numbers in and out.
    Range: power 0, 1 or 2; fourier 0.01 and more; RangeError outside.
    Source: as `terms`; one less the heat of Gröber's charts.
    """
    return sum(t.mean * exp(-(t.root**2) * fourier) for t in _enough(power, biot, fourier))


def mean_delay(power: float, biot: float) -> float:
    """How long, in Fourier numbers, the mean of a body lags: the area under its `mean_ratio`.

    ∫ = 1/((p+1)·Bi) + 1/((p+1)(p+3)): the film at the surface, and the inside. In surroundings that
    warm steadily the mean of the body trails them by just this long. As the time constant of a
    single exponential it keeps within 1 % of the gap of the true mean up to Bi = 1, and 3.5 % up to
    Bi = 3; the slowest mode alone is 1.2 and 5 % off.

    Units: pure numbers in and out.
    Range: biot above zero, power above −1.
    Source: the steady solution with even heating, −Δu = 1, integrated over the body.
    """
    return 1.0 / ((power + 1) * biot) + 1.0 / ((power + 1) * (power + 3))


@lru_cache(maxsize=512)
def two_faced_terms(near: float, far: float, count: int = 1) -> tuple[Term, ...]:
    """The first terms of a slab whose two faces have their own Biot numbers.

    βₙ = atan(near/βₙ) + atan(far/βₙ) + (n − 1)π, with modes cos(βx − δ), tan δ = near/β. Lengths
    count by the whole thickness. The core is where the first mode is highest.

    Units: pure numbers in and out, Biot numbers with the whole thickness for R.
    Range: neither below zero and one above it; RangeError outside.
    Source: Carslaw & Jaeger, Conduction of Heat in Solids, the slab with radiation at both faces
    (from memory); rearranged here.
    """
    if min(near, far) < 0 or max(near, far) <= 0:
        raise RangeError("Biot number", min(near, far), 0.0, float("inf"), "")

    found: list[Term] = []
    core = 0.0
    for n in range(count):

        def excess(b: float, turns: float = n * pi) -> float:
            return b - turns - atan(near / b) - atan(far / b)

        root = _root(excess, n * pi + 1e-12, (n + 1) * pi)
        shift = atan(near / root)
        if n == 0:
            core = shift / root
        whole = (sin(root - shift) + sin(shift)) / root
        square = 0.5 + (sin(2 * (root - shift)) + sin(2 * shift)) / (4 * root)
        scale = whole / square
        found.append(Term(root, scale * cos(root * core - shift), scale * whole))
    return tuple(found)


def _enough(power: float, biot: float, fourier: float) -> tuple[Term, ...]:
    if not fourier >= SOONEST_FOURIER:
        raise RangeError("Fourier number", fourier, SOONEST_FOURIER, float("inf"), "")
    return terms(power, biot, MOST_TERMS)


def _term(power: float, root: float) -> Term:
    mode, slope = _mode(power, root)
    whole = slope / root
    square = 0.5 * (mode * mode + slope * slope - (power - 1) * mode * slope / root)
    return Term(root, whole / square, (power + 1) * whole * whole / square)


def _root(excess: Callable[[float], float], low: float, high: float) -> float:
    """Where `excess` crosses zero between two ends, by false position.

    An end that stays put twice has its value halved (the Illinois way), so that it too comes near.
    """
    below, above = excess(low), excess(high)
    middle, moved = low, 0
    for _ in range(60):
        before, middle = middle, (low * above - high * below) / (above - below)
        found = excess(middle)
        if found == 0.0 or abs(middle - before) < 1e-14 * middle:
            break
        if (found < 0) == (below < 0):
            above *= 0.5 if moved < 0 else 1.0
            low, below, moved = middle, found, -1
        else:
            below *= 0.5 if moved > 0 else 1.0
            high, above, moved = middle, found, 1
    return middle


def _mode(power: float, z: float) -> tuple[float, float]:
    """φ and −φ' at z, above zero."""
    if power == SLAB:
        return cos(z), sin(z)
    if power == SPHERE:
        mode = sin(z) / z
        return mode, (mode - cos(z)) / z
    if power == CYLINDER:
        return _bessel(0, z), _bessel(1, z)
    if z > _POWER_SERIES_Z:
        raise RangeError("root", z, 0.0, _POWER_SERIES_Z, "")
    a = 0.5 * (power + 1)
    return _limit_function(a, z), z / (power + 1) * _limit_function(a + 1, z)


def _bessel(order: int, z: float) -> float:
    """Jₙ(z) = mean of cos(nθ − z·sin θ) over half a circle: exact to rounding, being periodic."""
    points = int(z) + 20
    angles = (pi * k / points for k in range(1, points))
    ends = 0.5 * (1.0 + (-1.0) ** order)
    return (ends + sum(cos(order * angle - z * sin(angle)) for angle in angles)) / points


def _limit_function(a: float, z: float) -> float:
    """₀F₁(; a; −z²/4) by its power series."""
    total = term = 1.0
    k = 0
    while abs(term) > 1e-17 * abs(total) or k < z:
        term *= -z * z / (4 * (k + 1) * (a + k))
        total += term
        k += 1
    return total
