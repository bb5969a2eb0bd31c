"""Masses, shares and counts as words: the desk's own."""

from pointage.desk.wording.amounts import apart as apart  # noqa: PLC0414
from pointage.desk.wording.amounts import count as count  # noqa: PLC0414
from pointage.desk.wording.amounts import grams as grams  # noqa: PLC0414
from pointage.desk.wording.amounts import length as length  # noqa: PLC0414
from pointage.desk.wording.amounts import lower_first as lower_first  # noqa: PLC0414
from pointage.desk.wording.amounts import mass as mass  # noqa: PLC0414
from pointage.desk.wording.amounts import percent as percent  # noqa: PLC0414
from pointage.desk.wording.amounts import upper_first as upper_first  # noqa: PLC0414
from pointage.desk.wording.amounts import warmth as warmth  # noqa: PLC0414
