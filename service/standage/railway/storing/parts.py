"""In how few parts a train goes onto a traverser, a sector plate, a turntable or a
cassette, one after the other.
"""

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from standage.railway.roads.allowances import Allowance
from standage.railway.roads.places import Place
from standage.railway.standing.spare import Stood, stand
from standage.railway.standing.verdicts import WORST_FIRST, FitVerdict
from standage.railway.stock.coupled import Coupled
from standage.railway.terms.reasons import worst


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """Vehicles ``first`` to ``last`` of the train, counted from 0, uncoupled from the
    rest, and how they stand.
    """

    first: int
    last: int
    train: Coupled
    stood: Stood


class Parts(msgspec.Struct, frozen=True, kw_only=True):
    """The fewest parts in order from the head; None where there is no way for certain.

    ``stuck`` is the first vehicle that is in none, ``verdict`` what was found of it by
    itself.
    """

    parts: tuple[Part, ...] | None
    stuck: int | None = None
    verdict: FitVerdict = "fits"


def fewest_parts(
    train: Coupled, place: Place, given: Allowance, *, unfit: Mapping[int, FitVerdict]
) -> Parts:
    """Return ``train`` taken apart into the fewest parts each of which stands in
    ``place`` for certain by itself.

    Vehicles stay in order, and those measured as one rake count as one only while they
    are together. Those ``unfit`` to be there, with what was found of them, go into no
    part. Of as few parts the first is as long as it can be, then the second. Exact:
    every way of taking the train apart is weighed, from its tail. **Source** derived.
    """
    vehicles = len(train.members)
    fewest: list[int | None] = [None] * vehicles + [0]
    taken: list[Part | None] = [None] * vehicles
    for first in reversed(range(vehicles)):
        for part in _beginning_at(
            first,
            train,
            place,
            given,
            unfit=unfit,
        ):
            then = fewest[part.last + 1]
            if then is None:
                continue
            now = fewest[first]
            # of as few parts the longer one, which comes later
            if now is None or then + 1 <= now:
                fewest[first], taken[first] = then + 1, part
    if fewest[0] is None:
        return _stuck(train, place, given, unfit=unfit)
    return Parts(parts=tuple(_in_order(taken)))


def cut_out(train: Coupled, *, first: int, last: int) -> Coupled:
    """Return vehicles ``first`` to ``last`` as a train of their own; rakes that lie
    wholly in it are still whole. Both are counted from the head, from 0, and in the
    part. **Source** derived.
    """
    everyone = frozenset(range(len(train.members)))
    wanted = range(first, last + 1)
    return train.without(everyone.difference(wanted))


def _beginning_at(
    first: int,
    train: Coupled,
    place: Place,
    given: Allowance,
    *,
    unfit: Mapping[int, FitVerdict],
) -> Iterator[Part]:
    for last in range(first, len(train.members)):
        if last in unfit:
            return
        part = cut_out(train, first=first, last=last)
        stood = stand(part, place, given)
        if stood.verdict == "fits":
            yield Part(
                first=first,
                last=last,
                train=part,
                stood=stood,
            )


def _in_order(taken: Sequence[Part | None]) -> Iterator[Part]:
    first = 0
    while first < len(taken):
        part = taken[first]
        if part is None:
            message = f"vehicle {first} begins no part"
            raise RuntimeError(message)
        yield part
        first = part.last + 1


def _stuck(
    train: Coupled, place: Place, given: Allowance, *, unfit: Mapping[int, FitVerdict]
) -> Parts:
    """Return the vehicle that speaks against it most: if all stood by themselves there
    would be a way.
    """

    def alone(one: int) -> FitVerdict:
        part = cut_out(
            train,
            first=one,
            last=one,
        )
        standing = stand(part, place, given).verdict
        return worst((standing, unfit.get(one, "fits")), order=WORST_FIRST)

    verdicts = [alone(one) for one in range(len(train.members))]
    verdict = worst(verdicts, order=WORST_FIRST)
    return Parts(
        parts=None,
        stuck=verdicts.index(verdict),
        verdict=verdict,
    )
