"""In which of several places a train stands best."""

from collections.abc import Sequence
from math import inf

from standage.railway.curving.verdicts import WORST_FIRST as REACHING_WORST_FIRST
from standage.railway.roads.places import PlaceKind
from standage.railway.standing.crosswise import Judged
from standage.railway.standing.verdicts import WORST_FIRST, FitVerdict
from standage.railway.storing.roads import NO_STORAGE


def best_place(pairs: Sequence[Judged], kinds: Sequence[PlaceKind]) -> int | None:
    """Return the place in which a train stands best, by its number; None where it
    stands in none.

    ``pairs`` are the train in every place, ``kinds`` those of the places. Where it fits
    comes before where it is too close to call; then where it runs, then where that is
    marginal, then where nobody can tell; then the least room that is left, so that long
    roads stay free for long trains; then the first. A turntable or a reversing section
    comes after all roads that hold it. **Source** common practice.
    """
    holding = [number for number, one in enumerate(pairs) if _holds(one.verdict)]

    def rank(number: int) -> tuple[bool, int, int, float]:
        one = pairs[number]
        spare_mm = inf if one.spare_mm is None else one.spare_mm
        return (
            kinds[number] in NO_STORAGE,
            -WORST_FIRST.index(one.verdict),
            -REACHING_WORST_FIRST.index(one.reaching),
            spare_mm,
        )

    return min(holding, key=rank, default=None)


def nearest_place(pairs: Sequence[Judged], kinds: Sequence[PlaceKind]) -> int:
    """Return the place in which a train comes nearest to standing, of which there must
    be one. **Source** derived.
    """

    def nearness(number: int) -> tuple[int, bool, float, int]:
        one = pairs[number]
        spare_mm = -inf if one.spare_mm is None else one.spare_mm
        for_trains = kinds[number] not in NO_STORAGE
        # of equals the first
        return WORST_FIRST.index(one.verdict), for_trains, spare_mm, -number

    return max(range(len(pairs)), key=nearness)


def has_a_place(pairs: Sequence[Judged]) -> FitVerdict:
    """Return whether a train has any place at all: the mildest verdict of its pairs;
    ``does_not_fit`` where there is no place. **Source** derived.
    """
    verdicts = [one.verdict for one in pairs]
    return max(verdicts, key=WORST_FIRST.index, default="does_not_fit")


def _holds(verdict: FitVerdict) -> bool:
    return verdict in {"fits", "tight"}
