"""Death by heat: the share of vegetative cells that a spell of heat leaves alive."""

from __future__ import annotations


def surviving(celsius: float, hours: float, d_min: float, d_at: float, z_k: float) -> float:
    """The share of cells alive after `hours` at one temperature.

    N/N₀ = 10^(−t/D), D = D_ref·10^((T_ref − T)/z): a straight line on a logarithmic scale, both in
    time and in temperature.

    Units: °C, h; d_min, the decimal reduction time at d_at (°C), in minutes; z_k in K; the answer
    is dimensionless, 0 to 1.
    Range: vegetative cells at 35 to 70 °C; spores need another model.
    Source: Bigelow 1921, J Infect Dis 29:528-536, from memory; the constants come from the
    parameter set.
    """
    return float(10.0 ** (-60.0 * hours / d_min * 10.0 ** ((celsius - d_at) / z_k)))
