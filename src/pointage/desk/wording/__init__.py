"""What a plan says, in words: made here for both faces, wherever a plan is shown.

In the language of the reader, with clock times in the zone that is asked for.
"""

from pointage.desk.wording.cautions import caution, cautions
from pointage.desk.wording.changed import difference_words
from pointage.desk.wording.conflicts import conflict_name, conflict_words
from pointage.desk.wording.flags import flag_words
from pointage.desk.wording.lists import all_of
from pointage.desk.wording.odds import is_likely, narrowed, odds_words
from pointage.desk.wording.pours import pour_label
from pointage.desk.wording.remarks import remark_words
from pointage.desk.wording.steps import note, title

__all__ = [
    "all_of",
    "caution",
    "cautions",
    "conflict_name",
    "conflict_words",
    "difference_words",
    "flag_words",
    "is_likely",
    "narrowed",
    "note",
    "odds_words",
    "pour_label",
    "remark_words",
    "title",
]
