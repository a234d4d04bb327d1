"""What an alteration changes, in words."""

from collections.abc import Iterator, Sequence

from standage.questions.moves_ground import cut
from standage.questions.plan_compare_answer import ToldTurn
from standage.railway.alterations.pieces_changed import PiecesChanged
from standage.railway.alterations.roads_changed import ChangedRoad
from standage.railway.terms.figures import agreeing, counted, listed, millimetres
from standage.railway.terms.reasons import Reason

_MOST_NAMED = 3

_NOW: dict[str, str] = {
    "fits": "now stands in {place}",
    "tight": "is now too close to call in {place}",
    "does_not_fit": "does not stand in {place} any more",
    "runs": "now gets round the curves of {place}",
    "marginal": "gets round the curves of {place} only just",
    "does_not_run": "does not get round the curves of {place} any more",
    "possible": "now gets from {place} to {to}",
    "impossible": "does not get from {place} to {to} any more",
}
_THEN: dict[str, str] = {
    "fits": "it could before",
    "tight": "it was too close to call before",
    "does_not_fit": "it could not before",
    "runs": "it did before",
    "marginal": "it did only just before",
    "does_not_run": "it did not before",
    "possible": "it did before",
    "impossible": "it did not before",
    "cannot_tell": "before nobody could tell",
}


def turn_words(
    train: str,
    place: str,
    *,
    to: str | None,
    before: str | None,
    after: str | None,
    spare_mm: float | None,
) -> str:
    """Return a verdict that turns as a sentence."""
    train, place = cut(train), cut(place)
    where = place if to is None else f"{place} to {cut(to)}"
    if after is None:
        return f"{train}: {where} is gone, and held it before"
    if after == "cannot_tell":
        return f"{train}: whether {_asked(before)} {where} cannot be told any more"
    now = _NOW[after].format(place=place, to="" if to is None else cut(to))
    room = _room(after, spare_mm)
    if before is None:
        return f"{train} {now}{room}; there was no such road before"
    return f"{train} {now}{room}; {_THEN[before]}"


def _asked(before: str | None) -> str:
    if before in {"runs", "marginal", "does_not_run"}:
        return "it gets round the curves of"
    if before in {"possible", "impossible"}:
        return "it gets from"
    return "it stands in"


def _room(after: str, spare_mm: float | None) -> str:
    if spare_mm is None or after == "tight":
        return ""
    if spare_mm < 0:
        return f", {millimetres(-spare_mm)} too long"
    return f", {millimetres(spare_mm)} to spare"


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
    if not turns and is_altered(pieces, roads):
        message = "no verdict of these trains turns"
        yield Reason(code="no_verdict_turns", message=message)
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
