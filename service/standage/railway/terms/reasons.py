"""What stands behind an answer: its reasons, and the figures in it that nobody
measured, gathered so that one guess made of many vehicles is told once.
"""

import re
from collections.abc import Iterable
from operator import attrgetter
from typing import Literal, TypeVar

import msgspec

from standage.railway.terms.figures import listed
from standage.shapes.remembering import remembered


class Reason(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One reason for a verdict: a stable code, plain words, and the figures it rests
    on.

    ``brings`` is the verdict that a piece of advice brings.
    """

    code: str
    message: str
    vehicle: str | None = None
    other_vehicle: str | None = None
    place: str | None = None
    field: str | None = None
    value_mm: float | None = None
    limit_mm: float | None = None
    amount_mm: float | None = None
    value_deg: float | None = None
    limit_deg: float | None = None
    value_percent: float | None = None
    limit_percent: float | None = None
    ratio: float | None = None
    brings: str | None = None


class Assumed(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A figure in the answer that nobody measured, and where it was taken from."""

    field: str
    message: str
    # "given_by_type" is told no more, since what the club recorded is no guess; callers
    # were promised that it may come.
    source: Literal[
        "typical",
        "scaled",
        "default",
        "common_practice",
        "given_by_type",
        "taken_as_read",
    ]
    vehicle: str | None = None
    value_mm: float | None = None
    plus_minus_mm: float | None = None
    value_percent: float | None = None
    value: str | None = None


def named_once(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    """Return the reasons in their order, each once; a figure that is missing only as it
    is first asked for. **Source** derived.
    """
    once: dict[object, Reason] = {}
    for reason in reasons:
        same: object = reason
        if reason.code == "missing_figure":
            same = (
                reason.vehicle,
                reason.other_vehicle,
                reason.place,
                reason.field,
            )
        once.setdefault(same, reason)
    return tuple(once.values())


V = TypeVar("V", bound=str)


def worst(verdicts: Iterable[V], *, order: tuple[V, ...]) -> V:
    """Return the verdict that stands first in ``order`` (worst first); ``order[-1]``
    when there is none. **Source** derived.
    """
    mildest = order[-1]
    return min(
        verdicts,
        key=order.index,
        default=mildest,
    )


Source = Literal["typical", "scaled", "default", "common_practice", "taken_as_read"]

_MOST_REMEMBERED = 128
_MOST_AT_ONCE = 200
"""Of a train that is tried in one place after another the same is told each time; so
many guesses at most.
"""
_OF_ONE = re.compile(r"\bits?\b")


class Guess(msgspec.Struct, frozen=True, cache_hash=True, kw_only=True):
    """One figure of one vehicle that nobody measured; ``about`` says what it is taken
    as, the vehicle left out.
    """

    vehicle: str
    field: str
    about: str
    source: Source
    value_mm: float | None = None
    plus_minus_mm: float | None = None


_Alike = tuple[str, Source, float | None, float | None]
_ALIKE = attrgetter("about", "source", "value_mm", "plus_minus_mm")
_InOrder = dict[str, None]


def told(guesses: Iterable[Guess]) -> tuple[Assumed, ...]:
    """Return what was assumed, in the order in which it first came up; like guesses of
    several vehicles as one.

    An entry about one vehicle names it and the field; one about several lists them in
    its message, and names the field without the end it belongs to where both ends are
    meant. **Source** derived.
    """
    made = tuple(guesses)
    if len(made) > _MOST_AT_ONCE:
        return _told(made)
    return _told_again(made)


def _told(guesses: tuple[Guess, ...]) -> tuple[Assumed, ...]:
    vehicles: dict[_Alike, _InOrder] = {}
    fields: dict[_Alike, _InOrder] = {}
    for guess in guesses:
        key = _ALIKE(guess)
        if key not in vehicles:
            vehicles[key] = {}
            fields[key] = {}
        vehicles[key][guess.vehicle] = None
        fields[key][guess.field] = None
    return tuple(_one(key, list(vehicles[key]), list(fields[key])) for key in vehicles)


_told_again = remembered(most=_MOST_REMEMBERED)(_told)


def _one(key: _Alike, names: list[str], fields: list[str]) -> Assumed:
    about, source, value_mm, plus_minus_mm = key
    field = fields[0]
    if len(fields) > 1:  # both ends are meant
        field = field.rpartition(".")[2]
    vehicle = names[0] if len(names) == 1 else None
    return Assumed(
        field=field,
        message=f"{_called(names, about)}: {about}",
        source=source,
        vehicle=vehicle,
        value_mm=value_mm,
        plus_minus_mm=plus_minus_mm,
    )


def _called(names: list[str], about: str) -> str:
    """Return the names as they stand before ``about``, which may go on to speak of one
    vehicle.
    """
    called = listed(names)
    if len(names) > 1 and _speaks_of_one(about):
        return f"{called}, each"
    return called


@remembered()
def _speaks_of_one(about: str) -> bool:
    found = _OF_ONE.search(about)
    return found is not None
