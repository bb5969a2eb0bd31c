"""The family line of cultures: which came out of which."""

from __future__ import annotations

from collections.abc import Sequence

from pointage.culture.life import Life


def descendants(lives: Sequence[Life]) -> dict[str, tuple[str, ...]]:
    """The family line: each culture by name, with those that came out of it, the oldest first."""
    names = {name: life.name for life in lives for name in life.names}
    return {
        life.name: tuple(
            each.name
            for each in sorted(lives, key=lambda each: each.began)
            if each.origin is not None and names.get(each.origin, each.origin) == life.name
        )
        for life in lives
    }
