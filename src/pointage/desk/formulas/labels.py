"""The labels of a kitchen's formulas."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from pointage.desk.formulas.label import LabelAnswer, label
from pointage.desk.now.present import Present


class LabelDesk:
    """What the breads of one stored kitchen contain."""

    def __init__(self, present: Callable[[], Present]) -> None:
        self._present = present

    def label(
        self,
        slug: str,
        *,
        style: str,
        serving: str | None,
        loss: str | None,
        may_contain: Sequence[str],
    ) -> LabelAnswer:
        """The label of a formula, as desk/formulas/label.py says. Raises NotThere, InputError."""
        present = self._present()
        return label(
            present.formula(slug),
            style=style,
            serving=serving,
            loss=loss,
            may_contain=may_contain,
            flours=present.flours,
        )
