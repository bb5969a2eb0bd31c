"""The kitchen: what is in it, table by table, and its whole file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from pointage.web.forms.field import Choice
from pointage.web.frame import Drawing, Frame, Side
from pointage.web.screens.culture.page import RecordForm, Table


@dataclass(frozen=True, slots=True)
class Row:
    """One table of the file in a line, and the forms that change it and take it out."""

    name: str
    facts: str
    form: RecordForm
    remove: RecordForm | None
    more: Choice | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """All tables of one kind, and the form for a new one where there may be several."""

    title: str
    lead: str
    rows: tuple[Row, ...]
    new: RecordForm | None


@dataclass(frozen=True, slots=True)
class KitchenPage:
    """The kitchen, its longest section last. error: what a change would have made of it, where no
    field is to blame. undo: puts back what was just removed."""

    template: ClassVar[str] = "kitchen.html"
    frame: Frame
    name: str
    error: str
    sections: tuple[Section, ...]
    links: tuple[Choice, ...]
    undo: RecordForm | None = None


@dataclass(frozen=True, slots=True)
class KitchenFilePage:
    """The whole file, to read and to change, and the texts it has had.

    revision: of the text that the change is made from. both: what was kept meanwhile, and what was
    typed.
    """

    template: ClassVar[str] = "kitchen_file.html"
    frame: Frame
    text: str
    revision: str
    error: str
    texts: tuple[Choice, ...]
    both: tuple[Side, ...] = ()


@dataclass(frozen=True, slots=True)
class KitchenChangedPage:
    """A table that another has changed meanwhile, beside what was typed; form: to keep that.

    both: empty where the file cannot be read.
    """

    template: ClassVar[str] = "kitchen_changed.html"
    frame: Frame
    title: str
    error: str
    both: tuple[Side, ...]
    form: RecordForm


@dataclass(frozen=True, slots=True)
class PlaceLogPage:
    """A thermometer's log looked at for a place. taken: whether the place has its history now.

    revision: of the file in which the place was seen. both: the place as it was changed meanwhile,
    and as the log has it.
    """

    template: ClassVar[str] = "place_log.html"
    frame: Frame
    path: str
    place: str
    revision: str
    error: str
    facts: tuple[tuple[str, str], ...]
    troubles: tuple[str, ...]
    chart: Drawing | None
    hours: Table | None
    taken: bool
    both: tuple[Side, ...] = ()
