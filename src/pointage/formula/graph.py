"""Which stage goes into which: names found, loops refused, everything taken whole in the end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pointage.errors import At, Faults, InputError
from pointage.formula.formula import StageKind
from pointage.language import say
from pointage.quantities import print_number
from pointage.toml import nearest, place_of, row_of

Shares = dict[str, Fraction]


@dataclass(frozen=True, slots=True)
class Node:
    """A stage as the graph sees it: what it is, and what share it takes of which others."""

    name: str
    kind: StageKind
    parts_of: Mapping[str, Fraction]


def mixing_order(nodes: Sequence[Node], source: str) -> list[int]:
    """Indices of `nodes` with each stage after those it takes from, else as they are written.

    The dough comes after all but the additions. Raises InputError for a name that no stage has, for
    one that takes from the dough, and for a loop, which it names.
    """
    index = {node.name: i for i, node in enumerate(nodes)}
    faults = Faults()
    for i, node in enumerate(nodes):
        shown = row_of(source, "stage", i, node.name)
        for name in node.parts_of:
            here = At(shown, (*shown.path, "parts_of", name))
            late = _rank(nodes[index[name]].kind) if name in index else 0
            if name not in index:
                others = [each for each in index if each != node.name]
                expected = say("another stage, and there is none")
                if others:
                    expected = say("a stage, {known}", known=nearest(name, others))
                faults.found.append(InputError(here, repr(name), expected))
            elif late == 1 or (late == 2 and node.kind is not StageKind.DOUGH):
                expected = say("a stage made before the dough, or an old dough of the last batch")
                faults.found.append(InputError(here, repr(name), expected))
    faults.check()
    order: list[int] = []
    for i in range(len(nodes)):
        _visit(nodes, index, [i], order, source)
    return sorted(order, key=lambda i: _rank(nodes[i].kind))


def all_taken(nodes: Sequence[Node], source: str) -> list[Shares]:
    """What each of `nodes` takes, with what is left of every stage going into the dough.

    Raises InputError for a stage of which more than the whole is taken.
    """
    taken: Shares = {}
    for node in nodes:
        for name, share in node.parts_of.items():
            taken[name] = taken.get(name, Fraction()) + share
    faults = Faults()
    for i, name in enumerate(node.name for node in nodes):
        if (share := taken.get(name, Fraction())) > 1:
            given = say("{number} % of it taken", number=print_number(float(100 * share)))
            expected = say("at most 100 % in all")
            here = row_of(source, "stage", i, name)
            faults.found.append(InputError(here, given, expected))
    faults.check()
    found = [{name: share for name, share in node.parts_of.items() if share} for node in nodes]
    dough = next(i for i, node in enumerate(nodes) if node.kind is StageKind.DOUGH)
    for node in nodes:
        left = 1 - taken.get(node.name, Fraction())
        if node.kind is not StageKind.DOUGH and left:
            found[dough][node.name] = found[dough].get(node.name, Fraction()) + left
    return found


def _rank(kind: StageKind) -> int:
    """Before the dough, the dough, after it."""
    return (kind is StageKind.DOUGH) + 2 * (kind is StageKind.ADDITION)


def _visit(
    nodes: Sequence[Node], index: Mapping[str, int], path: list[int], order: list[int], source: str
) -> None:
    """Put the last stage of `path` in order, after all it takes from."""
    *before, i = path
    if i in before:
        loop = say(" takes from ").join(repr(nodes[each].name) for each in path[before.index(i) :])
        raise InputError(
            place_of(source, "stage"),
            loop,
            say("stages that do not take from each other in a circle"),
        )
    if i in order:
        return
    for name in nodes[i].parts_of:
        _visit(nodes, index, [*path, index[name]], order, source)
    order.append(i)
