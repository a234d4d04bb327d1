"""Every train against every place: each train is resolved once, and a pair then only compares lengths.

What each vehicle is to a road apart from its length depends on few figures of the road, and many roads share them.
"""

from collections.abc import Sequence
from functools import cached_property

import msgspec

from standage.railway.roads.allowances import Allowance, allowance
from standage.railway.roads.places import Place
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import suited
from standage.railway.standing.verdicts import WORST_FIRST, FitVerdict, by_spare, overall, sorted_reasons
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.extents import Extent
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Reason

_BY_OTHER_LENGTHS = {"turntable", "reversing_section"}
Profile = tuple[object, ...]


class Paired(msgspec.Struct, frozen=True, kw_only=True):
    """One train in one place; ``because`` has the reasons, worst first, ``spare_mm`` is None where it is not known."""

    verdict: FitVerdict
    spare_mm: float | None
    plus_minus_mm: float | None
    because: tuple[Reason, ...]


class Ground(msgspec.Struct, frozen=True, kw_only=True):
    """A place and what it gives; ``profile`` is all that a vehicle is held against there apart from its length."""

    place: Place
    given: Allowance
    profile: Profile

    @property
    def by_length(self) -> bool:
        """Whether the length pulled out is all that counts for a train there, its vehicles aside."""
        face = self.place.kind == "platform" and self.place.face_length_mm is not None
        return self.given.room_mm is not None and not face and self.place.kind not in _BY_OTHER_LENGTHS


class Crosswise:
    """Trains and places, to be held against each other in any number of pairs."""

    def __init__(
        self, trains: Sequence[Train], places: Sequence[Place], *, on_record: Sequence[bool], types: CouplingTypes
    ) -> None:
        self._types = types
        self._trains = trains
        self._made_up: list[Coupled | None] = [None] * len(trains)
        self._lengths: list[tuple[Extent, bool] | None] = [None] * len(trains)
        self.grounds = tuple(_ground(place, kept) for place, kept in zip(places, on_record, strict=True))
        self._suited: dict[tuple[int, Profile], FitVerdict] = {}
        self._worst: dict[tuple[int, Profile], int] = {}

    def made_up(self, train: int) -> Coupled:
        """Return a train coupled up."""
        made_up = self._made_up[train]
        if made_up is None:
            made_up = self._made_up[train] = coupled(self._trains[train], types=self._types)
        return made_up

    def length(self, train: int) -> Extent:
        """Return how long a train is pulled out."""
        return self._length(train)[0]

    def verdict(self, train: int, place: int) -> FitVerdict:
        """Return whether a train fits a place, by its length and in all else: what the question of one pair answers."""
        ground = self.grounds[place]
        worst = self._worst_vehicle(train, ground)
        if worst == 0:
            return WORST_FIRST[0]
        if not ground.by_length:
            standing = stand(self.made_up(train), ground.place, ground.given).verdict
        else:
            standing = self._by_length(train, ground.given)
        return WORST_FIRST[min(worst, WORST_FIRST.index(standing))]

    def pair(self, train: int, place: int) -> Paired:
        """Return a pair with its figures and its reasons."""
        ground = self.grounds[place]
        stood = stand(self.made_up(train), ground.place, ground.given)
        findings = list(stood.findings)
        if self._worst_vehicle(train, ground) < len(WORST_FIRST) - 1:
            for vehicle in self._trains[train].vehicles:
                findings += (
                    one for one in suited(vehicle, ground.place, types=self._types).findings if one.verdict != "fits"
                )
        return Paired(
            verdict=overall(findings),
            spare_mm=stood.fit.spare_mm,
            plus_minus_mm=stood.fit.plus_minus_mm,
            because=sorted_reasons(findings),
        )

    def _by_length(self, train: int, given: Allowance) -> FitVerdict:
        extent, mates = self._length(train)
        if not mates:
            return "does_not_fit"
        spare_mm = tidy((given.room_mm or 0.0) - extent.known_mm)
        verdict = by_spare(spare_mm, plus_minus_mm=extent.plus_minus_mm + given.plus_minus_mm)
        return "cannot_tell" if extent.missing and verdict != "does_not_fit" else verdict

    def _length(self, train: int) -> tuple[Extent, bool]:
        length = self._lengths[train]
        if length is None:
            made_up = self.made_up(train)
            length = self._lengths[train] = made_up.pulled_out(), not any(True for _ in made_up.unmated())
        return length

    def _worst_vehicle(self, train: int, ground: Ground) -> int:
        """Return the worst verdict on any vehicle of a train by its place in the order, worst first."""
        key = (train, ground.profile)
        if key not in self._worst:
            verdicts = (self._suits(vehicle, ground) for vehicle in self._sorts[train])
            self._worst[key] = min((WORST_FIRST.index(one) for one in verdicts), default=len(WORST_FIRST) - 1)
        return self._worst[key]

    def _suits(self, vehicle: int, ground: Ground) -> FitVerdict:
        key = (vehicle, ground.profile)
        if key not in self._suited:
            self._suited[key] = overall(suited(self._different[vehicle], ground.place, types=self._types).findings)
        return self._suited[key]

    @cached_property
    def _numbers(self) -> dict[Standing, int]:
        numbers: dict[Standing, int] = {}
        for train in self._trains:
            for vehicle in train.vehicles:
                numbers.setdefault(_either_way(vehicle), len(numbers))
        return numbers

    @cached_property
    def _different(self) -> list[Standing]:
        return list(self._numbers)

    @cached_property
    def _sorts(self) -> list[list[int]]:
        return [sorted({self._numbers[_either_way(one)] for one in train.vehicles}) for train in self._trains]


def _either_way(vehicle: Standing) -> Standing:
    return msgspec.structs.replace(vehicle, reversed=False, count=1)


def _ground(place: Place, on_record: bool) -> Ground:  # noqa: FBT001 - one of a pair that zip gives
    return Ground(
        place=place,
        given=allowance(place, on_record=on_record, stopping_margin_mm=None),
        profile=(place.gauge_mm, place.scale, place.wheels, place.minimum_radius_mm, place.headroom_mm),
    )
