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
    Touch,
    Working,
)
from pointage.web.pages.culture import (
    AdvicePage,
    CulturePage,
    Field,
    Table,
    TellForm,
)
from pointage.web.pages.cultures import (
    CultureNote,
    CulturesPage,
)
from pointage.web.pages.daybook import (
    DaybookLine,
    DaybookPage,
    DayOfLines,
    EntryPage,
    LogForm,
)
from pointage.web.pages.error import (
    ErrorPage,
)
from pointage.web.pages.flour import (
    FlourPage,
    TypeLine,
)
from pointage.web.pages.formula_book import (
    ImportPage,
    RevisionLine,
    RevisionsPage,
    SideBySidePage,
    WhatIfPage,
    WishForm,
)
from pointage.web.pages.formula_edit import (
    EditCell,
    EditColumn,
    EditPage,
    EditRow,
    Outcome,
    StageForm,
)
from pointage.web.pages.formulas import (
    FormulaLine,
    FormulaPage,
    FormulasPage,
    SheetLine,
    StageCard,
)
from pointage.web.pages.frame import (
    ConflictNote,
    Drawing,
    Frame,
    Moment,
    WorkBlock,
    WorkLine,
    WorkNow,
)
from pointage.web.pages.kitchen import (
    KitchenFilePage,
    KitchenPage,
    PlaceLogPage,
    Row,
    Section,
)
from pointage.web.pages.label import (
    LabelPage,
    ListedPart,
    PanelLine,
)
from pointage.web.pages.larder import (
    BuyLine,
    CostLine,
    HeardLine,
    LarderPage,
    OfferLine,
    PouredLine,
    ShoppingNote,
    ShoppingPage,
    StoreLine,
)
from pointage.web.pages.oven import (
    Asked,
    BakedAnswer,
    OvenPage,
)
from pointage.web.pages.past import (
    ChangedLine,
    ComparePage,
    PastPage,
    Picture,
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
    "AdvicePage",
    "AgendaLine",
    "Asked",
    "BakeNote",
    "BakedAnswer",
    "BenchPage",
    "BuyLine",
    "ChangedLine",
    "Choice",
    "Coming",
    "ComparePage",
    "ConflictNote",
    "CostLine",
    "CourseLine",
    "CultureNote",
    "CulturePage",
    "CulturesPage",
    "DayOfLines",
    "DayRow",
    "DaybookLine",
    "DaybookPage",
    "Dial",
    "Drawing",
    "EditCell",
    "EditColumn",
    "EditPage",
    "EditRow",
    "EntryPage",
    "ErrorPage",
    "Field",
    "FlourPage",
    "FormulaLine",
    "FormulaPage",
    "FormulasPage",
    "Frame",
    "HeardLine",
    "HeatLine",
    "ImportPage",
    "KitchenFilePage",
    "KitchenPage",
    "LabelPage",
    "LadderTable",
    "LarderPage",
    "LastDone",
    "ListedPart",
    "LogForm",
    "Moment",
    "OfferLine",
    "Outcome",
    "OvenPage",
    "Page",
    "PanelLine",
    "PastPage",
    "Picture",
    "PlaceLogPage",
    "PourRow",
    "PouredLine",
    "RevisionLine",
    "RevisionsPage",
    "Row",
    "Section",
    "SheetLine",
    "ShoppingNote",
    "ShoppingPage",
    "SideBySidePage",
    "StageCard",
    "StageForm",
    "StoreLine",
    "Table",
    "TellForm",
    "Touch",
    "TypeLine",
    "WaterPage",
    "WaterTerms",
    "WeekPage",
    "WhatIfPage",
    "WishForm",
    "WishPage",
    "WorkBlock",
    "WorkLine",
    "WorkNow",
    "Working",
]

Page = (
    BenchPage
    | WeekPage
    | WishPage
    | CulturesPage
    | CulturePage
    | AdvicePage
    | KitchenPage
    | KitchenFilePage
    | PlaceLogPage
    | FlourPage
    | FormulasPage
    | FormulaPage
    | EditPage
    | RevisionsPage
    | SideBySidePage
    | WhatIfPage
    | ImportPage
    | LabelPage
    | LarderPage
    | OvenPage
    | ShoppingPage
    | WaterPage
    | DaybookPage
    | PastPage
    | ComparePage
    | EntryPage
    | ErrorPage
)
