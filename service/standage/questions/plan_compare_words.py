"""What an alteration changes, in words."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from standage.questions.plan_compare_answer import Compared, ToldTurn, TurnedVerdict
from standage.railway.alterations.pieces_changed import PiecesChanged
from standage.railway.alterations.roads_changed import ChangedRoad
from standage.railway.terms.figures import agreeing, counted, cut, listed, millimetres
from standage.railway.terms.reasons import Reason

_MOST_NAMED = 3

_NOW: dict[str, str] = {
    "fits": "now stands in {place}",
    "runs": "now gets round the curves of {place}",
    "marginal": "gets round the curves of {place} only just",
    "possible": "now gets from {place} to {to}",
}
_NOT: dict[str, str] = {
    "does_not_fit": "does not stand in {place}",
    "does_not_run": "does not get round the curves of {place}",
    "impossible": "does not get from {place} to {to}",
}
_ANY_MORE = frozenset({"fits", "runs", "possible"})
"""What of these was so before is not so any more, and that says it all."""
_THEN: dict[str, str] = {
    "fits": "it did before",
    "tight": "it was too close to call before",
    "does_not_fit": "it did not before",
    "runs": "it did with ease before",
    "marginal": "it did only just before",
    "does_not_run": "it did not before",
    "possible": "it did before",
    "impossible": "it did not before",
    "cannot_tell": "before nobody could tell",
}
_WHETHER: dict[Compared, str] = {
    "fits": "whether it stands in {place}",
    "runs": "whether it gets round the curves of {place}",
    "moves": "whether it gets from {place} to {to}",
}


class Turn(NamedTuple):
    """A verdict on a train that turns: of a road, or of the move to another one."""

    asked: Compared
    train: str
    place: str
    to: str | None
    before: TurnedVerdict | None
    after: TurnedVerdict | None
    spare_mm: float | None


def turn_words(turn: Turn) -> str:
    """Return a verdict that turns as a sentence."""
    train, place = cut(turn.train), cut(turn.place)
    places = {"place": place, "to": cut(turn.to or "")}
    whether = _WHETHER[turn.asked].format(**places)
    then = _then(turn.before)
    after = turn.after
    if after is None:
        return f"{train}: {place} is gone, and {_held(turn.before)}"
    if after == "cannot_tell":
        return f"{train}: {whether} cannot be told any more"
    if after == "tight":
        return f"{train}: {whether} is now too close to call; {then}"
    if after in _NOW:
        now = _NOW[after].format(**places)
        return f"{train} {now}{_to_spare(turn.spare_mm)}; {then}"
    does_not = f"{train} {_NOT[after].format(**places)}"
    too_long = _too_long(turn.spare_mm)
    if turn.before in _ANY_MORE:
        return f"{does_not} any more{too_long}"
    return f"{does_not}{too_long}; {then}"


def _then(before: str | None) -> str:
    if before is None:
        return "there was no such road before"
    return _THEN[before]


def _held(before: str | None) -> str:
    if before == "tight":
        return "whether it stood there was too close to call"
    return "held it before"


def _to_spare(spare_mm: float | None) -> str:
    if spare_mm is None or spare_mm < 0:
        return ""
    if spare_mm == 0:
        return ", with nothing to spare"
    return f", {millimetres(spare_mm)} to spare"


def _too_long(spare_mm: float | None) -> str:
    """Return by how much a train is too long, where that is why it does not stand."""
    if spare_mm is None or spare_mm >= 0:
        return ""
    return f", {millimetres(-spare_mm)} too long"


def road_words(road: ChangedRoad) -> str:
    """Return what becomes of a road."""
    name = cut(road.name)
    if road.after is None:
        return f"{name} is gone"
    if road.before is None:
        usable_mm = road.after.usable_length_mm
        if usable_mm is None:
            return f"{name} is new; how much of it can be used cannot be told"
        return f"{name} is new: {millimetres(usable_mm)} of it can be used"
    longer_mm = road.longer_by_mm
    if longer_mm is None:
        return f"{name}: how much of it can be used cannot be told of both plans"
    if longer_mm == 0:
        return f"{name}: as much can be used as before; other figures of it change"
    more = "more" if longer_mm > 0 else "less"
    return f"{name}: {millimetres(abs(longer_mm))} {more} of it can be used"


def change_reasons(
    pieces: PiecesChanged, roads: Sequence[ChangedRoad], turns: Sequence[ToldTurn]
) -> Iterator[Reason]:
    """Yield what an alteration comes to: what has to come up, what turns, and where
    nothing does.
    """
    coming_up = [one.piece for one in pieces.coming_up]
    if coming_up:
        are = agreeing(len(coming_up), "is laid and has", "are laid and have")
        message = f"{_named(coming_up)} {are} to come up"
        yield Reason(code="laid_comes_up", message=message, field=coming_up[0])
    for turn in turns[:_MOST_NAMED]:
        code = f"turns_{turn.turns}"
        yield Reason(code=code, message=turn.message, place=turn.place)
    left = len(turns) - _MOST_NAMED
    if left > 0:
        message = f"{counted(left, 'other verdict')} {agreeing(left, 'turns', 'turn')}"
        yield Reason(code="more_turn", message=message)
    for road in roads[:_MOST_NAMED]:
        yield Reason(
            code="road_changes",
            message=road_words(road),
            place=road.name,
            amount_mm=road.longer_by_mm,
        )
    if not turns and not is_altered(pieces, roads):
        message = "the two plans have the same track, and nothing changes"
        yield Reason(code="same", message=message)


def is_altered(pieces: PiecesChanged, roads: Sequence[ChangedRoad]) -> bool:
    """Tell whether anything is not as it was."""
    lists = (
        pieces.added,
        pieces.removed,
        pieces.moved,
        pieces.altered,
        pieces.rejoined,
        roads,
    )
    return any(lists)


def _named(names: Sequence[str]) -> str:
    shown = [cut(name) for name in names[:_MOST_NAMED]]
    more = len(names) - len(shown)
    if more:
        return f"{', '.join(shown)} and {more} more"
    return listed(shown)
