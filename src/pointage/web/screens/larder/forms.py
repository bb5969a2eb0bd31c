"""The forms of the larder. What is said in them the desk reads, as it does on a command line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pointage.bounds import PIECES_MADE
from pointage.desk.larder.told import KILOGRAM, PACK, WHOLE
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form

ALSO = "also"
PER = (Choice(WHOLE, "all of it"), Choice(PACK, "each pack"), Choice(KILOGRAM, "a kilogram"))


def _free(name: str, label: str, hint: str = "", kind: str = "text") -> Asked:
    return Asked(name, label, hint, kind=kind, needed=False)


def _choose(name: str, label: str, nothing: str, choices: Sequence[Choice]) -> Asked:
    return Asked(name, label, choices=(Choice("", nothing), *choices), needed=False)


def forms(
    formulas: Sequence[Choice] = (),
    lots: Sequence[Choice] = (),
    currency: str = "",
    today: str = "",
) -> Mapping[str, Form]:
    """Each by its name; to read one, nothing need be known of what can be chosen."""
    item = Asked("item", "What", among="items", needed=False)
    return {
        "buy": Form((
            item,
            _free("mass", "How much", "such as 25kg"),
            _free("packs", "Packs", "of that, if any", "numeric"),
            _free("price", "Price", currency, "decimal"),
            Asked("per", "for", choices=PER, usual=WHOLE),
            Asked("bought", "Bought on", kind="date", usual=today, needed=False),
            _free("best_before", "Best before", kind="date"),
            _free("supplier", "From whom"),
            _free("label", "Lot", "as the sack says"),
            _free("place", "Where it is kept"),
            _free("ash", "Ash", "% of dry matter, such as 0.62; or “0.53 as bought”"),
            _free("falling_number", "Falling number", "s", "numeric"),
            _free("protein", "Protein", "% as bought; or “13 dry”"),
            _free("moisture", "Moisture", "%", "decimal"),
            _free("absorption", "Absorption", "% water at 14 % moisture", "decimal"),
        )),
        "count": Form((
            item,
            _free("mass", "There is", "0g if none"),
            _choose("lot", "Of", "all of it together", lots),
        )),
        "use": Form((
            item,
            _free("mass", "How much"),
            _choose("lot", "Out of", "the oldest lot first", lots),
            _free("remark", "What for"),
        )),
        ALSO: Form((
            _choose("formula", "And if we baked", "nothing else", formulas),
            Asked("pieces", "pieces", read=PIECES_MADE.count, kind="numeric", needed=False),
        )),
    }  # fmt: skip
