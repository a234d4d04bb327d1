"""The plan of a layout on record against another of its revisions, or against one that
is only thought of.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any

import msgspec

from standage.questions.drawing_cases import OnSheet
from standage.questions.plan_compare import (
    MOST_TRAINS,
    PlanCompareCase,
    PlanOfTwo,
    on_record,
    reckon,
)
from standage.questions.plan_compare_answer import PlanCompareAnswer
from standage.questions.plan_compare_drawing import alteration_sheet
from standage.questions.plan_compare_roads import kept_road
from standage.questions.plan_drawing import OnePage, OnPaper, PaperQuery
from standage.questions.question import PLAN_BYTES, NeverWarns, OnRecord, always
from standage.questions.sources import Sources
from standage.railway.stock.couplings import CouplingKind
from standage.railway.terms.figures import says
from standage.railway.track.plans.plan import Plan
from standage.registry.records.reading import Listing
from standage.registry.records.revisions import MOST_NUMBER
from standage.shapes.decoding import convert
from standage.shapes.faults import Fault, Faulty, Ruled, moved
from standage.shapes.merge_patch import merged

Ids = Mapping[str, str]
MOST_FIELDS = 100
"""Of a plan: a patch with more names none of a plan's."""
_Number = Annotated[int, msgspec.Meta(ge=1, le=MOST_NUMBER)]


class WhichTwo(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which two plans are held against each other."""

    from_: Annotated[
        _Number | None, says("The revision before; the draft if not said.")
    ] = msgspec.field(default=None, name="from")
    to: Annotated[_Number | None, says("The one after; the draft if not said.")] = None


class WhichTwoDrawn(WhichTwo, frozen=True, kw_only=True):
    """Which two plans are drawn over each other, and on what paper."""

    paper: OnPaper = "a4"
    page: OnePage = None


class WhatIfRequest(Ruled, frozen=True, kw_only=True):
    """An alteration of a layout's draft, as a whole plan or as what changes of it."""

    plan: Annotated[Plan | None, says("The plan as it would be.")] = None
    patch: Annotated[
        Annotated[dict[str, Any], msgspec.Meta(max_length=MOST_FIELDS)] | None,
        says("A merge patch (RFC 7396) of the draft: a piece that is null goes."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """The one or the other."""
        if self.plan is None and self.patch is None:
            message = "give plan or patch: what is to be altered"
            yield Fault(code="missing", message=message, pointer="/patch")
        if self.plan is not None and self.patch is not None:
            message = "give plan or patch, not both"
            yield Fault(code="one_or_the_other", message=message, pointer="/patch")


def gather_two(sources: Sources, ids: Ids, which: WhichTwo) -> PlanCompareCase:
    """Return the case of two plans of one layout, with all trains of the club."""
    types = sources.couplings.types()
    layout_id = ids["layout_id"]
    before = sources.plans.known_of_layout(layout_id, which.from_)
    after = sources.plans.known_of_layout(layout_id, which.to)
    return _case(
        sources,
        layout_id,
        on_record(sources, before, types),
        on_record(sources, after, types),
        types,
    )


def gather_drawn(
    sources: Sources, ids: Ids, which: WhichTwoDrawn
) -> OnSheet[PlanCompareCase]:
    """Return the case of a sheet of two plans of one layout."""
    case = gather_two(sources, ids, which)
    return OnSheet(case=case, look=PaperQuery(paper=which.paper, page=which.page))


def gather_what_if(
    sources: Sources, ids: Ids, request: WhatIfRequest
) -> PlanCompareCase:
    """Return the case of a layout's draft against what is thought of; raises ``Faulty``
    where that is no plan.
    """
    types = sources.couplings.types()
    layout_id = ids["layout_id"]
    before = sources.plans.known_of_layout(layout_id)
    plan, pointer = _thought_of(sources, layout_id, request)
    after = sources.plans.given(plan, pointer)
    return _case(
        sources,
        layout_id,
        on_record(sources, before, types),
        on_record(sources, after, types, kept=False),
        types,
    )


def _thought_of(
    sources: Sources, layout_id: str, request: WhatIfRequest
) -> tuple[Plan, str]:
    if request.plan is not None:
        return request.plan, "/plan"
    draft = msgspec.to_builtins(sources.plans.draft_of_layout(layout_id))
    try:
        return convert(merged(draft, request.patch), Plan), "/patch"
    except Faulty as faulty:
        raise Faulty(list(_in_patch(faulty.faults))) from faulty


def _in_patch(faults: Iterable[Fault]) -> Iterator[Fault]:
    for fault in faults:
        yield moved(fault, "/patch")


def _case(
    sources: Sources,
    layout_id: str,
    before: PlanOfTwo,
    after: PlanOfTwo,
    types: tuple[CouplingKind, ...],
) -> PlanCompareCase:
    places = sources.places.layout_at(layout_id).places
    kept = tuple(kept_road(one.on_plan) for one in places if one.on_plan is not None)
    found = sources.trains.listed(Listing(limit=MOST_TRAINS + 1))
    trains = tuple(named for _, named in found)
    return PlanCompareCase(
        before=msgspec.structs.replace(before, kept=kept),
        after=msgspec.structs.replace(after, kept=kept),
        trains=trains[:MOST_TRAINS],
        types=types,
        more=len(trains) > MOST_TRAINS,
    )


_NEVER = NeverWarns("a plan warns of its track, and a train of its vehicles")
QUESTION = OnRecord(
    id="getLayoutPlanAlteration",
    at="/v1/layouts/{layout_id}/plan/compare",
    asks="What changes from one revision of this layout's plan to another?",
    tells=(
        "The track, the roads, and every verdict of every train of the club that turns."
    ),
    parameters=WhichTwo,
    answer=PlanCompareAnswer,
    gather=gather_two,
    reckon=reckon,
    heavy=always,
    example={"from": 1},
    refused={"from": 0},
    warns=_NEVER,
    others=(
        OnRecord(
            id="getLayoutPlanAlterationDrawing",
            at="/v1/layouts/{layout_id}/plan/compare/drawing",
            asks="Draw what changes from one revision of this layout's plan to another",
            tells="As of two plans that are given with the question.",
            parameters=WhichTwoDrawn,
            answer=str,
            gather=gather_drawn,
            reckon=alteration_sheet,
            heavy=always,
            example={"from": 1},
            refused={"paper": "a9"},
            warns=NeverWarns("a drawing says what is wrong beside it"),
        ),
        OnRecord(
            id="checkLayoutPlanAlteration",
            at="/v1/layouts/{layout_id}/plan/what-if",
            asks="What would an alteration of this layout's plan change?",
            tells="The draft as altered against the draft; nothing is saved.",
            body=WhatIfRequest,
            most_bytes=PLAN_BYTES,
            answer=PlanCompareAnswer,
            gather=gather_what_if,
            reckon=reckon,
            heavy=always,
            example={
                "patch": {"pieces": {"W": {"kind": "straight", "length_mm": 460}}}
            },
            refused={},
            warns=_NEVER,
        ),
    ),
)
