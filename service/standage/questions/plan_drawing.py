"""A track plan as a drawing, true to scale; a plan with faults as far as it goes.

``PlanDrawingWanted`` is what is to be drawn and on what: its fields go beside a plan that
is sent, or stand in the address of one on record.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Literal

import msgspec

from standage.drawings.plans.edge_labels import EdgeLabel, label_pages
from standage.drawings.plans.looks import Look, TrackStyle
from standage.drawings.plans.plan_sheets import plan_sheet
from standage.drawings.plans.sheets import Pages, PaperName
from standage.questions import plan as plan_question
from standage.questions.asked import Vehicles
from standage.questions.exactness import MayBeExact, as_written
from standage.questions.plan import (
    MALT_HOUSE,
    PLAN_BYTES,
    PlanCase,
    PlanRequest,
    is_large,
    surveyed,
)
from standage.questions.question import Drawing
from standage.questions.sources import Sources
from standage.railway.terms.figures import Name, says
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import Survey
from standage.shapes.faults import Fault, Faulty, Ruled

MOST_PAGES = 10_000
MOST_LABELS = 500
PlanDrawingKind = Literal["plan", "labels"]


class EdgeLabelFigures(Ruled, frozen=True, kw_only=True):
    """What a label says."""

    road: Annotated[Name, says("The road, as people call it.")]
    stands: Annotated[Name | None, says("What stands there.")] = None


WhatToDraw = Annotated[
    PlanDrawingKind, says("The plan to a round scale, or labels for the board's edge.")
]
OnPaper = Annotated[PaperName, says("The paper; a phone's has no end.")]
HowTrack = Annotated[TrackStyle, says("How track is drawn.")]
OnePage = Annotated[
    Annotated[int, msgspec.Meta(ge=1, le=MOST_PAGES)] | None,
    says("One page alone, counted from 1; if not said, all below each other."),
]


class PlanDrawingWanted(Ruled, frozen=True, kw_only=True):
    """What is to be drawn of a plan, and on what paper."""

    drawing: WhatToDraw = "plan"
    paper: OnPaper = "a4"
    track: HowTrack = "plain"
    page: OnePage = None


class PlanDrawingRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A plan, and what is to be drawn of it."""

    drawing: WhatToDraw = "plan"
    paper: OnPaper = "a4"
    track: HowTrack = "plain"
    page: OnePage = None
    plan: Annotated[Plan, says("The plan.")]
    stock: Annotated[
        Vehicles | None,
        says("Vehicles that set how far apart curves must be, as for the plan."),
    ] = None
    revision: Annotated[Name | None, says("For the title block.")] = None
    date: Annotated[Name | None, says("For the title block, as it is to read.")] = None
    labels: Annotated[
        Annotated[tuple[EdgeLabelFigures, ...], msgspec.Meta(max_length=MOST_LABELS)],
        says("What labels say; if none is given, each road by its name."),
    ] = ()

    @property
    def wanted(self) -> PlanDrawingWanted:
        """What is to be drawn, without what is sent for it."""
        fields = PlanDrawingWanted.__struct_fields__
        return PlanDrawingWanted(**{name: getattr(self, name) for name in fields})

    def rules(self) -> Iterable[Fault]:
        """Only a sheet of labels bears labels."""
        if self.labels and self.drawing != "labels":
            message = "only a sheet of labels bears labels: ask to draw labels"
            yield Fault(code="contradiction", message=message, pointer="/labels")


class PlanDrawingCase(MayBeExact, frozen=True, kw_only=True):
    """All that a drawing rests on."""

    plan: PlanCase
    wanted: PlanDrawingWanted
    revision: str | None = None
    date: str | None = None
    labels: tuple[EdgeLabelFigures, ...] = ()

    @property
    def look(self) -> Look:
        """How the drawing is to look."""
        return Look(
            paper=self.wanted.paper,
            track=self.wanted.track,
            revision=self.revision,
            dated=self.date,
        )


@as_written
def gather(sources: Sources, request: PlanDrawingRequest) -> PlanDrawingCase:
    """Return the case of a plan that is sent, with what is on record resolved."""
    asked = PlanRequest(plan=request.plan, stock=request.stock)
    return PlanDrawingCase(
        plan=plan_question.gather(sources, asked),
        wanted=request.wanted,
        revision=request.revision,
        date=request.date,
        labels=request.labels,
    )


def plan_drawing(case: PlanDrawingCase) -> str:
    """Return the drawing of a case as SVG; raises ``Faulty`` for a page that it does
    not have.
    """
    found = surveyed(case.plan)
    pages = _DRAWN[case.wanted.drawing](found, case)
    page = case.wanted.page
    if page is not None and page > pages.count:
        message = f"the last page is {pages.count}"
        raise Faulty([Fault(code="too_large", message=message, pointer="/page")])
    return pages.written(page)


def _plan(found: Survey, case: PlanDrawingCase) -> Pages:
    return plan_sheet(found, case.look)


def _labels(found: Survey, case: PlanDrawingCase) -> Pages:
    labels = [EdgeLabel(road=one.road, stands=one.stands or "") for one in case.labels]
    return label_pages(found, case.look, labels)


_DRAWN: Mapping[PlanDrawingKind, Callable[[Survey, PlanDrawingCase], Pages]] = {
    "plan": _plan,
    "labels": _labels,
}


def _gather(
    sources: Sources, request: PlanDrawingRequest, _look: None
) -> PlanDrawingCase:
    return gather(sources, request)


def _is_large(case: PlanDrawingCase) -> bool:
    return is_large(case.plan)


DRAWING = Drawing(
    id="drawPlan",
    at="/v1/checks/plan/drawing",
    asks="Draw a track plan true to scale",
    tells=(
        "Track with its points and roads by name, grey where trains may stand, with"
        " fouling marks, fittings, boards and a bar to measure by; what is wrong stands"
        " beside its piece. A browser prints it at 100 %."
    ),
    request=PlanDrawingRequest,
    gather=_gather,
    draw=plan_drawing,
    heavy=_is_large,
    most_bytes=PLAN_BYTES,
    example={"plan": MALT_HOUSE, "revision": "3", "date": "1 May"},
    refused={"plan": MALT_HOUSE, "labels": [{"road": "Malt siding"}]},
)
