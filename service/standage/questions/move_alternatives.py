"""What would let a train through that does not get there, without a saw: each was asked
again.
"""

from collections.abc import Iterator
from math import ceil, inf
from typing import NamedTuple

from msgspec.structs import replace

from standage.questions.move_answer import MoveAlternative
from standage.questions.move_judging import JudgedMove
from standage.questions.moved_train import KnownTrain
from standage.questions.moves_ground import MovesGround, NamedPlace, Surveyed, open_ends
from standage.railway.moves.cures import extensions
from standage.railway.moves.draws import Part, goes_in_parts
from standage.railway.moves.ground import Ground
from standage.railway.moves.reach import strands_in_reach
from standage.railway.moves.search import ANY_END, searched
from standage.railway.moves.wanted import Wanted
from standage.railway.standing.dropping import fewest_by_length
from standage.railway.stock.coupled import Coupled
from standage.railway.stock.extents import Extent
from standage.railway.terms.figures import (
    at_most,
    counted,
    cut,
    goes_into,
    listed,
    tidy_down,
)
from standage.railway.track.network.network import Course

MOST_DRAWS = 10
LEAST_OF_AN_ENGINE = 0.5
"""An engine is not said to do that is shorter than so much of the present one."""
_STEP_MM = 0.1
_MOST_NAMED = 3


class Asked(NamedTuple):
    """A move that is not possible: on what, of what, and what is ``surely`` to get there
    for the train to.
    """

    known: Surveyed
    ground: MovesGround
    goal: NamedPlace | None
    train: KnownTrain
    judged: JudgedMove
    surely: Wanted


def alternatives(asked: Asked) -> Iterator[MoveAlternative]:
    """Yield what alone would let the train through, other than track altered between its
    places.
    """
    known, wanted = asked.known, asked.surely
    yield from _out_of_the_way(known, asked.ground, wanted)
    yield from _otherwise(known, wanted, asked.goal)
    yield from _beyond(known, wanted)
    if not asked.judged.longest.gave_up and asked.judged.longest.mm > 0:
        yield from _of_the_train(asked)


def _out_of_the_way(
    known: Surveyed, asked: MovesGround, wanted: Wanted
) -> Iterator[MoveAlternative]:
    for number, one in enumerate(asked.standing):
        if _gets_there(known.without(asked, standing=number), wanted):
            message = f"{cut(one.name)} is in the way: without it the train gets there"
            yield MoveAlternative(
                code="stock_in_the_way", message=message, place=one.name
            )
    for points in asked.out_of_use:
        if _gets_there(known.without(asked, out_of_use=points), wanted):
            message = f"with {cut(points)} in use again the train gets there"
            yield MoveAlternative(
                code="out_of_use",
                message=message,
                place=points,
            )


def _otherwise(
    known: Surveyed, wanted: Wanted, goal: NamedPlace | None
) -> Iterator[MoveAlternative]:
    """Yield what would do of the other things that were asked for."""
    on = known.ground
    may_propel = replace(
        wanted,
        propels=True,
        no_propelling=(),
    )
    if may_propel != wanted and _gets_there(on, may_propel):
        message = "if it may be propelled everywhere, the train gets there"
        yield MoveAlternative(code="propelling", message=message)
    from_anywhere = replace(wanted, stands_against=None)
    if from_anywhere != wanted and _gets_there(on, from_anywhere):
        message = "from elsewhere in its place the train gets there"
        yield MoveAlternative(code="stands_against", message=message)
    no_margin = replace(wanted, margin_mm=0.0)
    if no_margin != wanted and _gets_there(on, no_margin):
        message = "without the margin past the blades the train gets there"
        yield MoveAlternative(code="margin", message=message)
    other_end = replace(wanted, ends_towards=None)
    if goal is not None and other_end != wanted:
        for finish in searched(on, other_end).finishes[:1]:
            end = cut(goal.ends[finish.engine_towards or 0])
            message = f"with its engine towards {end} the train gets there"
            yield MoveAlternative(
                code="other_end",
                message=message,
                place=goal.name,
            )
    either_leads = replace(wanted, leads_out=None)
    if either_leads != wanted and _gets_there(on, either_leads):
        message = "with its other end leading the train gets there"
        yield MoveAlternative(code="other_end", message=message)


def _beyond(known: Surveyed, wanted: Wanted) -> Iterator[MoveAlternative]:
    """Yield how much track beyond an open end or a stop would do, where only that is
    missing.
    """
    reached = strands_in_reach(known.ground, wanted.start.courses)
    ends = {course: name for name, course in open_ends(known.network).items()}
    stops = dict(_stops(known))
    near = [one for one in (*ends, *stops) if one >> 1 in reached]
    wanted_ends = [one for one in near if one != wanted.out_at]
    for end, by_mm in extensions(known.ground, wanted, wanted_ends).items():
        if end in ends:
            name = ends[end]
            track = f"{_track_at(known, end)} beyond {cut(name)}"
            message = f"with {by_mm} mm of {track} to draw out on, it gets there"
            code = "no_track_beyond"
        else:
            name = stops[end]
            message = (
                f"with an extension of {by_mm} mm beyond the stop {cut(name)} it gets"
                " there"
            )
            code = "extension"
        yield MoveAlternative(
            code=code, message=message, place=name, amount_mm=float(by_mm)
        )


def _stops(known: Surveyed) -> Iterator[tuple[Course, str]]:
    """Yield the course that ends at the face of each stop, with the stop."""
    for course in range(2 * len(known.network.strands)):
        stop = known.network.stop(course)
        if stop is not None and stop.kind == "buffer_stop":
            yield course, stop.piece


def _track_at(known: Surveyed, end: Course) -> str:
    """Return what the track that leads out of the plan is called."""
    for usable in known.found.usable:
        if end >> 1 in usable.road.place_of and usable.road.kind == "running_line":
            return "the running line"
    return "track"


def _of_the_train(asked: Asked) -> Iterator[MoveAlternative]:
    """Yield what would do of the train itself: it in parts, another engine, or less of
    it.
    """
    train, judged = asked.train, asked.judged
    if train.length_mm is None:
        return
    if train.engine_mm is not None and not train.is_light_engine:
        yield from _in_parts(asked, train.engine_mm)
        rake_mm = train.length_mm - train.engine_mm
        room_mm = judged.longest.mm - judged.plus_minus_mm
        engine_mm = tidy_down(room_mm - rake_mm, step=_STEP_MM)
        if engine_mm >= LEAST_OF_AN_ENGINE * train.engine_mm:
            message = f"with an engine of at most {at_most(engine_mm)} it gets there"
            yield MoveAlternative(
                code="shorter_engine", message=message, amount_mm=engine_mm
            )
    if train.made_up is not None:
        yield from _left_off(train.made_up, _room_mm(asked))


def _room_mm(asked: Asked) -> float:
    """Return how long a train may be with its own ±, by what may be off of the plan."""
    judged = asked.judged
    of_plan_mm = judged.plus_minus_mm - asked.train.plus_minus_mm
    return judged.longest.mm - of_plan_mm


def _left_off(made_up: Coupled, room_mm: float) -> Iterator[MoveAlternative]:
    places = fewest_by_length(
        made_up,
        within_mm=room_mm,
        unfit=frozenset(),
    ).places
    if places is None:
        return
    names = tuple(made_up.members[place].name for place in sorted(places))
    shown = listed([cut(name) for name in names[:_MOST_NAMED]])
    if len(names) > _MOST_NAMED:
        shown = counted(len(names), "vehicle") + " less"
    message = f"without {shown} it gets there"
    yield MoveAlternative(
        code="leave_off",
        message=message,
        vehicles=names,
    )


def _in_parts(asked: Asked, engine_mm: float) -> Iterator[MoveAlternative]:
    room_mm = _room_mm(asked)
    made_up = asked.train.made_up
    if made_up is None:
        parts = _by_length(asked, engine_mm, room_mm)
    else:
        parts = _by_vehicles(asked.train, made_up, room_mm)
    if not 1 < len(parts) <= MOST_DRAWS:
        return
    if not goes_in_parts(asked.known.ground, asked.surely, parts, engine_mm=engine_mm):
        return
    many = [str(part.vehicles) for part in parts]
    words = f": {listed(many)} vehicles behind the engine"
    if made_up is None:
        most_mm = max(part.own_mm for part in parts)
        words = f", with at most {at_most(most_mm)} behind the engine"
    message = f"in {len(parts)} draws it gets there{words}"
    yield MoveAlternative(
        code="in_parts",
        message=message,
        draws=len(parts),
    )


def _by_length(asked: Asked, engine_mm: float, room_mm: float) -> list[Part]:
    """Return as few parts as there may be of a train of which only lengths are known."""
    train = asked.train
    most_mm = tidy_down(room_mm - train.plus_minus_mm - engine_mm, step=_STEP_MM)
    rake_mm = (train.length_mm or 0.0) - engine_mm
    if most_mm <= 0:
        return []
    many = ceil(rake_mm / most_mm)
    own_mm = [most_mm] * (many - 1) + [rake_mm - most_mm * (many - 1)]
    with_all_mm = engine_mm + train.plus_minus_mm
    return [Part(mm, mm + with_all_mm) for mm in own_mm]


def _by_vehicles(train: KnownTrain, made_up: Coupled, room_mm: float) -> list[Part]:
    """Return the parts of a train by its vehicles, each with as many as there is room
    for; nothing where one alone is too long.
    """
    parts: list[Part] = []
    behind = train.engines
    while behind < len(made_up.members) and len(parts) <= MOST_DRAWS:
        many = _most_behind(
            train,
            made_up,
            behind,
            room_mm,
        )
        if many == 0:
            return []
        extent = _behind_engine(
            train,
            made_up,
            behind,
            many,
        )
        with_engine_mm = (extent.length_mm or 0.0) + extent.plus_minus_mm
        own_mm = (extent.length_mm or 0.0) - (train.engine_mm or 0.0)
        parts.append(Part(own_mm, with_engine_mm, many))
        behind += many
    return parts


def _most_behind(
    train: KnownTrain, made_up: Coupled, first: int, room_mm: float
) -> int:
    """Return how many vehicles from one on there is room for behind the engine."""
    enough, too_many = 0, len(made_up.members) - first + 1
    while too_many - enough > 1:
        many = (enough + too_many) // 2
        extent = _behind_engine(
            train,
            made_up,
            first,
            many,
        )
        longest_mm = (extent.length_mm or inf) + extent.plus_minus_mm
        if goes_into(longest_mm, room_mm=room_mm):
            enough = many
        else:
            too_many = many
    return enough


def _behind_engine(
    train: KnownTrain, made_up: Coupled, first: int, many: int
) -> Extent:
    stays = {*range(train.engines), *range(first, first + many)}
    left = frozenset(range(len(made_up.members))) - stays
    return made_up.without(left).pulled_out()


def _gets_there(on: Ground, wanted: Wanted) -> bool:
    return bool(searched(on, wanted, ANY_END).finishes)
