"""The ground of a question about moves: a plan, given here or on record, what stands on
it and what is shut, and the places that are named.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Annotated, NamedTuple

import msgspec
from msgspec import Meta

from standage.questions.asked import AskedPlan
from standage.questions.plan import PlanCase, all_faults, surveyed
from standage.questions.reckoning import MayBeExact
from standage.questions.resolving.plans import KnownPlan
from standage.questions.sources import Sources
from standage.railway.moves.ground import Ground, Span, ground
from standage.railway.moves.standing import Stand
from standage.railway.moves.stretches import amiss, spans_of, stand_between, stand_on
from standage.railway.moves.wanted import End
from standage.railway.roads.plan_roads import road_names, roads_called
from standage.railway.terms.figures import IdOrName, Name, Room, cut, listed, says
from standage.railway.terms.reasons import Reason
from standage.railway.terms.senses import ASIDE
from standage.railway.track.network.network import Course, Network
from standage.railway.track.plans.flat import End as PieceEnd
from standage.railway.track.plans.flat import end_of
from standage.railway.track.plans.near_names import NearNames, did_you_mean
from standage.railway.track.plans.plan import (
    AnyName,
    LegName,
    Plan,
    Revision,
    Stretch,
)
from standage.railway.track.survey.survey import Survey
from standage.shapes.faults import Fault, Faulty, Ruled, escaped

MOST_STRETCHES = 200
MOST_TOLD = 5
"""So many faults and pieces are named."""
OF_THE_TRACK = ("/pieces", "/joins", "/modules", "/module_joins")
"""Where a plan's faults are because of which no move on it can be told."""
_LONGEST_MESSAGE = 200
_NO_LEG = "none"


class NamedStretch(Ruled, frozen=True, kw_only=True):
    """Track by what is on it, or by what it is called."""

    name: Annotated[Name, says("What it is called in the answer.")]
    stretch: Annotated[
        Annotated[tuple[Stretch, ...], Meta(min_length=1, max_length=MOST_STRETCHES)],
        says("The track."),
    ]


Stretches = Annotated[tuple[NamedStretch, ...], Meta(max_length=MOST_STRETCHES)]


class MovesRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A plan, given here or on record, with what stands on it and what is shut."""

    plan: Annotated[
        Plan | None, says("The plan; needed unless layout_id is given.")
    ] = None
    layout_id: Annotated[
        IdOrName | None, says("A layout on record, instead of a plan: its plan.")
    ] = None
    revision: Annotated[
        Revision | None, says("Which revision of that plan; its draft if not said.")
    ] = None
    standing: Annotated[
        Stretches, says("Other stock, which stays where it stands.")
    ] = ()
    out_of_use: Annotated[
        Annotated[dict[AnyName, LegName], Meta(max_length=MOST_STRETCHES)],
        says(
            "Points that are not thrown: the leg for which each lies, or none for"
            " neither."
        ),
    ] = msgspec.field(default_factory=dict)
    no_propelling: Annotated[
        Stretches, says("Where no train moves with its engine at the rear.")
    ] = ()
    margin_mm: Annotated[
        Room, says("How far a train goes past blades before they are thrown, in mm.")
    ] = 0.0

    def rules(self) -> Iterable[Fault]:
        """Either a plan, or a layout on record; only that has revisions."""
        if self.plan is None and self.layout_id is None:
            message = "plan is missing: give it, or layout_id"
            yield Fault(code="missing", message=message, pointer="/plan")
        if self.plan is not None and self.layout_id is not None:
            message = "cannot be given beside plan: leave one of them out"
            yield Fault(code="one_or_the_other", message=message, pointer="/layout_id")
        if self.revision is not None and self.layout_id is None:
            message = "says nothing without layout_id"
            yield Fault(code="contradiction", message=message, pointer="/revision")


class MovesGround(msgspec.Struct, frozen=True, kw_only=True):
    """The ground as it was asked for, with its plan resolved."""

    plan: Annotated[PlanCase, ASIDE]
    standing: tuple[NamedStretch, ...] = ()
    out_of_use: Mapping[str, str] = {}
    no_propelling: tuple[NamedStretch, ...] = ()
    margin_mm: float = 0.0


def gathered_ground(sources: Sources, request: MovesRequest) -> MovesGround:
    """Return the ground of a request with its plan resolved; raises ``Faulty``."""
    return MovesGround(
        plan=_plan_case(sources, request),
        standing=request.standing,
        out_of_use=request.out_of_use,
        no_propelling=request.no_propelling,
        margin_mm=request.margin_mm,
    )


def _plan_case(sources: Sources, request: MovesRequest) -> PlanCase:
    if request.plan is not None:
        return _case_of(sources.plans.given(request.plan, "/plan"))
    named = AskedPlan(layout_id=request.layout_id, revision=request.revision)
    known = sources.plans.asked(named, "")
    types = sources.couplings.types()
    largest = sources.plans.largest_stock_of(known.plan, types)
    return msgspec.structs.replace(_case_of(known), largest=largest)


def _case_of(known: KnownPlan) -> PlanCase:
    return PlanCase(plan=known.plan, faults=known.faults, assumed=known.assumed)


class NamedPlace(NamedTuple):
    """A place by its name: where trains stand in it, and the names of its ends.

    ``stand`` is None where ``unknown`` is not known of the plan.
    """

    name: str
    ends: tuple[str, str]
    stand: Stand | None
    unknown: str | None = None


class Surveyed(NamedTuple):
    """The ground once its plan is surveyed, by stretches and courses.

    ``standing`` has the spans of each thing that stands there.
    """

    found: Survey
    ground: Ground
    standing: tuple[tuple[Span, ...], ...]
    no_propelling: tuple[Span, ...]

    @property
    def network(self) -> Network:
        """The network of the plan."""
        return self.found.network

    def without(
        self,
        asked: MovesGround,
        *,
        standing: int | None = None,
        out_of_use: str | None = None,
    ) -> Ground:
        """Return the ground without one thing that stands there, or with some points
        that are thrown again.
        """
        left = [
            span
            for number, spans in enumerate(self.standing)
            for span in spans
            if number != standing
        ]
        lies = {
            name: leg for name, leg in asked.out_of_use.items() if name != out_of_use
        }
        return ground(self.network, self.found.points, standing=left, out_of_use=lies)


def surveyed_ground(asked: MovesGround) -> Surveyed:
    """Return the ground of a case; raises ``Faulty`` for every stretch and every set of
    points that is not there.
    """
    found = surveyed(asked.plan)
    network = found.network
    faults = [
        *_off_the_track(network, asked.standing, "/standing"),
        *_off_the_track(network, asked.no_propelling, "/no_propelling"),
        *_no_such_points(network, asked.out_of_use),
    ]
    if faults:
        raise Faulty(faults)
    standing = tuple(spans_of(network, one.stretch) for one in asked.standing)
    barred = [spans_of(network, one.stretch) for one in asked.no_propelling]
    on = ground(
        network,
        found.points,
        standing=[span for spans in standing for span in spans],
        out_of_use=asked.out_of_use,
    )
    return Surveyed(
        found=found,
        ground=on,
        standing=standing,
        no_propelling=tuple(span for spans in barred for span in spans),
    )


def told_faults(
    asked: PlanCase, found: Survey, of: tuple[str, ...]
) -> tuple[Reason, ...]:
    """Return the first faults of some parts of a plan, in words."""
    told = [
        Reason(
            code="plan_fault", message=f"the plan: {fault.message}"[:_LONGEST_MESSAGE]
        )
        for fault in all_faults(asked.faults, found)
        if (fault.pointer or "").startswith(of)
    ]
    return tuple(told[:MOST_TOLD])


def _off_the_track(
    network: Network, stretches: Sequence[NamedStretch], pointer: str
) -> Iterator[Fault]:
    for place, one in enumerate(stretches):
        for wrong in amiss(network, one.stretch):
            at = f"{pointer}/{place}/stretch/{wrong.number}"
            yield Fault(code=wrong.code, message=wrong.message, pointer=at)


def _no_such_points(network: Network, out_of_use: Mapping[str, str]) -> Iterator[Fault]:
    for piece, leg in out_of_use.items():
        at = f"/out_of_use/{escaped(piece)}"
        shape = network.shapes.get(piece)
        if shape is None or "toe" not in shape.ends:
            hint = did_you_mean(NearNames(network.shapes).near(piece))
            message = f"there are no points {cut(piece)}{hint}"
            yield Fault(code="unknown_piece", message=message, pointer=at)
            continue
        legs = [end for end in shape.ends if end != "toe"]
        if leg not in {*legs, _NO_LEG}:
            named = listed([*legs, _NO_LEG])
            message = f"{cut(piece)} lies for one of its legs: {named}"
            yield Fault(code="unknown_leg", message=message, pointer=at)


def place_called(known: Surveyed, name: str, pointer: str) -> NamedPlace:
    """Return a place or a road by its name; raises ``Faulty`` where there is none."""
    found = known.found
    measured = [
        one for one in found.places if one.place.name == name and one.place.stretch
    ]
    for one in measured:
        stretch = one.place.stretch or ()
        return NamedPlace(name, one.ends, _taped(known, name, stretch, pointer))
    roads = roads_called(found, name)
    if len(roads) != 1:
        raise Faulty([_no_such_place(found, name, len(roads), pointer)])
    road = roads[0]
    limits_mm = [limit.from_blades_mm for limit in road.limits]
    unknown = [limit.because for limit in road.limits if limit.from_blades_mm is None]
    return NamedPlace(
        name=road.name,
        ends=_two_ends(road.ends),
        stand=stand_between(road.courses, road.blades_to_blades_mm, limits_mm),
        unknown=next(iter(unknown), road.name),
    )


def _two_ends(ends: Sequence[str]) -> tuple[str, str]:
    """Return the names of a road's ends; two alike, or none, are first and second."""
    if len(set(ends)) == 2:  # noqa: PLR2004 - a road has two ends
        return ends[0], ends[1]
    return "first", "second"


def _taped(
    known: Surveyed, name: str, stretch: Sequence[Stretch], pointer: str
) -> Stand:
    for wrong in amiss(known.network, stretch):
        message = f"{cut(name)} lies on no track: {wrong.message}"
        raise Faulty([Fault(code=wrong.code, message=message, pointer=pointer)])
    stand = stand_on(known.network, stretch)
    if isinstance(stand, Stand):
        return stand
    piece = cut(stretch[stand].piece)
    message = f"{cut(name)} is no one stretch: its part on {piece} lies elsewhere"
    raise Faulty([Fault(code="not_joined", message=message, pointer=pointer)])


def _no_such_place(found: Survey, name: str, many: int, pointer: str) -> Fault:
    if many:
        message = (
            f"the plan has {many} roads called {cut(name)}: name it by its kind and"
            " first piece, as siding S1"
        )
        return Fault(code="two_roads", message=message, pointer=pointer)
    names = road_names(found)
    near = [cut(one) for one in NearNames(names).near(name)]
    hint = did_you_mean(near[:2])
    message = f"the plan has no place or road {cut(name)}{hint}"
    if not near and names:
        shown = [cut(one) for one in names[:3]]
        message += f"; it has {listed(shown)}"
    return Fault(code="no_such_road", message=message, pointer=pointer)


def end_called(place: NamedPlace, name: str, pointer: str) -> End:
    """Return which end of a place a name means; raises ``Faulty`` where it has none."""
    for number, end in enumerate(place.ends):
        if end.casefold() == name.casefold():
            return 1 if number else 0
    ends = listed([cut(end) for end in place.ends])
    message = f"{cut(place.name)} has no end {cut(name)}: its ends are {ends}"
    raise Faulty([Fault(code="no_such_end", message=message, pointer=pointer)])


def way_out(known: Surveyed, name: str, pointer: str) -> Course:
    """Return the course at whose end the plan ends, by the open end or by its piece;
    raises ``Faulty`` where there is none.
    """
    network = known.network
    end = _open_end(network, name)
    course = network.at_end.get(end) if end is not None else None
    if course is not None:
        return course ^ 1
    ends = [*open_ends(network)]
    near = NearNames(ends).near(name) or ends[:3]
    there = f"; there is {listed([cut(one) for one in near])}" if near else ""
    message = f"the plan has no open end {cut(name)}{there}"
    raise Faulty([Fault(code="no_such_end", message=message, pointer=pointer)])


def _open_end(network: Network, name: str) -> PieceEnd | None:
    """Return the end that lies before an open end; None where there is none."""
    joint = network.flat.joint
    if network.shapes.get(name) is not None:
        if _is_open_end(network, name):
            return joint.get((name, "a"))
        free = [
            (name, end)
            for end in network.shapes[name].ends
            if _is_open(network, (name, end))
        ]
        return free[0] if len(free) == 1 else None
    end = end_of(name)
    return end if _is_open(network, end) else None


def open_ends(network: Network) -> dict[str, Course]:
    """Return the ends by which trains leave the plan, each with the last course there:
    of an open end's own track where it has any.
    """
    found: dict[str, Course] = {}
    for (piece, end), course in network.at_end.items():
        if not _is_open_end(network, piece) and _is_open(network, (piece, end)):
            mate = network.flat.joint.get((piece, end))
            beyond = course ^ 1 if mate is None else network.at_end[mate]
            found[f"{piece}.{end}"] = beyond
    return found


def _is_open(network: Network, end: PieceEnd) -> bool:
    """Tell whether an end leads out of the plan."""
    mate = network.flat.joint.get(end)
    return mate is None or _is_open_end(network, mate[0])


def _is_open_end(network: Network, piece: str) -> bool:
    strands = network.shapes[piece].strands
    return any(strand.limit == "open_end" for strand in strands)
