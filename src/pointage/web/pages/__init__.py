"""What each page prints: one frozen dataclass a page, and nothing in it that is not printed.

Text is ready to print: times are in the kitchen's zone, masses and temperatures have their units.
An `svg` is a finished drawing. A contract test renders every template from these alone and fails
on a field that no template uses.
"""

from __future__ import annotations

from pointage.web.pages.bench import (
    Action,
    BenchPage,
    Coming,
    CourseLine,
    LadderTable,
    LastDone,
    PourRow,
    Working,
)
from pointage.web.pages.cultures import (
    CultureNote,
    CulturesPage,
)
from pointage.web.pages.error import (
    ErrorPage,
)
from pointage.web.pages.flour import (
    FlourPage,
    TypeLine,
)
from pointage.web.pages.formulas import (
    FormulaLine,
    FormulaPage,
    FormulasPage,
    SheetLine,
)
from pointage.web.pages.frame import (
    ConflictNote,
    Drawing,
    Frame,
    Moment,
)
from pointage.web.pages.label import (
    LabelPage,
    ListedPart,
    PanelLine,
)
from pointage.web.pages.water import (
    Dial,
    HeatLine,
    WaterPage,
    WaterTerms,
)
from pointage.web.pages.week import (
    AgendaLine,
    BakeNote,
    Choice,
    DayRow,
    WeekPage,
    WishPage,
)

__all__ = [
    "Action",
    "AgendaLine",
    "BakeNote",
    "BenchPage",
    "Choice",
    "Coming",
    "ConflictNote",
    "CourseLine",
    "CultureNote",
    "CulturesPage",
    "DayRow",
    "Dial",
    "Drawing",
    "ErrorPage",
    "FlourPage",
    "FormulaLine",
    "FormulaPage",
    "FormulasPage",
    "Frame",
    "HeatLine",
    "LabelPage",
    "LadderTable",
    "LastDone",
    "ListedPart",
    "Moment",
    "Page",
    "PanelLine",
    "PourRow",
    "SheetLine",
    "TypeLine",
    "WaterPage",
    "WaterTerms",
    "WeekPage",
    "WishPage",
    "Working",
]

Page = (
    BenchPage
    | WeekPage
    | WishPage
    | CulturesPage
    | FlourPage
    | FormulasPage
    | FormulaPage
    | LabelPage
    | WaterPage
    | ErrorPage
)
