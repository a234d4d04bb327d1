"""Do the rails of a track plan meet the wrong way, and where do they want gaps?"""

from collections.abc import Iterable, Iterator
from typing import Annotated

import msgspec

from standage.questions.asked import AskedNamedTrain, AskedPlan
from standage.questions.example_stock import SMALL_COACH
from standage.questions.polarity_answer import (
    CAUTIONS,
    GapsSuffice,
    PolarityAnswer,
    PolarityVerdict,
    circuit_reasons,
    crossing_reasons,
    crossings_verdict,
    deck_reasons,
    fault_reasons,
    rail_reasons,
    smallest_reasons,
    taken_as_it_lies,
    told_count,
    told_smallest,
    too_long,
)
from standage.questions.question import PLAN_BYTES, Question, Shows, always
from standage.questions.reckoning import MayBeExact, as_written, warned
from standage.questions.resolving.trains import NamedTrain
from standage.questions.sources import Sources
from standage.railway.polarity.circuits import Circuits
from standage.railway.polarity.gapping import Gapping, smallest_gapping
from standage.railway.polarity.polarity import Polarity, polarity
from standage.railway.standing.bridging import bridging_of
from standage.railway.stock.coupled import coupled
from standage.railway.stock.couplings import CouplingKind, coupling_types
from standage.railway.stock.extents import lacking
from standage.railway.terms.figures import IdOrName, Length, says, tidy
from standage.railway.terms.reasons import Assumed, Guess, Reason, named_once, told
from standage.railway.terms.senses import ASIDE
from standage.railway.track.network.network import network
from standage.railway.track.placing.placing import placing
from standage.railway.track.plans.plan import Plan, Revision
from standage.railway.track.plans.plan_faults import plan_faults
from standage.railway.track.survey.merging import merged
from standage.railway.track.survey.survey import missing_plans
from standage.shapes.faults import MOST_FAULTS, Fault, Ruled

MOST_LENGTHS = 20
MOST_SEARCHES = 4
MOST_TRAINS = 40
_DUST_MM = 1e-6

Lengths = Annotated[tuple[Length, ...], msgspec.Meta(max_length=MOST_LENGTHS)]
Searches = Annotated[tuple[Length, ...], msgspec.Meta(max_length=MOST_SEARCHES)]
Trains = Annotated[tuple[AskedNamedTrain, ...], msgspec.Meta(max_length=MOST_TRAINS)]


class PolarityRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A track plan with its gaps and feeds, and what is to run over them."""

    plan: Annotated[
        Plan | None, says("The plan; needed unless layout_id is given.")
    ] = None
    layout_id: Annotated[
        IdOrName | None, says("A layout on record, instead of plan: its plan.")
    ] = None
    revision: Annotated[
        Revision | None, says("Which revision of that plan; its draft if not said.")
    ] = None
    bridging_mm: Annotated[
        Lengths,
        says(
            "Trains by how far they tie rails together: from the first axle with metal"
            " wheels or pick-ups to the last, in mm."
        ),
    ] = ()
    trains: Annotated[Trains, says("Trains, inline or on record.")] = ()
    smallest_for_mm: Annotated[
        Searches, says("Such lengths for which the fewest gaps are looked for, in mm.")
    ] = ()

    def rules(self) -> Iterable[Fault]:
        """Either a plan, or a layout on record with which revision of its plan."""
        if (self.plan is None) == (self.layout_id is None):
            message = "give plan, or a layout_id instead"
            yield Fault(
                code="one_or_the_other",
                message=message,
                pointer="/plan",
            )
        if self.revision is not None and self.layout_id is None:
            message = "says nothing without layout_id"
            yield Fault(
                code="contradiction",
                message=message,
                pointer="/revision",
            )


class PolarityCase(MayBeExact, frozen=True, kw_only=True):
    """All that the answer rests on; ``types`` are the club's couplings."""

    plan: Annotated[Plan, ASIDE]
    faults: tuple[Fault, ...] = ()
    """What is wrong with what the plan names."""
    assumed: tuple[Assumed, ...] = ()
    bridging_mm: tuple[float, ...] = ()
    trains: tuple[NamedTrain, ...] = ()
    smallest_for_mm: tuple[float, ...] = ()
    types: tuple[CouplingKind, ...] = ()


class _Tied(msgspec.Struct, frozen=True, kw_only=True):
    """Over what length something ties rails together, at least and at most."""

    name: str | None
    for_mm: float | None
    least_mm: float
    most_mm: float | None
    missing: tuple[Reason, ...] = ()
    guesses: tuple[Guess, ...] = ()


@as_written
def gather(sources: Sources, request: PolarityRequest) -> PolarityCase:
    """Return the case; raises ``Faulty`` for what is not on record."""
    pointers = [f"/trains/{number}" for number in range(len(request.trains))]
    trains = sources.trains.several(request.trains, pointers)
    if request.plan is not None:
        known = sources.plans.given(request.plan, "/plan")
    else:
        wanted = AskedPlan(layout_id=request.layout_id, revision=request.revision)
        known = sources.plans.asked(wanted, "")
    return PolarityCase(
        plan=known.plan,
        faults=known.faults,
        assumed=known.assumed,
        bridging_mm=request.bridging_mm,
        trains=trains,
        smallest_for_mm=request.smallest_for_mm,
        types=sources.couplings.types(),
    )


@warned
def reckon(case: PolarityCase) -> PolarityAnswer:
    """Return where the rails of the plan of ``case`` are joined, and what gaps do."""
    placed = placing(case.plan)
    fittings = merged(case.plan).plan.fittings
    found = polarity(network(placed.flat, placed.shapes), fittings)
    faults = _faults(case)
    tied = list(_tied(case))
    suffice = tuple(_suffices(one, found) for one in tied)
    smallest = [(mm, _smallest(found, mm)) for mm in case.smallest_for_mm]
    live = crossings_verdict(found.crossings)
    guesses = [guess for one in tied for guess in one.guesses]
    because = [
        *fault_reasons(faults),
        *rail_reasons(found),
        *_bridged(tied, suffice, found),
        *crossing_reasons(found.crossings),
        *(one for mm, gaps in smallest for one in smallest_reasons(mm, gaps)),
        *deck_reasons(found.metal),
        *circuit_reasons(found),
    ]
    reversing, others = _told(found.circuits)
    return PolarityAnswer(
        verdict=_verdict(found, faults, suffice, lacks_gaps=live == "gaps_needed"),
        faults=faults,
        shorted_at_rest=bool(found.joined_over),
        reversing_circuits=reversing,
        other_circuits=others,
        more_reversing=told_count(found.circuits.more_reversing),
        more_others=told_count(found.circuits.more_others),
        isolated_length_mm=_isolated_mm(found),
        gaps_suffice=suffice,
        smallest=tuple(told_smallest(mm, gaps) for mm, gaps in smallest),
        decks=found.metal.decks,
        crossings=live,
        crossing_gaps=found.crossings.gaps,
        switched_feeds=found.crossings.switched_feeds,
        because=named_once(because),
        assumed=(*case.assumed, *told(guesses), *taken_as_it_lies(found, fittings)),
        cautions=CAUTIONS,
    )


def _faults(case: PolarityCase) -> tuple[Fault, ...]:
    named = {(fault.pointer or "").rpartition("/")[0] for fault in case.faults}
    missing = [
        fault
        for fault in missing_plans(case.plan)
        if (fault.pointer or "").rpartition("/")[0] not in named
    ]
    return (*case.faults, *plan_faults(case.plan), *missing)[:MOST_FAULTS]


def _told(found: Circuits) -> tuple[tuple[tuple[str, ...], ...], ...]:
    reversing = tuple(one.pieces for one in found.told if one.exchanges_rails)
    others = tuple(one.pieces for one in found.told if not one.exchanges_rails)
    return reversing, others


def _isolated_mm(found: Polarity) -> float | None:
    if found.least is None or found.unknown:
        return None
    return tidy(found.least.length_mm)


def _smallest(found: Polarity, for_mm: float) -> Gapping:
    return smallest_gapping(found.metal, for_mm=for_mm)


def _tied(case: PolarityCase) -> Iterator[_Tied]:
    """Yield the lengths that are asked about, then those of the trains."""
    for for_mm in case.bridging_mm:
        yield _Tied(
            name=None,
            for_mm=for_mm,
            least_mm=for_mm,
            most_mm=for_mm,
        )
    types = coupling_types(case.types)
    for named in case.trains:
        bridging = bridging_of(coupled(named.train, types=types))
        most, least = bridging.most, bridging.least
        at_least_mm = max(0.0, least.known_mm - least.plus_minus_mm)
        at_most_mm: float | None = None
        if not most.missing:
            at_most_mm = most.known_mm + most.plus_minus_mm
        yield _Tied(
            name=named.name,
            for_mm=None if most.missing else tidy(most.known_mm),
            least_mm=at_least_mm,
            most_mm=at_most_mm,
            missing=lacking((*most.missing, *bridging.to_measure)),
            guesses=bridging.guesses,
        )


def _suffices(one: _Tied, found: Polarity) -> GapsSuffice:
    return GapsSuffice(
        for_mm=one.for_mm, train=one.name, suffice=_is_enough(one, found)
    )


def _is_enough(one: _Tied, found: Polarity) -> bool | None:
    if found.joined_over:
        return False
    if found.stopped:
        return None
    if found.least is None:
        return True
    free_mm = found.least.length_mm + _DUST_MM
    if one.most_mm is not None and one.most_mm <= free_mm:
        return True
    # a length that nobody knows makes it more free than it is counted here
    if found.unknown or one.least_mm <= free_mm:
        return None
    return False


def _bridged(
    tied: Iterable[_Tied], suffice: Iterable[GapsSuffice], found: Polarity
) -> Iterator[Reason]:
    """Yield the trains for which the gaps are not enough, or nobody can tell."""
    if found.least is None:
        return
    free_mm = found.least.length_mm
    for one, answer in zip(tied, suffice, strict=True):
        if answer.suffice is None:
            yield from one.missing
        elif not answer.suffice:
            name = one.name or "a train"
            yield too_long(name, one.for_mm or one.least_mm, free_mm)


def _verdict(
    found: Polarity,
    faults: tuple[Fault, ...],
    suffice: tuple[GapsSuffice, ...],
    *,
    lacks_gaps: bool,
) -> PolarityVerdict:
    if found.joined_over:
        return "shorted"
    too_short = any(one.suffice is False for one in suffice)
    if lacks_gaps or too_short or _isolated_mm(found) == 0:
        return "gaps_needed"
    unsure = any(one.suffice is None for one in suffice)
    if faults or found.stopped or found.unknown or unsure:
        return "cannot_tell"
    return "sound"


_HALT = {
    "kind": "points",
    "hand": "left",
    "toe_mm": 40,
    "through_mm": 190,
    "branch_mm": 195,
    "crossing": "live",
}
_TIP_LINE = {
    "name": "Clay tip line",
    "scale": "00",
    "pieces": {
        "B": {"kind": "buffer_stop"},
        "Works": {"kind": "track", "length_mm": 1400},
        "Neck": _HALT,
        "Round": {"kind": "track", "length_mm": 2600},
    },
    "joins": [
        ["B.a", "Works.a"],
        ["Works.b", "Neck.toe"],
        ["Neck.through", "Round.a"],
        ["Round.b", "Neck.branch"],
    ],
    "fittings": [
        {"kind": "gap", "piece": "Round", "at_mm": 0},
        {"kind": "gap", "piece": "Round", "at_mm": 2600},
        {"kind": "feed", "piece": "Works", "at_mm": 700},
        {"kind": "feed", "piece": "Round", "at_mm": 1300},
    ],
}
QUESTION = Question(
    id="checkPolarity",
    at="/v1/checks/polarity",
    asks="Do the rails of a track plan meet the wrong way?",
    tells=(
        "Every circuit of metal that brings the left rail back as the right one, how"
        " long a train the gaps allow, the fewest gaps for a length, and what live"
        " crossings need. Two rails, low voltage."
    ),
    request=PolarityRequest,
    answer=PolarityAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    most_bytes=PLAN_BYTES,
    example={"plan": _TIP_LINE, "bridging_mm": [860], "smallest_for_mm": [860]},
    refused={"bridging_mm": [860]},
    warns=Shows("unit", "length_mm", {"trains": [{"vehicles": [SMALL_COACH]}]}),
)
