"""A track plan as a drawing, true to scale; a plan with faults as far as it goes.

``PlanDrawingWanted`` is what is to be drawn and on what: its fields go beside a plan that
is sent, or stand in the address of one on record.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Literal, Protocol

import msgspec

from standage.drawings.plans.edge_labels import EdgeLabel, label_pages
from standage.drawings.plans.gradient_profiles import profile_pages
from standage.drawings.plans.looks import Look, TrackStyle
from standage.drawings.plans.place_sheets import place_pages
from standage.drawings.plans.plan_sheets import plan_sheet
from standage.drawings.plans.road_strips import Strips, strip_pages
from standage.drawings.plans.roads_drawn import StraightRoad, road_names, straight_road
from standage.drawings.plans.sheets import Pages, PaperName
from standage.drawings.plans.spots_on_track import USUAL_GAUGE_MM
from standage.drawings.plans.template_pages import template_pages
from standage.drawings.plans.train_stands import EMPTY, OnTheRoad, stood_train
from standage.questions import plan as plan_question
from standage.questions.asked import AskedTrain, Vehicles
from standage.questions.plan import (
    MALT_HOUSE,
    PlanCase,
    PlanRequest,
    is_large,
    surveyed,
)
from standage.questions.question import PLAN_BYTES, Drawing
from standage.questions.reckoning import MayBeExact, as_written
from standage.questions.sources import Sources
from standage.railway.stock.coupled import coupled
from standage.railway.stock.couplings import CouplingKind, coupling_types
from standage.railway.stock.trains import Train
from standage.railway.terms.figures import Name, says
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import Survey
from standage.shapes.faults import Fault, Faulty, Ruled

MOST_PAGES = 10_000
MOST_LABELS = 500
PlanDrawingKind = Literal["plan", "pages", "place", "strip", "profile", "labels"]
_OF_A_ROAD = frozenset({"place", "strip", "profile"})
_WITH_A_TRAIN = frozenset({"place", "strip"})


class EdgeLabelFigures(Ruled, frozen=True, kw_only=True):
    """What a label says."""

    road: Annotated[Name, says("The road, as people call it.")]
    stands: Annotated[Name | None, says("What stands there.")] = None


WhatToDraw = Annotated[
    PlanDrawingKind,
    says(
        "The plan to a round scale; pages at 1:1 that join; a place as it lies with a"
        " train in it; a road straightened; its gradients; labels for the board's edge."
    ),
]
OnPaper = Annotated[PaperName, says("The paper; a phone's has no end.")]
HowTrack = Annotated[TrackStyle, says("How track is drawn.")]
WhichRoad = Annotated[
    Name | None,
    says("Of a place, a strip and a profile: the place or the road, by its name."),
]
OneIn = Annotated[
    Annotated[float, msgspec.Meta(ge=1, le=1000)] | None,
    says("Of a strip: drawn one in so many; across the paper if not said."),
]
OnePage = Annotated[
    Annotated[int, msgspec.Meta(ge=1, le=MOST_PAGES)] | None,
    says("One page alone, counted from 1; if not said, all below each other."),
]


class PaperQuery(Ruled, frozen=True, kw_only=True):
    """The paper of a sheet, and which page of it."""

    paper: OnPaper = "a4"
    page: OnePage = None


class PlanDrawingWanted(Ruled, frozen=True, kw_only=True):
    """What is to be drawn of a plan, and on what paper."""

    drawing: WhatToDraw = "plan"
    paper: OnPaper = "a4"
    track: HowTrack = "plain"
    road: WhichRoad = None
    one_in: OneIn = None
    page: OnePage = None

    def rules(self) -> Iterable[Fault]:
        """What is asked for goes together."""
        yield from _amiss(self)


class PlanDrawingRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A plan, and what is to be drawn of it."""

    drawing: WhatToDraw = "plan"
    paper: OnPaper = "a4"
    track: HowTrack = "plain"
    road: WhichRoad = None
    one_in: OneIn = None
    page: OnePage = None
    plan: Annotated[Plan, says("The plan.")]
    stock: Annotated[
        Vehicles | None,
        says("Vehicles that set how far apart curves must be, as for the plan."),
    ] = None
    train: Annotated[AskedTrain | None, says("The train that stands on the road.")] = (
        None
    )
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
        """What is asked for goes together, and what is sent goes with it."""
        yield from _amiss(self.wanted)
        if self.labels and self.drawing != "labels":
            message = "only a sheet of labels bears labels: ask to draw labels"
            yield Fault(code="contradiction", message=message, pointer="/labels")
        if self.train is not None and self.drawing not in _WITH_A_TRAIN:
            message = "a train is drawn in a place or above a strip: ask for either"
            yield Fault(code="contradiction", message=message, pointer="/train")


def _amiss(wanted: PlanDrawingWanted) -> Iterable[Fault]:
    kind = wanted.drawing
    if kind in _OF_A_ROAD and wanted.road is None:
        message = "road is missing: which road or place is to be drawn?"
        yield Fault(code="missing", message=message, pointer="/road")
    if kind not in _OF_A_ROAD and wanted.road is not None:
        message = "only a place, a strip and a profile are of one road"
        yield Fault(code="contradiction", message=message, pointer="/road")
    if kind != "strip" and wanted.one_in is not None:
        message = "only a strip is drawn to the scale that you say"
        yield Fault(code="contradiction", message=message, pointer="/one_in")
    if kind == "pages" and wanted.paper == "phone":
        message = "pages at 1:1 are printed: choose a4 or letter"
        yield Fault(code="contradiction", message=message, pointer="/paper")


class PlanDrawingCase(MayBeExact, frozen=True, kw_only=True):
    """All that a drawing rests on."""

    plan: PlanCase
    wanted: PlanDrawingWanted
    train: Train | None = None
    types: tuple[CouplingKind, ...] = ()
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
    train = None
    if request.train is not None:
        train = sources.trains.of(request.train, "/train")
    return PlanDrawingCase(
        plan=plan_question.gather(sources, asked),
        wanted=request.wanted,
        train=train,
        types=() if train is None else sources.couplings.types(),
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


class WhichPage(Protocol):
    """What asks for a page of a sheet."""

    @property
    def page(self) -> int | None:
        """The page alone; None for all."""


def on_paper(pages: Pages, look: WhichPage) -> str:
    """Return the page that is asked for, or all, as SVG; raises ``Faulty`` where there
    is no such.
    """
    page = look.page
    if page is not None and page > pages.count:
        message = f"the last page is {pages.count}"
        raise Faulty([Fault(code="too_large", message=message, parameter="page")])
    return pages.written(page)


def _plan(found: Survey, case: PlanDrawingCase) -> Pages:
    return plan_sheet(found, case.look)


def _labels(found: Survey, case: PlanDrawingCase) -> Pages:
    labels = [EdgeLabel(road=one.road, stands=one.stands or "") for one in case.labels]
    return label_pages(found, case.look, labels)


def _pages(found: Survey, case: PlanDrawingCase) -> Pages:
    return template_pages(found, case.look)


def _place(found: Survey, case: PlanDrawingCase) -> Pages:
    road = _road(found, case)
    drawn = place_pages(found, case.look, road, _stood(found, case, road))
    # Without a shape there is only its length to be drawn along.
    return drawn or _strip(found, case)


def _strip(found: Survey, case: PlanDrawingCase) -> Pages:
    road = _road(found, case)
    strips = Strips(
        roads=(road,), one_in=case.wanted.one_in, on_it=_stood(found, case, road)
    )
    return strip_pages(found, case.look, strips)


def _profile(found: Survey, case: PlanDrawingCase) -> Pages:
    return profile_pages(found, case.look, _road(found, case))


def _road(found: Survey, case: PlanDrawingCase) -> StraightRoad:
    """Return the road that is asked for; raises ``Faulty`` where there is no such."""
    name = case.wanted.road or ""
    road = straight_road(found, name)
    if road is None:
        hint = did_you_mean(NearNames(road_names(found)).near(name))
        message = f"there is no road or place {name}{hint}"
        raise Faulty([Fault(code="unknown_road", message=message, pointer="/road")])
    return road


def _stood(found: Survey, case: PlanDrawingCase, road: StraightRoad) -> OnTheRoad:
    """Return the train on its road, or why it cannot be drawn there."""
    from_mm, usable_mm = road.usable_from_mm, road.usable_mm
    if case.train is None:
        return EMPTY
    if from_mm is None or usable_mm is None:
        return OnTheRoad(
            notes=(f"{road.name}: how much of it can be used is not known",)
        )
    train = coupled(case.train, types=coupling_types(case.types))
    return stood_train(
        train,
        usable_from_mm=from_mm,
        usable_mm=usable_mm,
        gauge_mm=found.plan.laid_gauge_mm or USUAL_GAUGE_MM,
    )


_DRAWN: Mapping[PlanDrawingKind, Callable[[Survey, PlanDrawingCase], Pages]] = {
    "plan": _plan,
    "pages": _pages,
    "place": _place,
    "strip": _strip,
    "profile": _profile,
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
