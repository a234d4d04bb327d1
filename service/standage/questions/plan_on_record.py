"""The plan of a layout or of a module on record: what follows from it, and its drawing.

Where it gives no spacing of tracks, the club's own largest stock sets it. What was
reckoned of it is kept (``derived``) until the plan, a module's saved plan or that stock
is changed.
"""

from collections.abc import Mapping
from functools import partial
from typing import Annotated

import msgspec

from standage.questions import plan as plan_question
from standage.questions import plan_drawing
from standage.questions.derived import Key
from standage.questions.plan import PlanAnswer, PlanCase
from standage.questions.plan_drawing import PlanDrawingCase, PlanDrawingWanted
from standage.questions.question import NeverWarns, OnRecord
from standage.questions.resolving.plans import KnownPlan
from standage.questions.sources import Sources
from standage.railway.terms.figures import says
from standage.registry.records.revisions import MOST_NUMBER
from standage.shapes.faults import Fault, Faulty

Ids = Mapping[str, str]
Number = Annotated[
    Annotated[int, msgspec.Meta(ge=1, le=MOST_NUMBER)] | None,
    says("The revision, by its number; the draft if not said."),
]


class WhichPlan(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which plan is meant."""

    revision: Number = None


class WhichDrawing(PlanDrawingWanted, frozen=True, kw_only=True):
    """Which plan is meant, and what is to be drawn of it."""

    revision: Number = None


class PlanOnRecord(msgspec.Struct, frozen=True, kw_only=True):
    """The case of a plan on record, under what its answer is kept."""

    case: PlanCase
    key: Key


class DrawingOnRecord(msgspec.Struct, frozen=True, kw_only=True):
    """The case of a drawing of a plan on record, under what it is kept."""

    case: PlanDrawingCase
    key: Key


def known_at(sources: Sources, ids: Ids, revision: int | None) -> KnownPlan:
    """Return the plan of the layout or module that an address names."""
    if "layout_id" in ids:
        return sources.plans.known_of_layout(ids["layout_id"], revision)
    return sources.plans.known_of_module(ids["module_id"], revision)


def _case(sources: Sources, known: KnownPlan) -> PlanCase:
    types = sources.couplings.types()
    return PlanCase(
        plan=known.plan,
        largest=sources.plans.largest_stock_of(known.plan, types),
        faults=known.faults,
        assumed=known.assumed,
    )


def gather(sources: Sources, ids: Ids, which: WhichPlan) -> PlanOnRecord:
    """Return the case of a plan by the address that names it."""
    known = known_at(sources, ids, which.revision)
    case = _case(sources, known)
    key = known.key(sources.records.club_id, "check", case.largest)
    return PlanOnRecord(case=case, key=key)


def gather_drawing(sources: Sources, ids: Ids, which: WhichDrawing) -> DrawingOnRecord:
    """Return the case of a drawing by the address that names its plan."""
    known = known_at(sources, ids, which.revision)
    fields = PlanDrawingWanted.__struct_fields__
    wanted = PlanDrawingWanted(**{name: getattr(which, name) for name in fields})
    case = PlanDrawingCase(
        plan=_case(sources, known),
        wanted=wanted,
        revision="draft" if known.number is None else str(known.number),
        date=None if known.dated is None else f"{known.dated:%Y-%m-%d}",
    )
    inputs = (case.plan.largest, wanted, case.revision, case.date)
    key = known.key(sources.records.club_id, "drawing", inputs)
    return DrawingOnRecord(case=case, key=key)


def reckon(found: PlanOnRecord) -> PlanAnswer:
    """Return what follows from a plan on record."""
    return plan_question.reckon(found.case)


def draw(found: DrawingOnRecord) -> str:
    """Return the drawing of a plan on record; raises ``Faulty`` naming the parameter
    that asks for what it does not have.
    """
    try:
        return plan_drawing.plan_drawing(found.case)
    except Faulty as faulty:
        raise Faulty([_in_query(fault) for fault in faulty.faults]) from faulty


def _in_query(fault: Fault) -> Fault:
    name = (fault.pointer or "").removeprefix("/")
    return msgspec.structs.replace(
        fault,
        pointer=None,
        parameter=name,
    )


def _is_large(found: PlanOnRecord) -> bool:
    return plan_question.is_large(found.case)


def _is_large_drawing(found: DrawingOnRecord) -> bool:
    return plan_question.is_large(found.case.plan)


def _key_of(found: PlanOnRecord | DrawingOnRecord) -> Key:
    return found.key


_CHECK = partial(
    OnRecord,
    tells="As of a plan that is given with the question.",
    parameters=WhichPlan,
    answer=PlanAnswer,
    gather=gather,
    reckon=reckon,
    example={},
    refused={"revision": 0},
    heavy=_is_large,
    kept_under=_key_of,
    warns=NeverWarns("a plan warns of its track, and its figures have every size"),
)
_DRAWN = partial(
    OnRecord,
    tells="As of a plan that is given with the question.",
    parameters=WhichDrawing,
    answer=str,
    gather=gather_drawing,
    reckon=draw,
    example={},
    refused={"paper": "a9"},
    heavy=_is_large_drawing,
    kept_under=_key_of,
    warns=NeverWarns("a drawing says what is wrong beside it"),
)
QUESTION = _CHECK(
    id="checkLayoutPlan",
    at="/v1/layouts/{layout_id}/plan/check",
    asks="What follows from the plan of this layout?",
    who="visitors_too",
    others=(
        _DRAWN(
            id="getLayoutPlanDrawing",
            at="/v1/layouts/{layout_id}/plan/drawing",
            asks="Draw the plan of this layout",
            who="visitors_too",
        ),
        _CHECK(
            id="checkModulePlan",
            at="/v1/modules/{module_id}/plan/check",
            asks="What follows from the plan of this module?",
        ),
        _DRAWN(
            id="getModulePlanDrawing",
            at="/v1/modules/{module_id}/plan/drawing",
            asks="Draw the plan of this module",
        ),
    ),
)
