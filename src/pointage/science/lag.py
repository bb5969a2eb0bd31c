"""Lag and growth after Baranyi and Roberts: the closed form that the integrator is held against."""

from __future__ import annotations

from math import exp, log


def readiness(lag_work: float) -> float:
    """The readiness q₀ to grow of cells that have the work h₀ = μ·lag before them.

    q₀ = 1/(exp(h₀) − 1).

    Units: both dimensionless.
    Range: h₀ above zero.
    Source: Baranyi & Roberts 1994, Int J Food Microbiol 23:277-294.
    """
    return 1.0 / (exp(lag_work) - 1.0)


def baranyi_roberts(hours: float, start: float, rate: float, lag_work: float, most: float) -> float:
    """Count after `hours` at a constant rate, with lag and a ceiling.

    A = t + (1/μ)·ln(exp(−μt) + exp(−h₀) − exp(−μt − h₀));
    ln N = ln N₀ + μA − ln(1 + (exp(μA) − 1)·N₀/Nmax).

    Units: hours in h, rate in 1/h, start and most in one unit of count, which is the answer's.
    Range: rate and start above zero, start at most `most`.
    Source: Baranyi & Roberts 1994, Int J Food Microbiol 23:277-294.
    """
    worked = hours + log(exp(-rate * hours) + exp(-lag_work) - exp(-rate * hours - lag_work)) / rate
    grown = rate * worked
    return exp(log(start) + grown - log(1.0 + (exp(grown) - 1.0) * start / most))
