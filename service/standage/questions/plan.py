"""What follows from a track plan: faults, circuits, roads with their usable lengths,
fouling points, and where it all lies.
"""

from typing import Annotated, Any, Literal

import msgspec

from standage.questions.asked import Vehicles
from standage.questions.plan_reasons import (
    assumed_of,
    gap_reasons,
    height_reasons,
    most,
    straight_reasons,
    taken_up,
    too_close_reasons,
    unknown_reasons,
    unmet_reasons,
    unplaced_reasons,
    untold_reasons,
)
from standage.questions.plan_report import (
    Poses,
    ToldCircuit,
    ToldFitted,
    ToldFootprint,
    ToldFouling,
    ToldOpenEnd,
    ToldPlace,
    ToldRoad,
    told_circuits,
    told_fitted,
    told_footprint,
    told_fouling,
    told_open_ends,
    told_places,
    told_poses,
    told_roads,
)
from standage.questions.question import PLAN_BYTES, NeverWarns, Question
from standage.questions.reckoning import MayBeExact, as_written, said_exact
from standage.questions.reckoning import is_large as is_large_plan
from standage.questions.sources import Sources
from standage.railway.passing.passers import passing_stock
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import says
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.track.fouling.spacings import LargestStock
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.plan_warnings import PlanWarning, plan_warnings
from standage.railway.track.survey.survey import Survey, survey
from standage.shapes.faults import Fault, Ruled

PlanVerdict = Literal["sound", "gaps", "faults", "cannot_tell"]


class PlanRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A track plan, and the stock that is to run on it."""

    plan: Annotated[Plan, says("The plan.")]
    stock: Annotated[
        Vehicles | None,
        says(
            "Vehicles that set how far apart curves must be; if not said, the largest"
            " that is usual in the scale."
        ),
    ] = None


class PlanCase(MayBeExact, frozen=True, kw_only=True):
    """All that an answer about a plan rests on; ``types`` are the club's couplings."""

    plan: Plan
    stock: tuple[Vehicle, ...] = ()
    types: tuple[CouplingKind, ...] = ()
    largest: tuple[LargestStock, ...] = ()
    """The club's worst, where nobody names stock."""
    faults: tuple[Fault, ...] = ()
    """What is wrong with what the plan names, before it is surveyed."""
    assumed: tuple[Assumed, ...] = ()


class PlanAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What follows from a plan: faults come before gaps, and gaps before what nobody
    can tell.

    Lengths that a plan's ``plus_minus`` makes doubtful bear a ``plus_minus_mm``; null
    where the plan counts as exact.
    """

    verdict: PlanVerdict
    faults: tuple[Fault, ...]
    circuits: tuple[ToldCircuit, ...]
    open_ends: tuple[ToldOpenEnd, ...]
    fitted: tuple[ToldFitted, ...]
    roads: tuple[ToldRoad, ...]
    fouling_points: tuple[ToldFouling, ...]
    places: tuple[ToldPlace, ...]
    poses: Annotated[
        Poses, says("By piece and end; a heading points out of the piece.")
    ]
    footprint: ToldFootprint | None
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
    warnings: tuple[PlanWarning, ...]


@as_written
def gather(sources: Sources, request: PlanRequest) -> PlanCase:
    """Return the case of a plan, with the vehicles on record resolved."""
    known = sources.plans.given(request.plan, "/plan")
    found = PlanCase(plan=known.plan, faults=known.faults, assumed=known.assumed)
    if request.stock is None:
        return found
    return msgspec.structs.replace(
        found,
        stock=sources.trains.vehicles(request.stock, "/stock"),
        types=sources.couplings.types(),
    )


def surveyed(case: PlanCase) -> Survey:
    """Return what follows from the plan of a case, for the stock that it names."""
    known = passing_stock(
        case.stock, scale=case.plan.scale, types=CouplingTypes(case.types)
    )
    passers = (one for each in known for one in each.passers(straight=False))
    largest = dict.fromkeys(
        LargestStock(
            length_mm=2 * one.half_length_mm,
            pivots_mm=one.pivots_mm,
            width_mm=one.width_mm,
        )
        for one in passers
    )
    return survey(case.plan, tuple(largest) or case.largest)


def reckon(case: PlanCase) -> PlanAnswer:
    """Return what follows from the plan of ``case``."""
    found = surveyed(case)
    faults = all_faults(case.faults, found)
    gaps = (*most(gap_reasons(found)), *most(height_reasons(found)))
    unknown = most(unknown_reasons(found))
    told = (
        *gaps,
        *unknown,
        *most(too_close_reasons(found)),
        *most(one for point in found.points for one in straight_reasons(point)),
        *most(taken_up(found)),
        *untold_reasons(found),
        *most(unplaced_reasons(found)),
        *most(unmet_reasons(found)),
    )
    return PlanAnswer(
        verdict=_verdict(faults, gaps=bool(gaps), unknown=bool(unknown)),
        faults=faults,
        circuits=told_circuits(found),
        open_ends=told_open_ends(found),
        fitted=told_fitted(found),
        roads=told_roads(found),
        fouling_points=tuple(
            told_fouling(found.network, found.plan, point) for point in found.points
        ),
        places=told_places(found),
        poses=told_poses(found),
        footprint=told_footprint(found),
        because=told,
        assumed=(*case.assumed, *assumed_of(found), *said_exact(case)),
        warnings=tuple(plan_warnings(found)),
    )


def all_faults(named: tuple[Fault, ...], found: Survey) -> tuple[Fault, ...]:
    """Return what is wrong with what a plan names, then all else; that a module's plan
    is not known is told once.
    """
    told = {_module_of(fault) for fault in named}
    others = (one for one in found.faults if not _tells_again(one, told))
    return (*named, *others)


def _tells_again(fault: Fault, told: set[str]) -> bool:
    is_of_a_module = (fault.pointer or "").startswith("/modules/")
    return is_of_a_module and fault.code == "missing" and _module_of(fault) in told


def _module_of(fault: Fault) -> str:
    return (fault.pointer or "").rpartition("/")[0]


def _verdict(faults: tuple[Fault, ...], *, gaps: bool, unknown: bool) -> PlanVerdict:
    if faults:
        return "faults"
    if gaps:
        return "gaps"
    if unknown:
        return "cannot_tell"
    return "sound"


def is_large(case: PlanCase) -> bool:
    """Tell whether a plan has so many pieces that it may take over 20 ms."""
    return is_large_plan(case.plan)


MALT_HOUSE: dict[str, Any] = {
    "name": "Malt house",
    "scale": "00",
    "pieces": {
        "W": {"kind": "straight", "length_mm": 400},
        "P1": {
            "kind": "points",
            "hand": "left",
            "lead_in_mm": 30,
            "radius_mm": 610,
            "angle_deg": 12,
            "through_after_blades_mm": 180,
            "branch_straight_mm": 95,
        },
        "M": {"kind": "straight", "length_mm": 900},
        "S": {"kind": "curve", "radius_mm": 610, "angle_deg": 12, "hand": "right"},
        "S2": {"kind": "straight", "length_mm": 640},
        "B": {"kind": "buffer_stop", "length_mm": 20},
    },
    "joins": [
        ["W.b", "P1.toe"],
        ["P1.through", "M.a"],
        ["P1.branch", "S.a"],
        ["S.b", "S2.a"],
        ["S2.b", "B.a"],
    ],
    "places": [{"name": "Malt siding", "kind": "siding", "on": ["S2"]}],
}
QUESTION = Question(
    id="checkPlan",
    at="/v1/checks/plan",
    asks="What follows from a track plan: roads, fouling points, gaps and faults?",
    tells=(
        "Every piece is laid from join to join and nothing is moved to close a circuit."
        " A plan with faults is answered all the same, with all of them at once."
    ),
    request=PlanRequest,
    answer=PlanAnswer,
    gather=gather,
    reckon=reckon,
    heavy=is_large,
    most_bytes=PLAN_BYTES,
    example={"plan": MALT_HOUSE},
    refused={"plan": MALT_HOUSE | {"pieces": {"W": {"kind": "strait"}}}},
    warns=NeverWarns("a plan warns of its track, and its figures have every size"),
)
