"""pH of a flour mixture from its acids and the flour's buffering."""

from __future__ import annotations

from math import exp

PKA_LACTIC = 3.86  # 25 °C, from memory
PKA_ACETIC = 4.76  # 25 °C, from memory
LN_10 = 2.302585092994046
K_LACTIC: float = 10.0**-PKA_LACTIC
K_ACETIC: float = 10.0**-PKA_ACETIC
AT_4_5: float = 10.0**-4.5  # mol per litre


def dissociated(ph: float, pka: float) -> float:
    """The share of a weak acid that has given up its proton: 1/(1 + 10^(pKa − pH)).

    Units: pH and pKa; the answer is dimensionless, 0 to 1.
    Range: any pH.
    Source: the Henderson–Hasselbalch equation, any textbook of chemistry.
    """
    return 1.0 / (1.0 + exp(LN_10 * (pka - ph)))


def protons(ph: float) -> float:
    """Protons in solution, 10^(−pH), by multiplication alone.

    10^(−pH) = 10^(−4.5)·(e^(x/32))^32 with x = ln 10·(4.5 − pH), the inner power by its series to
    the sixth term. A processor does this for several mixtures at once, which it cannot with `exp`.

    Units: pH in; mol per litre out.
    Range: pH 1 to 8, where it is within 6e-7 of the power; within 1e-8 from 2.5 to 6.5.
    Source: the definition of pH.
    """
    x = LN_10 / 32.0 * (4.5 - ph)
    root = 1.0 + x * (1.0 + x / 2 * (1.0 + x / 3 * (1.0 + x / 4 * (1.0 + x / 5 * (1.0 + x / 6)))))
    eighth = root * root * root * root
    half = eighth * eighth * eighth * eighth
    return AT_4_5 * half * half


def both_dissociated(proton: float) -> tuple[float, float]:
    """The shares of lactic and of acetic acid that have given up their proton: K/(K + [H⁺]).

    Units: mol per litre; the answers are dimensionless, 0 to 1. Both cost one division.
    Range: any amount of protons above zero.
    Source: the law of mass action, as in `dissociated`.
    """
    lactic, acetic = K_LACTIC + proton, K_ACETIC + proton
    part = 1.0 / (lactic * acetic)
    return K_LACTIC * acetic * part, K_ACETIC * lactic * part


def ph_by_charge(
    lactic: float, acetic: float, buffer: float, neutral: float, guess: float
) -> float:
    """pH at which the protons given up by the acids are those taken up by the flour.

    lactic·α₁(pH) + acetic·α₂(pH) = buffer·(neutral − pH), solved by Newton's method from `guess`,
    halving the bracket where a step would leave it or is more than half of the one before: from far
    off, steps can go to and fro for ever.
    Free protons (0.25 mmol/kg at pH 3.6) are small against 20 to 30 bound ones and are left out.

    Units: lactic, acetic in mol per kg of mixture; buffer in mol per kg and pH unit; neutral is the
    pH of the flour and water alone.
    Range: pH 3 to 7; the straight buffer line is known for white wheat from 3.5 to 6 only.
    Source: charge balance; the straight line is ours, derived from Nutrients 2019, 11:2954, table 2
    (12 to 13 mmol per kg of dough and pH unit below 6 at dough yield 160).
    """
    low, high = 0.0, neutral
    ph, before = guess, neutral
    for _ in range(60):
        proton = exp(-LN_10 * ph)
        part_lactic = K_LACTIC / (K_LACTIC + proton)
        part_acetic = K_ACETIC / (K_ACETIC + proton)
        excess = lactic * part_lactic + acetic * part_acetic - buffer * (neutral - ph)
        slope = buffer + LN_10 * (
            lactic * part_lactic * (1.0 - part_lactic) + acetic * part_acetic * (1.0 - part_acetic)
        )
        if excess > 0.0:
            high = min(high, ph)
        else:
            low = max(low, ph)
        step = excess / slope
        if abs(step) < 1e-6:
            ph -= step
            break
        if low <= ph - step <= high and abs(step) <= 0.5 * before:
            ph -= step
            before = abs(step)
        else:
            ph = 0.5 * (low + high)
            before = high - low
    return ph
