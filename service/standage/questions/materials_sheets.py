"""What a plan is made of as a sheet to print, and as one of rows."""

from collections.abc import Iterator
from functools import partial
from typing import Annotated, Any, Literal

import msgspec

from standage.drawings.material_sheets import (
    DrawnBar,
    DrawnMaterials,
    DrawnMaterialsLine,
    DrawnMaterialsPart,
    material_pages,
)
from standage.exchange.sheets_out import Out, csv_text
from standage.questions.materials import (
    QUESTION,
    MaterialsCase,
    MaterialsRequest,
    gather,
    is_heavy,
    reckon,
)
from standage.questions.materials_answer import MaterialsAnswer, ToldLine
from standage.questions.materials_on_record import (
    Ids,
    MaterialsOnRecord,
    WhichMaterials,
)
from standage.questions.materials_on_record import gather as gather_on_record
from standage.questions.plan_drawing import OnePage, on_paper
from standage.questions.question import (
    PLAN_BYTES,
    Drawing,
    NeverWarns,
    OnRecord,
)
from standage.questions.sources import Sources
from standage.railway.terms.figures import counted, millimetres, says
from standage.shapes.faults import Ruled

_COLUMNS: tuple[Out, ...] = (
    "module",
    "what",
    "message",
    "to_get",
    "to_get_mm",
    "laid",
    "laid_mm",
    "fixed",
    "fixed_mm",
    "pieces",
)
Paper = Annotated[Literal["a4", "letter"], says("The paper.")]


class MaterialsPaper(Ruled, frozen=True, kw_only=True):
    """The paper of a list of materials, and which page of it."""

    paper: Paper = "a4"
    page: OnePage = None


class WhichMaterialsSheet(
    WhichMaterials, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which plan is meant, by what it is counted, and on what paper."""

    paper: Paper = "a4"
    page: OnePage = None


class MaterialsSheetCase(msgspec.Struct, frozen=True, kw_only=True):
    """A list to be drawn, and on what."""

    materials: MaterialsCase
    look: MaterialsPaper


def materials_sheet(case: MaterialsSheetCase) -> str:
    """Return the list as SVG; raises ``Faulty`` where there is no such page."""
    answer = reckon(case.materials)
    title = f"Materials of {case.materials.plan.name or 'a track plan'}"
    return on_paper(material_pages(_drawn(answer, title), case.look.paper), case.look)


def _drawn(answer: MaterialsAnswer, title: str) -> DrawnMaterials:
    parts = [DrawnMaterialsPart(heading="All of it", lines=_lines(answer.lines))]
    for one in answer.modules:
        heading = "Between modules" if one.module is None else f"Of {one.module}"
        if one.lines:
            parts.append(DrawnMaterialsPart(heading=heading, lines=_lines(one.lines)))
    cutting = answer.cutting
    bars = [
        DrawnBar(
            times=one.times,
            cuts=tuple((cut.piece, cut.length_mm) for cut in one.cuts),
        )
        for one in cutting.lengths
    ]
    notes = [reason.message for reason in answer.because]
    if answer.underlay_to_get_m2:
        notes.append(f"underlay to get: {answer.underlay_to_get_m2:.2f} m²")
    many = counted(cutting.needed, "length")
    heading = f"Cut from {many} of {millimetres(cutting.stock_length_mm)}"
    return DrawnMaterials(
        title=title,
        parts=tuple(parts),
        cut_heading=heading,
        stock_length_mm=cutting.stock_length_mm,
        bars=tuple(bars),
        notes=tuple(notes),
        assumed=tuple(one.message for one in answer.assumed),
        cautions=answer.cautions,
    )


def _lines(lines: tuple[ToldLine, ...]) -> tuple[DrawnMaterialsLine, ...]:
    return tuple(
        DrawnMaterialsLine(
            name=one.message,
            to_get=one.planned.count,
            to_get_mm=one.planned.length_mm,
            laid=one.laid.count,
            fixed=one.fixed.count,
        )
        for one in lines
    )


def materials_rows(case: MaterialsCase) -> str:
    """Return the list as text of a spreadsheet; then its cuts, and what is assumed."""
    return csv_text(_rows(reckon(case)))


def _rows(answer: MaterialsAnswer) -> Iterator[list[Out]]:
    yield [*_COLUMNS]
    yield from (_row("all", one) for one in answer.lines)
    for module in answer.modules:
        name = module.module or "between modules"
        yield from (_row(name, one) for one in module.lines)
    for length in answer.cutting.lengths:
        cuts = [f"{cut.piece} {cut.length_mm:g}" for cut in length.cuts]
        what = f"left {length.left_mm:g} mm"
        stock_mm = answer.cutting.stock_length_mm
        row: list[Out] = ["", "cut", what, length.times, stock_mm]
        yield [*row, None, None, None, None, "; ".join(cuts)]
    told = (*(one.message for one in answer.because), *answer.cautions)
    taken = (one.message for one in answer.assumed)
    for what, messages in (("assumed", taken), ("note", told)):
        for message in messages:
            yield ["", what, message]


def _row(module: str, line: ToldLine) -> list[Out]:
    planned, laid, fixed = line.planned, line.laid, line.fixed
    return [
        module,
        line.what,
        line.message,
        planned.count,
        planned.length_mm,
        laid.count,
        laid.length_mm,
        fixed.count,
        fixed.length_mm,
        "; ".join(line.pieces),
    ]


def _gather_sheet(
    sources: Sources, request: MaterialsRequest, look: MaterialsPaper
) -> MaterialsSheetCase:
    return MaterialsSheetCase(materials=gather(sources, request), look=look)


def _gather_rows(
    sources: Sources, request: MaterialsRequest, _look: None
) -> MaterialsCase:
    return gather(sources, request)


def _gather_sheet_on_record(
    sources: Sources, ids: Ids, which: WhichMaterialsSheet
) -> MaterialsSheetCase:
    look = MaterialsPaper(paper=which.paper, page=which.page)
    found = gather_on_record(sources, ids, which)
    return MaterialsSheetCase(materials=found.case, look=look)


def _rows_on_record(found: MaterialsOnRecord) -> str:
    return materials_rows(found.case)


def _is_heavy(found: Any) -> bool:
    if isinstance(found, MaterialsOnRecord):
        return is_heavy(found.case)
    if isinstance(found, MaterialsSheetCase):
        return is_heavy(found.materials)
    return is_heavy(found)


_SENT = partial(
    Drawing,
    request=MaterialsRequest,
    heavy=_is_heavy,
    most_bytes=PLAN_BYTES,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
_DRAWN = partial(
    OnRecord,
    tells="As of a plan that is given with the question.",
    parameters=WhichMaterialsSheet,
    answer=str,
    gather=_gather_sheet_on_record,
    reckon=materials_sheet,
    heavy=_is_heavy,
    example={},
    refused={"paper": "a9"},
    warns=NeverWarns("a sheet writes down what the answer says"),
)
_WRITTEN = partial(
    OnRecord,
    tells="As of a plan that is given with the question.",
    parameters=WhichMaterials,
    answer=str,
    gather=gather_on_record,
    reckon=_rows_on_record,
    sheet="materials.csv",
    heavy=_is_heavy,
    example={},
    refused={"stock_length_mm": 0},
    warns=NeverWarns("a sheet writes down what the answer says"),
)
DRAWING = _SENT(
    id="drawMaterials",
    at="/v1/checks/materials/drawing",
    asks="Draw what a track plan is made of, to print",
    tells=(
        "The same request as for the answer. What is to be got, laid and fixed, and each"
        " length of track with its cuts."
    ),
    look=MaterialsPaper,
    gather=_gather_sheet,
    draw=materials_sheet,
    others=(
        _SENT(
            id="writeMaterialsSheetCsv",
            at="/v1/checks/materials/sheet.csv",
            asks="Write what a track plan is made of as CSV",
            tells="The same request as for the answer. A row for each line, and cut.",
            gather=_gather_rows,
            draw=materials_rows,
            sheet="materials.csv",
        ),
        _DRAWN(
            id="getLayoutPlanMaterialsDrawing",
            at="/v1/layouts/{layout_id}/plan/materials/drawing",
            asks="Draw what the plan of this layout is made of",
            who="visitors_too",
        ),
        _WRITTEN(
            id="getLayoutPlanMaterialsCsv",
            at="/v1/layouts/{layout_id}/plan/materials/sheet.csv",
            asks="Download what the plan of this layout is made of as CSV",
            who="visitors_too",
        ),
        _DRAWN(
            id="getModulePlanMaterialsDrawing",
            at="/v1/modules/{module_id}/plan/materials/drawing",
            asks="Draw what the plan of this module is made of",
        ),
        _WRITTEN(
            id="getModulePlanMaterialsCsv",
            at="/v1/modules/{module_id}/plan/materials/sheet.csv",
            asks="Download what the plan of this module is made of as CSV",
        ),
    ),
)
