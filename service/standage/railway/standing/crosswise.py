"""Every train against every place: each train is resolved once, and a pair then only
compares lengths.

What each vehicle is to a road apart from its length depends on few figures of the road,
and many roads share them.
"""

from collections.abc import Iterator, Sequence
from functools import cached_property

import msgspec

from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.roads.allowances import (
    Allowance,
    Provenance,
    allowance,
    platform_face_mm,
)
from standage.railway.roads.places import Place
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import Suited, suited
from standage.railway.standing.verdicts import (
    Finding,
    FitVerdict,
    at_both_ends,
    sorted_reasons,
    verdict_of_both,
)
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.extents import Extent
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.reasons import Reason

_BY_OTHER_LENGTHS = {"turntable", "reversing_section"}
_RUNS = WORST_FIRST.index("runs")


class Paired(msgspec.Struct, frozen=True, kw_only=True):
    """One train in one place; ``because`` has the reasons, worst first, ``spare_mm`` is
    None where it is not known.

    ``standing`` and ``reaching`` stand side by side; ``verdict`` is what the two come
    to.
    """

    verdict: FitVerdict
    standing: FitVerdict
    reaching: CurveVerdict
    spare_mm: float | None
    plus_minus_mm: float | None
    because: tuple[Reason, ...]


class Ground(msgspec.Struct, frozen=True, kw_only=True):
    """A place and what it gives.

    ``profile`` numbers all that a vehicle is held against there apart from its length;
    ``by_length`` tells that the length pulled out is all that counts for a train there,
    its vehicles aside.
    """

    place: Place
    given: Allowance
    profile: int
    by_length: bool


class Crosswise:
    """Trains and places, to be held against each other in any number of pairs.

    With ``shortest`` couplings that nobody has named are the shortest that may be
    meant, wherever length decides.
    """

    def __init__(
        self,
        trains: Sequence[Train],
        places: Sequence[Place],
        *,
        known_by: Sequence[Provenance],
        types: CouplingTypes,
        shortest: bool = False,
    ) -> None:
        count = len(trains)
        self._types = types
        self._shortest = shortest
        self._trains = trains
        self.grounds = tuple(_grounds(places, known_by))
        # filled in as pairs are asked for: a page may need few of them
        self._made_up: list[Coupled | None] = [None] * count
        self._lengths: list[tuple[Extent, bool | None] | None] = [None] * count
        self._suited: dict[tuple[int, int], int] = {}
        self._worst: dict[tuple[int, int], int] = {}

    def made_up(self, train: int) -> Coupled:
        """Return a train coupled up."""
        made_up = self._made_up[train]
        if made_up is None:
            made_up = self._made_up[train] = coupled(
                self._trains[train], types=self._types
            )
        return made_up

    def length(self, train: int) -> Extent:
        """Return how long a train is pulled out."""
        extent, _ = self._length(train)
        return extent

    def verdict(self, train: int, place: int) -> FitVerdict:
        """Return whether a train fits a place, by its length and in all else: what the
        question of one pair answers.
        """
        reaching = self.reaching(train, place)
        if reaching == "does_not_run":
            return "does_not_fit"
        return verdict_of_both(self.standing(train, place), reaching)

    def standing(self, train: int, place: int) -> FitVerdict:
        """Return whether a train stands in a place, however it comes there."""
        ground = self.grounds[place]
        if ground.by_length:
            return self._by_length(train, ground.given)
        stood = stand(self.made_up(train), ground.place, ground.given)
        return stood.verdict

    def reaching(self, train: int, place: int) -> CurveVerdict:
        """Return whether a train gets to a place, its length apart."""
        ground = self.grounds[place]
        worst_vehicle = self._worst_vehicle(train, ground)
        return WORST_FIRST[worst_vehicle]

    def on_the_way(self, train: int, place: int) -> tuple[Finding, ...]:
        """Return what speaks against a train's getting to a place, or is not known of
        it.
        """
        findings: list[Finding] = []
        for vehicle in self._trains[train].vehicles:
            found = self._suited_for(vehicle, place)
            findings += found.against()
        return tuple(findings)

    def pair(self, train: int, place: int) -> Paired:
        """Return a pair with its figures and its reasons."""
        ground = self.grounds[place]
        stood = stand(self.made_up(train), ground.place, ground.given)
        standing, reaching = stood.verdict, self.reaching(train, place)
        on_the_way = () if reaching == "runs" else self.on_the_way(train, place)
        return Paired(
            verdict=verdict_of_both(standing, reaching),
            standing=standing,
            reaching=reaching,
            spare_mm=stood.fit.spare_mm,
            plus_minus_mm=stood.fit.plus_minus_mm,
            because=sorted_reasons((*stood.findings, *on_the_way)),
        )

    def _suited_for(self, vehicle: Standing, place: int) -> Suited:
        ground = self.grounds[place]
        return suited(vehicle, ground.place, types=self._types)

    def _by_length(self, train: int, given: Allowance) -> FitVerdict:
        extent, mates = self._length(train)
        if mates is False:
            return "does_not_fit"
        known = extent
        if extent.missing:
            known = extent.shortest()
        verdict = at_both_ends(
            known,
            room_mm=given.room_mm or 0.0,
            room_plus_minus_mm=given.plus_minus_mm,
        )
        if verdict == "does_not_fit":
            return verdict  # too long already by what is known
        if extent.missing or not mates:
            return "cannot_tell"
        return verdict

    def _length(self, train: int) -> tuple[Extent, bool | None]:
        length = self._lengths[train]
        if length is None:
            made_up = self.made_up(train)
            extent = made_up.pulled_out()
            if self._shortest:
                extent = extent.shortest()
            length = (extent, _mates(made_up))
            self._lengths[train] = length
        return length

    def _worst_vehicle(self, train: int, ground: Ground) -> int:
        """Return the worst verdict on any vehicle of a train by its place in the order,
        worst first.
        """
        worst = self._worst.get((train, ground.profile))
        if worst is None:
            worst = min(
                (self._suits(vehicle, ground) for vehicle in self._sorts[train]),
                default=_RUNS,
            )
            self._worst[train, ground.profile] = worst
        return worst

    def _suits(self, vehicle: int, ground: Ground) -> int:
        key = (vehicle, ground.profile)
        found = self._suited.get(key)
        if found is None:
            one = self._different[vehicle]
            reaching = suited(one, ground.place, types=self._types).reaching
            found = WORST_FIRST.index(reaching)
            self._suited[key] = found
        return found

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
        sorts: list[list[int]] = []
        for train in self._trains:
            numbers = {self._numbers[_either_way(one)] for one in train.vehicles}
            sorts.append(sorted(numbers))
        return sorts


def _mates(made_up: Coupled) -> bool | None:
    """Tell whether all neighbours take hold of each other; None where nobody knows of
    some.
    """
    for _ in made_up.unmated():
        return False
    for _ in made_up.perhaps_unmated():
        return None
    return True


def _either_way(vehicle: Standing) -> Standing:
    return msgspec.structs.replace(vehicle, reversed=False, count=1)


def _grounds(
    places: Sequence[Place], known_by: Sequence[Provenance]
) -> Iterator[Ground]:
    profiles: dict[tuple[object, ...], int] = {}
    for place, source in zip(places, known_by, strict=True):
        given = allowance(place, known_by=source, stopping_margin_mm=None)
        curves = (place.minimum_radius_mm, place.no_curves)
        profile = (place.gauge_mm, place.scale, place.wheels, curves, place.headroom_mm)
        yield Ground(
            place=place,
            given=given,
            profile=profiles.setdefault(profile, len(profiles)),
            by_length=_is_by_length(place, given),
        )


def _is_by_length(place: Place, given: Allowance) -> bool:
    """Tell whether the length pulled out alone says whether a train stands there."""
    if given.room_mm is None or platform_face_mm(place) is not None:
        return False
    return place.kind not in _BY_OTHER_LENGTHS
