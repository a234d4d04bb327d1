"""A saw-by in words: what room it needs, and what is done, step by step."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from standage.questions.meet_answer import SawByAnswer, WhichTrain
from standage.questions.move_words import few, road_at
from standage.questions.moves_ground import Surveyed
from standage.railway.moves.meeting.saw_by import SawByThere
from standage.railway.terms.figures import millimetres, tidy
from standage.railway.terms.reasons import Assumed
from standage.railway.track.network.network import Course

_NAMES: tuple[WhichTrain, WhichTrain] = ("first", "second")

TAKEN_FOR_GRANTED = Assumed(
    field="saw_by",
    message=(
        "a train may part anywhere (between vehicles the part with the engine comes out"
        " longer, by up to one vehicle), and its parts stand on a road of the loop each"
    ),
    source="taken_as_read",
)
PROPELLED = Assumed(
    field="no_propelling",
    message="in a saw-by, trains and parts of them are pushed wherever that is needed",
    source="taken_as_read",
)


def engine_not_known(there: SawByThere) -> Assumed:
    """Return what is taken for granted of an engine of which the length is not known."""
    way = there.way
    message = (
        f"nobody said how long the {_NAMES[way.divided]} train's engine is: it is taken to"
        f" be no longer than the part it stays with, {millimetres(way.engine_part_mm)}"
    )
    return Assumed(
        field=f"trains/{way.divided}/train/engine_length_mm",
        message=message,
        source="taken_as_read",
        value_mm=tidy(way.engine_part_mm),
    )


class _Told(NamedTuple):
    """What the things of a saw-by are called, from where the whole train begins."""

    whole: str
    divided: str
    near: str
    far: str
    part: str
    rest: str
    engine_road: str
    other_road: str


def told_saw_by(known: Surveyed, there: SawByThere) -> SawByAnswer:
    """Return a saw-by with its words."""
    way = there.way
    divided = _NAMES[way.divided]
    needed = [millimetres(mm) for mm in way.needed_mm]
    rooms = [millimetres(mm) for mm in there.rooms_mm]
    one, other = (few((end.points,)) for end in there.loop.ends)
    begins = "it works by dividing"
    if not there.is_possible:
        begins = "it would work by dividing"
    message = (
        f"{begins} the {divided} train once, with {needed[0]} beyond {one} and"
        f" {needed[1]} beyond {other}; there are {rooms[0]} and {rooms[1]}"
    )
    return SawByAnswer(
        kept_whole=_NAMES[1 - way.divided],
        divided=divided,
        parts_mm=(tidy(way.engine_part_mm), tidy(way.other_part_mm)),
        room_needed_mm=(tidy(way.needed_mm[0]), tidy(way.needed_mm[1])),
        room_mm=(tidy(there.rooms_mm[0]), tidy(there.rooms_mm[1])),
        possible=there.is_possible,
        message=message,
        steps=tuple(_steps(known, there)),
    )


def _steps(known: Surveyed, there: SawByThere) -> Iterator[str]:
    way, loop = there.way, there.loop
    ends = [few((end.points,)) for end in loop.ends]
    roads = [_road(known, road) for road in loop.roads]
    told = _Told(
        whole=f"The {_NAMES[1 - way.divided]} train",
        divided=f"the {_NAMES[way.divided]} train",
        near=ends[1 - way.divided],
        far=ends[way.divided],
        part=millimetres(way.engine_part_mm),
        rest=millimetres(way.other_part_mm),
        engine_road=roads[way.engine_road],
        other_road=roads[1 - way.engine_road],
    )
    is_near = way.shared_at == 1 - way.divided
    if way.engine_leads:
        yield from _rest_left_behind(told, is_near=is_near)
    else:
        yield from _rest_pushed_in(told, is_near=is_near)
    yield f"With that {told.divided} is whole again."


def _road(known: Surveyed, road: Sequence[Course]) -> str:
    """Return the words that say which road of the loop is taken."""
    longest = max(road, key=known.ground.length_mm)
    return road_at(known, longest).strip()


def _rest_left_behind(told: _Told, *, is_near: bool) -> Iterator[str]:
    """Yield what is done where the engine comes first to the loop."""
    whole, near, far = told.whole, told.near, told.far
    yield (
        f"Leave the rest of {told.divided}, {told.rest}, at the far end beyond {far}; its"
        f" part with the engine, {told.part}, draws {told.engine_road}."
    )
    if is_near:
        yield (
            f"{whole} comes through the other road, until it is clear of {near}, and"
            " couples to the rest."
        )
        yield f"The part with the engine goes out over {near}, to the far end there."
        yield _leaves_it_in_the_loop(told)
        yield f"{whole} comes by on the other road and goes out over {far}: it is past."
        yield "The part with the engine sets back onto the rest."
        return
    yield f"{whole} comes through the other road and couples to the rest."
    yield _leaves_it_in_the_loop(told)
    yield (
        f"The part with the engine draws back over {far}, to the far end there; the other"
        f" follows on that road until it is clear of the blades of {far}."
    )
    yield _takes_it_beyond(told)
    yield "The part with the engine draws into the other road."
    yield (
        f"{whole} brings the rest back into the loop, leaves it there and goes out over"
        f" {far}: it is past."
    )
    yield f"The part with the engine goes out over {near} and sets back onto the rest."


def _rest_pushed_in(told: _Told, *, is_near: bool) -> Iterator[str]:
    """Yield what is done where the engine comes last to the loop."""
    whole, near, far = told.whole, told.near, told.far
    pushes = (
        f"Push the front of {told.divided}, {told.rest}, {told.other_road} and leave it"
    )
    if not is_near:
        yield (
            f"{pushes}; its part with the engine, {told.part}, draws back to the far end"
            f" beyond {far}."
        )
        yield (
            f"{whole} comes by on the other road, until it is clear of the blades of"
            f" {far}."
        )
        yield _takes_it_beyond(told)
        yield "The part with the engine draws into the other road."
        yield f"{whole} leaves the rest there and goes out over {far}: it is past."
        yield f"The part with the engine goes out over {near} onto the rest."
        return
    yield (
        f"{pushes}; its part with the engine, {told.part}, draws back over {far} and into the"
        " other road."
    )
    yield (
        f"{whole} couples to the rest and takes it to the far end beyond {far}, standing"
        f" in the loop itself, clear of {near}."
    )
    yield f"The part with the engine goes out over {near}, to the far end there."
    yield _leaves_it_in_the_loop(told)
    yield (
        f"{whole} comes by on the other road and goes out over {far}; the part with the"
        " engine follows into that road."
    )
    yield (
        f"{whole} sets back onto the rest, takes it to the far end beyond {near}, leaves"
        f" it there and goes out over {far} again: it is past."
    )
    yield f"The part with the engine goes out over {near} onto the rest."


def _leaves_it_in_the_loop(told: _Told) -> str:
    return (
        f"{told.whole} takes the rest back into the loop, leaves it there, and goes on"
        f" until it is clear of the blades of {told.near}."
    )


def _takes_it_beyond(told: _Told) -> str:
    return (
        f"{told.whole} sets back onto the rest and takes it to the far end beyond"
        f" {told.near}, standing in the loop itself, clear of {told.far}."
    )
