"""What a plan says, in words: made here for both faces, wherever a plan is shown.

In the language of the reader, with clock times in the zone that is asked for. Each word is loaded
when it is asked for: a forecast has its flags without the kitchen and its plans, which take longer.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pointage.desk.wording.changed import difference_words
    from pointage.desk.wording.conflicts import conflict_name, conflict_words
    from pointage.desk.wording.flags import flag_words
    from pointage.desk.wording.lists import all_of
    from pointage.desk.wording.odds import is_likely, narrowed, odds_words
    from pointage.desk.wording.pours import pour_label
    from pointage.desk.wording.remarks import remark_words
    from pointage.desk.wording.safety import caution, cautions
    from pointage.desk.wording.steps import fridge_note, note, title

__all__ = [
    "all_of",
    "caution",
    "cautions",
    "conflict_name",
    "conflict_words",
    "difference_words",
    "flag_words",
    "fridge_note",
    "is_likely",
    "narrowed",
    "note",
    "odds_words",
    "pour_label",
    "remark_words",
    "title",
]
_IN = {
    "all_of": "lists",
    "caution": "safety",
    "cautions": "safety",
    "difference_words": "changed",
    "conflict_name": "conflicts",
    "conflict_words": "conflicts",
    "flag_words": "flags",
    "fridge_note": "steps",
    "is_likely": "odds",
    "narrowed": "odds",
    "odds_words": "odds",
    "pour_label": "pours",
    "remark_words": "remarks",
    "note": "steps",
    "title": "steps",
}


def __getattr__(name: str) -> Any:
    if name not in _IN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_IN[name]}"), name)
