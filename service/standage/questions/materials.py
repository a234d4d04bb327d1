"""What is a track plan made of, what is still to be got, and how is track cut?"""

from collections.abc import Sequence
from typing import Annotated

import msgspec

from standage.questions.asked import AskedPlan
from standage.questions.materials_answer import (
    CAUTIONS,
    MaterialsAnswer,
    ModuleLines,
    told_cutting,
    told_lines,
)
from standage.questions.materials_words import (
    assumed,
    fault_reasons,
    reasons,
    twice_reasons,
)
from standage.questions.plan import MALT_HOUSE, all_faults
from standage.questions.question import PLAN_BYTES, NeverWarns, Question
from standage.questions.reckoning import is_large, warned
from standage.questions.resolving.plans import KnownPlan
from standage.questions.sources import Sources
from standage.railway.materials.counting import counted, cut_list, lines_of, to_get
from standage.railway.materials.goods import Good
from standage.railway.materials.rules import Rules, underlay_width
from standage.railway.terms.figures import LONGEST_MM, Length, Room, says, tidy
from standage.railway.terms.reasons import Assumed
from standage.railway.track.plans.flat import inner_plans
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import survey
from standage.shapes.faults import Fault, Ruled

_MM2_IN_A_M2 = 1_000_000
RULES = ("stock_length_mm", "saw_mm", "dropper_over_mm", "underlay_width_mm")
StockLengthMm = Annotated[
    Annotated[float, msgspec.Meta(ge=50, le=LONGEST_MM)] | None,
    says("How long track is as it is bought, in mm; 914 if not said."),
]
SawMm = Annotated[
    Annotated[float, msgspec.Meta(ge=0, le=20)] | None,
    says("What a cut takes, in mm; 1 if not said."),
]
DropperOverMm = Annotated[
    Room | None,
    says("A longer piece of plain track has wires of its own; 100 if not said."),
]
UnderlayWidthMm = Annotated[
    Length | None, says("How wide underlay is, in mm; 2.3 gauges if not said.")
]


class MaterialsRequest(Ruled, frozen=True, kw_only=True):
    """A track plan, and by what it is counted."""

    plan: Annotated[AskedPlan, says("The plan, given or on record.")]
    stock_length_mm: StockLengthMm = None
    saw_mm: SawMm = None
    dropper_over_mm: DropperOverMm = None
    underlay_width_mm: UnderlayWidthMm = None


class MaterialsCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that the answer rests on; ``said`` are the rules that somebody gave."""

    plan: Plan
    rules: Rules
    said: frozenset[str]
    faults: tuple[Fault, ...] = ()
    assumed: tuple[Assumed, ...] = ()


def gather(sources: Sources, request: MaterialsRequest) -> MaterialsCase:
    """Return the case of a plan; raises ``Faulty`` for what is not on record."""
    return case_of(sources.plans.asked(request.plan, "/plan"), request)


def case_of(known: KnownPlan, asked: msgspec.Struct) -> MaterialsCase:
    """Return the case of a plan, by the rules among what is asked."""
    given = {name: getattr(asked, name) for name in RULES}
    said = {name: value for name, value in given.items() if value is not None}
    usual = Rules(underlay_width_mm=underlay_width(_gauge_mm(known.plan)))
    return MaterialsCase(
        plan=known.plan,
        rules=msgspec.structs.replace(usual, **said),
        said=frozenset(said),
        faults=known.faults,
        assumed=known.assumed,
    )


@warned
def reckon(case: MaterialsCase) -> MaterialsAnswer:
    """Return what the plan of ``case`` is made of."""
    found = survey(case.plan)
    faults = all_faults(case.faults, found)
    whole = counted(found, case.rules)
    wanted = to_get(whole.goods)
    cuts = cut_list(wanted, case.rules)
    has_gauge = _gauge_mm(case.plan) is not None
    because = (
        *fault_reasons(faults),
        *reasons(whole, wanted, cuts, case.rules),
        *twice_reasons(_alike(case.plan)),
    )
    taken = assumed(whole.goods, case.rules, said=case.said, has_gauge=has_gauge)
    return MaterialsAnswer(
        verdict="cannot_tell" if faults or whole.unknown else "counted",
        lines=told_lines(lines_of(whole.goods)),
        modules=_by_module(case.plan, whole.goods),
        cutting=told_cutting(cuts, case.rules),
        underlay_to_get_m2=_area_m2(wanted, case.rules),
        not_known=whole.unknown,
        because=because,
        assumed=(*case.assumed, *taken),
        cautions=CAUTIONS,
    )


def _gauge_mm(plan: Plan) -> float | None:
    """Return the gauge of a plan, or that of all its modules where they agree."""
    if plan.laid_gauge_mm is not None:
        return plan.laid_gauge_mm
    gauges_mm = {inner.laid_gauge_mm for _, inner in inner_plans(plan)}
    return gauges_mm.pop() if len(gauges_mm) == 1 else None


def _by_module(plan: Plan, goods: Sequence[Good]) -> tuple[ModuleLines, ...]:
    if not plan.modules:
        return ()
    of: dict[str, list[Good]] = {"": [], **{name: [] for name in plan.modules}}
    for one in goods:
        of[one.module].append(one)
    return tuple(
        ModuleLines(module=name or None, lines=told_lines(lines_of(own)))
        for name, own in of.items()
    )


def is_heavy(case: MaterialsCase) -> bool:
    """Tell whether a plan has so many pieces that it may take over 20 ms."""
    return is_large(case.plan)


def _area_m2(goods: Sequence[Good], rules: Rules) -> float | None:
    if rules.underlay_width_mm is None:
        return None
    beneath = (one for one in goods if one.what == "underlay")
    long_mm = sum(one.length_mm or 0.0 for one in beneath)
    return tidy(long_mm * rules.underlay_width_mm / _MM2_IN_A_M2)


def _alike(plan: Plan) -> dict[str, list[str]]:
    """Return the modules of a plan by what they are on record."""
    alike: dict[str, list[str]] = {}
    for name, module in plan.modules.items():
        if module.module_id is not None:
            alike.setdefault(module.module_id, []).append(name)
    return alike


QUESTION = Question(
    id="checkMaterials",
    at="/v1/checks/materials",
    asks="What is a track plan made of, and how is its track cut?",
    tells=(
        "Track, points, joiners, wires and underlay, laid or still to be got, with a cut"
        " list from lengths of track; whatever is assumed is said. Track whose length"
        " nobody knows is named."
    ),
    request=MaterialsRequest,
    answer=MaterialsAnswer,
    gather=gather,
    reckon=reckon,
    heavy=is_heavy,
    most_bytes=PLAN_BYTES,
    example={"plan": MALT_HOUSE, "stock_length_mm": 914},
    refused={"plan": MALT_HOUSE, "stock_length_mm": 0},
    warns=NeverWarns("what track is cut from, and how, has every size"),
)
