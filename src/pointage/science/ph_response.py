"""How growth depends on pH, acid and salt."""

from __future__ import annotations


def cardinal_ph(ph: float, minimum: float, optimum: float, maximum: float) -> float:
    """Relative growth rate by the cardinal pH model.

    γ(pH) = (pH−pHmin)(pH−pHmax) / [(pH−pHmin)(pH−pHmax) − (pH−pHopt)²], 0 outside.

    Units: pH; the answer is dimensionless, 0 to 1.
    Range: any pH.
    Source: Rosso, Lobry, Bajard & Flandrois 1995, Appl Environ Microbiol 61:610-616.
    """
    if ph <= minimum or ph >= maximum:
        return 0.0
    product = (ph - minimum) * (ph - maximum)
    return product / (product - (ph - optimum) ** 2)


def linear_stop(amount: float, stop: float) -> float:
    """The share of a rate that is left as an inhibitor nears the amount that stops it.

    h(a) = 1 − a/stop, 0 at and above it.

    Units: amount and stop in one and the same unit; the answer is dimensionless, 0 to 1.
    Range: amount of zero and more.
    Source: the amounts (salt, undissociated acid) come from the parameter set; the straight line
    between none and the stop is ours.
    """
    if amount >= stop:
        return 0.0
    return 1.0 - amount / stop


def ramp(value: float, low: float, high: float) -> float:
    """0 below `low`, 1 above `high`, a straight line between.

    Units: the three share a unit; the answer is dimensionless.
    Range: any value, low < high.
    Source: ours, where a paper gives only the two ends ("growth stops at 3.8, acid is made
    to 3.6").
    """
    if value <= low:
        return 0.0
    if value >= high:
        return 1.0
    return (value - low) / (high - low)
