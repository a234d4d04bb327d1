"""Which trains an alteration lets stand in a road, or get there, and which no longer."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

import msgspec

from standage.railway.alterations.roads_changed import KnownRoad
from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.standing.crosswise import Crosswise
from standage.railway.standing.verdicts import FitVerdict
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.terms.reasons import Assumed

Asked = Literal["fits", "runs"]
_HOLDS: frozenset[FitVerdict] = frozenset({"fits", "tight"})


class ChangedVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """A train's verdict on a road that is another in the plan as altered; None where a
    plan has no such road.

    ``train`` counts them from 0. The spare length is of the plan after, where it is
    known; of the one before where the road is gone.
    """

    asked: Asked
    train: int
    road: str
    before: FitVerdict | CurveVerdict | None
    after: FitVerdict | CurveVerdict | None
    spare_mm: float | None = None


class Roads:
    """The trains against the roads of one plan."""

    def __init__(
        self,
        roads: Mapping[str, KnownRoad],
        trains: Sequence[Train],
        types: CouplingTypes,
    ) -> None:
        self._number = {name: number for number, name in enumerate(roads)}
        known = roads.values()
        self._crosswise = Crosswise(
            trains,
            [one.place for one in known],
            known_by=[one.known_by for one in known],
            types=types,
        )

    def assumed(self) -> Iterator[Assumed]:
        """Yield what the verdicts rest on that nobody said."""
        return self._crosswise.assumed()

    def standing(self, train: int, road: str) -> FitVerdict | None:
        """Return whether a train stands in a road; None where there is no such road."""
        number = self._number.get(road)
        if number is None:
            return None
        return self._crosswise.standing(train, number)

    def reaching(self, train: int, road: str) -> CurveVerdict | None:
        """Return whether it gets there, its length apart."""
        number = self._number.get(road)
        if number is None:
            return None
        return self._crosswise.reaching(train, number)

    def spare_mm(self, train: int, road: str) -> float | None:
        """Return what it leaves over there."""
        number = self._number.get(road)
        if number is None:
            return None
        return self._crosswise.pair(train, number).spare_mm


def verdicts_changed(
    before: Roads, after: Roads, *, trains: int, roads: Sequence[str]
) -> Iterator[ChangedVerdict]:
    """Yield every verdict of a train on a road that is another after the alteration.

    Of a road that only one plan has, whether it holds the train. In mm. **Source**
    derived.
    """
    for train in range(trains):
        for road in roads:
            was, now = before.standing(train, road), after.standing(train, road)
            if _tells(was, now):
                spare_mm = after.spare_mm(train, road)
                if now is None:
                    spare_mm = before.spare_mm(train, road)
                yield ChangedVerdict(
                    asked="fits",
                    train=train,
                    road=road,
                    before=was,
                    after=now,
                    spare_mm=spare_mm,
                )
            ran, runs = before.reaching(train, road), after.reaching(train, road)
            if ran is not None and runs is not None and ran != runs:
                yield ChangedVerdict(
                    asked="runs", train=train, road=road, before=ran, after=runs
                )


def _tells(was: FitVerdict | None, now: FitVerdict | None) -> bool:
    """Tell whether two verdicts on standing differ: a road that is gone, or new, counts
    where it held the train, or now holds it.
    """
    if was is None:
        return now in _HOLDS
    if now is None:
        return was in _HOLDS
    return was != now
