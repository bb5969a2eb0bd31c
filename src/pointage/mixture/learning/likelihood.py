"""How likely what was seen of a mixture is, compiled: only to compile it is this file loaded.

`surface.Judge` says what is computed, and calls it through `mixture/compiled.py`. Numbers of
several members lie side by side in one array, for the same reasons as in `mixture/kernel.py`. In
place of the logarithms of terms their product is formed, and one logarithm taken a history.
"""

# mypy: disable-error-code="untyped-decorator"

from __future__ import annotations

from math import exp, log, log1p, sqrt
from typing import Any

from numba import carray, cfunc, njit, types

from pointage.mixture.learning.surface import FREEDOM, SIDE, SIGN, SPARE, SURE, SURE_SIGN

QUICK: Any = {"error_model": "numpy", "fastmath": True}
SMALL = 1e-200
"""Below it a product's logarithm is taken before it goes on; no single term is below 1e-40."""
FARTHEST = 700.0
LEAST = -64.0
"""Of which the power of e is nothing beside what it is added to."""
RIGHT, WRONG, PRODUCT, TOTAL, OFF = range(SPARE)


@njit(forceinline=True, **QUICK)
def power(x: float) -> float:
    """e^x for x from LEAST to 0, and e^LEAST below it, within 1e-13 of it.

    (e^(x/256))^256, the inner power by its series to the tenth term and the outer by squaring:
    several members at once, which the library's own is not.
    """
    y = max(x, LEAST) / 256.0
    p = 1.0 + y / 7 * (1.0 + y / 8 * (1.0 + y / 9 * (1.0 + y / 10)))
    p = 1.0 + y * (1.0 + y / 2 * (1.0 + y / 3 * (1.0 + y / 4 * (1.0 + y / 5 * (1.0 + y / 6 * p)))))
    p = p * p * p * p
    p = p * p * p * p
    p = p * p * p * p
    return p * p * p * p


def likely(
    gaps: Any,
    moved: Any,
    facts: Any,
    sorts: Any,
    firsts: Any,
    histories: Any,
    slip: float,
    scratch: Any,
    found: Any,
    members: int,
    nodes: int,
    columns: int,
    observations: int,
    count: int,
) -> None:
    """Write into `found` the logarithm of the likelihood of each history at each node.

    gaps (members, columns), in errors; moved (nodes, columns): what each node adds to them; facts
    (4, columns): of each column one over the scale of its error, the density of a right reading at
    nought, what a wrong one's square is multiplied by, and its density at nought; sorts (columns):
    0, SURE, SIGN or SURE_SIGN; firsts (observations + 1): the first column of each; histories
    (count + 1): the first observation of each; slip: the odds of a wrong one; scratch (SPARE +
    columns, SIDE); found (members, count, nodes).
    """
    gap, move = carray(gaps, (members, columns)), carray(moved, (nodes, columns))
    fact, sort = carray(facts, (4, columns)), carray(sorts, (columns,))
    first, history = carray(firsts, (observations + 1,)), carray(histories, (count + 1,))
    x, into = carray(scratch, (SPARE + columns, SIDE)), carray(found, (members, count, nodes))
    for begin in range(0, members, SIDE):
        for k in range(columns):
            for j in range(SIDE):
                x[SPARE + k, j] = gap[min(begin + j, members - 1), k]
        for h in range(count):
            for node in range(nodes):
                for j in range(SIDE):
                    x[PRODUCT, j], x[TOTAL, j] = 1.0, 0.0
                for seen in range(history[h], history[h + 1]):
                    for j in range(SIDE):
                        x[RIGHT, j], x[WRONG, j] = 1.0 - slip, slip
                    for k in range(first[seen], first[seen + 1]):
                        narrow, height, broad, low = fact[0, k], fact[1, k], fact[2, k], fact[3, k]
                        more, row = move[node, k], SPARE + k
                        for j in range(SIDE):  # to a row of which it is known where it lies
                            x[OFF, j] = x[row, j] + more
                        if sort[k] == SIGN:
                            for j in range(SIDE):
                                z = x[OFF, j] * narrow
                                part = power(-abs(z))
                                x[RIGHT, j] *= (1.0 if z > 0.0 else part) / (1.0 + part)
                                x[WRONG, j] *= 0.5
                        elif sort[k] == SURE_SIGN:
                            for j in range(SIDE):
                                z = max(x[OFF, j] * narrow, -FARTHEST)
                                x[TOTAL, j] -= log1p(exp(-z))
                        elif sort[k] == SURE:
                            for j in range(SIDE):
                                z = min(abs(x[OFF, j] * narrow), FARTHEST)
                                x[TOTAL, j] += log(narrow) - 0.5 * z * z
                        else:
                            for j in range(SIDE):
                                off = x[OFF, j]
                                z = min(abs(off * narrow), FARTHEST)
                                far = 1.0 + z * z / FREEDOM  # to the power −(FREEDOM + 1)/2
                                x[RIGHT, j] *= height / (far * far * far * sqrt(far))
                                x[WRONG, j] *= low * power(broad * off * off)
                    if sort[first[seen]] < SURE:
                        for j in range(SIDE):
                            x[PRODUCT, j] *= x[RIGHT, j] + x[WRONG, j]
                        for j in range(SIDE):
                            if x[PRODUCT, j] < SMALL:
                                x[TOTAL, j] += log(x[PRODUCT, j])
                                x[PRODUCT, j] = 1.0
                for j in range(min(SIDE, members - begin)):
                    into[begin + j, h, node] = x[TOTAL, j] + log(x[PRODUCT, j])


def averaged(
    found: Any, log_odds: Any, likelihood: Any, members: int, nodes: int, count: int
) -> None:
    """Write into `likelihood` the logarithm of that of all histories together, one a member.

    found: as `likely` has written it, and is changed; log_odds (nodes): of each node before
    anything is seen.
    """
    each, odds = carray(found, (members, count, nodes)), carray(log_odds, (nodes,))
    into = carray(likelihood, (members,))
    for m in range(members):
        total = 0.0
        for h in range(count):
            most = -1e300
            for n in range(nodes):
                each[m, h, n] += odds[n]
                most = max(most, each[m, h, n])
            mass = 0.0
            for n in range(nodes):
                mass += power(each[m, h, n] - most)
            total += most + log(mass)
        into[m] = total


_NUMBERS, _WHOLE, _COUNT, _NUMBER = (
    types.CPointer(types.float64), types.CPointer(types.int64), types.int64, types.float64,
)  # fmt: skip


def functions() -> list[Any]:
    """What is called from outside, compiled as functions of C."""
    given = [_NUMBERS] * 3 + [_WHOLE] * 3 + [_NUMBER] + [_NUMBERS] * 2 + [_COUNT] * 5
    return [
        cfunc(types.void(*given), **QUICK)(likely),
        cfunc(types.void(*[_NUMBERS] * 3, *[_COUNT] * 3), **QUICK)(averaged),
    ]
