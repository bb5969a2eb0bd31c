"""The labels of a kitchen's formulas."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pointage.daybook.store import Store
from pointage.desk.answers import NotThere
from pointage.desk.label import LabelAnswer, label_formula
from pointage.mixture.flours import Flours


class LabelDesk:
    """What the breads of one stored kitchen contain."""

    def __init__(self, store: Store, kitchen_id: str, flours: Callable[[], Flours]) -> None:
        """flours: the figures of the sacks in use."""
        self._store = store
        self._kitchen = kitchen_id
        self._flours = flours

    def label(
        self,
        slug: str,
        *,
        style: str,
        serving: str | None,
        loss: str | None,
        may_contain: Sequence[str],
    ) -> LabelAnswer:
        """The label of a formula, as desk/label.py says. Raises NotThere, InputError."""
        for each in self._store.formulas(self._kitchen):
            if each.slug == slug:
                return label_formula(
                    each.text,
                    f"{slug}.toml",
                    style=style,
                    serving=serving,
                    loss=loss,
                    may_contain=may_contain,
                    flours=self._flours(),
                )
        raise NotThere("formula", slug)
