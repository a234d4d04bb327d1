"""From where to where a train is asked to move: places, ends and ways out by their names."""

from collections.abc import Iterable
from typing import Annotated, NamedTuple

from standage.questions.move_answer import Leading
from standage.questions.moved_train import KnownTrain
from standage.questions.moves_ground import (
    NamedPlace,
    Surveyed,
    end_called,
    place_called,
    way_out,
)
from standage.railway.moves.wanted import End, Wanted
from standage.railway.terms.figures import Name, says
from standage.railway.track.plans.plan import EndName, RoadName
from standage.shapes.faults import Fault, Ruled, all_of


class MoveFrom(Ruled, frozen=True, kw_only=True):
    """Where the train stands, and which way round."""

    place: Annotated[RoadName, says("The place or road that it stands in.")]
    engine_towards: Annotated[
        Name, says("The end of that place to which its engine points.")
    ]
    stands_against: Annotated[
        Name | None,
        says("The end that it stands against; wherever suits best if not said."),
    ] = None


class MoveTo(Ruled, frozen=True, kw_only=True):
    """Where the train is to go: a place, or out of the plan."""

    place: Annotated[
        RoadName | None, says("The place or road; needed unless open_end is given.")
    ] = None
    engine_towards: Annotated[
        Name | None,
        says("The end of that place to which its engine is to point; either if not."),
    ] = None
    open_end: Annotated[
        EndName | None, says("The open end, or its piece, by which it is to leave.")
    ] = None
    leading: Annotated[
        Leading | None, says("Which of its ends is to lead it out; either if not said.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either a place or an open end, and what goes with it."""
        if (self.place is None) == (self.open_end is None):
            message = "give either place or open_end: where is the train to go?"
            yield Fault(code="one_or_the_other", message=message, pointer="/place")
        if self.engine_towards is not None and self.place is None:
            message = "is the end of a place: give place too"
            yield Fault(
                code="one_or_the_other", message=message, pointer="/engine_towards"
            )
        if self.leading is not None and self.open_end is None:
            message = "is for leaving the plan: give open_end too"
            yield Fault(code="one_or_the_other", message=message, pointer="/leading")


class AskedWay(NamedTuple):
    """From where to where, as it was asked; ``pointer`` is to what holds both."""

    start: MoveFrom
    to: MoveTo
    propels: bool = True
    pointer: str = ""


class Aim(NamedTuple):
    """What is wanted of a train on its ground; without ``wanted`` the plan does not
    tell how long a place is, for want of ``unknown``.
    """

    start: NamedPlace
    goal: NamedPlace | None
    wanted: Wanted | None
    unknown: str | None = None


def aimed(
    known: Surveyed, train: KnownTrain, asked: AskedWay, *, margin_mm: float
) -> Aim:
    """Return what is wanted by the names of places and ends; raises ``Faulty``."""
    start_at = f"{asked.pointer}/from"
    to_at = f"{asked.pointer}/to"
    start, goal, out_at = all_of(
        lambda: place_called(known, asked.start.place, f"{start_at}/place"),
        lambda: _goal(known, asked.to, to_at),
        lambda: _way_out(known, asked.to, to_at),
    )
    engine_towards, against, ends_towards = all_of(
        lambda: end_called(
            start, asked.start.engine_towards, f"{start_at}/engine_towards"
        ),
        lambda: _end_of(
            start, asked.start.stands_against, f"{start_at}/stands_against"
        ),
        lambda: _end_of(goal, asked.to.engine_towards, f"{to_at}/engine_towards"),
    )
    for place in (start, goal):
        if place is not None and place.stand is None:
            return Aim(start, goal, None, place.unknown)
    is_restricted = not train.is_light_engine
    leading = asked.to.leading
    wanted = Wanted(
        start=start.stand,
        engine_towards=engine_towards,
        train_mm=train.counted_mm,
        goal=None if goal is None else goal.stand,
        out_at=out_at,
        stands_against=against,
        margin_mm=margin_mm,
        ends_towards=ends_towards,
        leads_out=None if leading is None else leading == "engine",
        propels=asked.propels or not is_restricted,
        no_propelling=known.no_propelling if is_restricted else (),
    )
    return Aim(start, goal, wanted)


def _goal(known: Surveyed, to: MoveTo, pointer: str) -> NamedPlace | None:
    if to.place is None:
        return None
    return place_called(known, to.place, f"{pointer}/place")


def _way_out(known: Surveyed, to: MoveTo, pointer: str) -> int | None:
    if to.open_end is None:
        return None
    return way_out(known, to.open_end, f"{pointer}/open_end")


def _end_of(place: NamedPlace | None, name: str | None, pointer: str) -> End | None:
    if place is None or name is None:
        return None
    return end_called(place, name, pointer)
