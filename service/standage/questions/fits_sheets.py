"""A table of trains against places as a sheet to print, and as one of rows."""

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Annotated, Literal

from standage.drawings.fits_sheets import (
    DrawnHead,
    DrawnPair,
    DrawnTable,
    table_pages,
)
from standage.exchange.sheets_out import Out, csv_text
from standage.questions.drawing_cases import as_answered, notes_of
from standage.questions.fits import (
    CUT_SHORT,
    QUESTION,
    FitsCase,
    gather,
    gather_layout,
    is_heavy,
    tabulated,
)
from standage.questions.fits_asked import FitsRequest
from standage.questions.plan_drawing import OnePage, on_paper
from standage.questions.question import (
    PLAN_BYTES,
    Drawing,
    NeverWarns,
    OnRecord,
)
from standage.questions.reckoning import or_a_plan, surveying
from standage.questions.sources import Sources
from standage.railway.terms.figures import says
from standage.shapes.faults import Ruled

_COLUMNS = (
    "train",
    "place",
    "verdict",
    "standing",
    "reaching",
    "spare_mm",
    "plus_minus_mm",
)


class TablePaper(Ruled, frozen=True, kw_only=True):
    """The paper of a table, and which page of it."""

    paper: Annotated[Literal["a4", "letter"], says("The paper.")] = "a4"
    page: OnePage = None


class FitsSheetCase(FitsCase, frozen=True, kw_only=True):
    """A table to be drawn, and on what."""

    look: TablePaper = TablePaper()


@surveying
def fits_sheet(case: FitsSheetCase) -> str:
    """Return the table as SVG; raises ``Faulty`` where there is no such page."""
    pages = table_pages(_drawn(case), case.look.paper)
    return on_paper(pages, case.look)


def _drawn(case: FitsCase) -> DrawnTable:
    found = tabulated(case)
    answer = found.answer
    pairs = [DrawnPair(one.verdict, one.reaching, one.spare_mm) for one in answer.cells]
    across = max(1, len(answer.places))
    rows = [
        tuple(pairs[first : first + across]) for first in range(0, len(pairs), across)
    ]
    trains = [
        DrawnHead(name=one.name, length_mm=one.length_mm) for one in answer.trains
    ]
    places = [
        DrawnHead(name=one.name, length_mm=one.usable_length_mm)
        for one in answer.places
    ]
    title = "Trains and places"
    if case.layout is not None:
        title = f"Trains on {case.layout}"
    return DrawnTable(
        title=title,
        trains=tuple(trains),
        places=tuple(places),
        pairs=tuple(rows),
        best=found.best,
        notes=tuple(dict.fromkeys(notes_of(answer))),
    )


@surveying
def fits_rows(case: FitsCase) -> str:
    """Return the table as text of a spreadsheet, a row for each pair."""
    return csv_text(_rows(case))


def _rows(case: FitsCase) -> Iterator[list[Out]]:
    found = tabulated(case)
    yield [*_COLUMNS, "best"]
    across = len(found.answer.places)
    for number, one in enumerate(found.answer.cells):
        train, place = divmod(number, across)
        best = "yes" if found.best[train] == place else None
        yield [*(getattr(one, name) for name in _COLUMNS), best]
    if case.cut:
        yield [CUT_SHORT]


def _with_look(case: FitsCase, look: TablePaper) -> FitsSheetCase:
    figures = {name: getattr(case, name) for name in FitsCase.__struct_fields__}
    return FitsSheetCase(**figures, look=look)


def _gather_sheet(
    sources: Sources, request: FitsRequest, look: TablePaper
) -> FitsSheetCase:
    return _with_look(gather(sources, request), look)


def _gather_layout_sheet(
    sources: Sources, ids: Mapping[str, str], look: TablePaper
) -> FitsSheetCase:
    return _with_look(gather_layout(sources, ids["layout_id"]), look)


def _gather_layout_rows(
    sources: Sources, ids: Mapping[str, str], _parameters: None
) -> FitsCase:
    return gather_layout(sources, ids["layout_id"])


_SENT = partial(
    Drawing,
    request=FitsRequest,
    heavy=or_a_plan(is_heavy),
    most_bytes=PLAN_BYTES,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
_ON_RECORD = partial(
    OnRecord,
    answer=str,
    heavy=or_a_plan(is_heavy),
    example={},
    warns=NeverWarns("a sheet writes down what the answer says"),
)
DRAWING = _SENT(
    id="drawFits",
    at="/v1/checks/fits/drawing",
    asks="Draw trains against places, to print",
    tells=(
        "The same request as for the answer. Trains down, places across, a sign for each"
        " verdict with the mm to spare, on as many pages as it takes."
    ),
    look=TablePaper,
    gather=_gather_sheet,
    draw=fits_sheet,
    others=(
        _SENT(
            id="writeFitsSheetCsv",
            at="/v1/checks/fits/sheet.csv",
            asks="Write trains against places as CSV",
            tells="The same request as for the answer. A row for each pair.",
            gather=as_answered(gather),
            draw=fits_rows,
            sheet="fits.csv",
        ),
        _ON_RECORD(
            id="getLayoutFitsDrawing",
            at="/v1/layouts/{layout_id}/fits/drawing",
            asks="Draw all our trains against all places of this layout",
            tells="The first 1000 trains by name, as for trains that are sent.",
            parameters=TablePaper,
            gather=_gather_layout_sheet,
            reckon=fits_sheet,
            refused={"paper": "a9"},
        ),
        _ON_RECORD(
            id="getLayoutFitsSheetCsv",
            at="/v1/layouts/{layout_id}/fits/sheet.csv",
            asks="Download all our trains against all places as CSV",
            tells="The first 1000 trains by name. A row for each pair.",
            gather=_gather_layout_rows,
            reckon=fits_rows,
            sheet="fits.csv",
        ),
    ),
)
