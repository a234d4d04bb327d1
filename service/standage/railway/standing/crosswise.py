"""Every train against every place: each train is resolved once, and a pair then only
compares lengths.

What each vehicle is to a road apart from its length depends on few figures of the road,
and many roads share them.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property, partial
from typing import NamedTuple

import msgspec

from standage.railway.curving.verdicts import WORST_FIRST, CurveVerdict
from standage.railway.roads.allowances import (
    Allowance,
    Provenance,
    allowance,
    assumed_of,
    platform_face_mm,
)
from standage.railway.roads.places import Place
from standage.railway.standing.faces import Carrying, carrying_of, held_along
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import OnTheWay, Suited, suited
from standage.railway.standing.verdicts import (
    WORST_FIRST as FITS_WORST_FIRST,
)
from standage.railway.standing.verdicts import (
    Ends,
    Finding,
    FitVerdict,
    Held,
    ends_of,
    held,
    sorted_reasons,
    verdict_of_both,
)
from standage.railway.stock.coupled import Coupled, coupled
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.extents import Extent
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.reasons import Assumed, Guess, Reason, told, worst

_BY_OTHER_LENGTHS = {"turntable", "reversing_section"}
_RUNS = WORST_FIRST.index("runs")
_UNKNOWN = WORST_FIRST.index("cannot_tell")


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


class Judged(NamedTuple):
    """What of a pair can be said without its reasons, as ``Paired`` says it."""

    verdict: FitVerdict
    standing: FitVerdict
    reaching: CurveVerdict
    spare_mm: float | None
    plus_minus_mm: float | None


class Ground(msgspec.Struct, frozen=True, kw_only=True):
    """A place and what it gives.

    ``profile`` numbers all that a vehicle is held against there apart from its length,
    ``apart_from_curves`` the same without the sharpest curve;
    ``by_length`` tells that the length pulled out is what counts for a train there,
    a platform's face and its vehicles aside.
    """

    place: Place
    given: Allowance
    room_mm: float
    """What it gives a train's length; 0 where that is not known."""
    face_mm: float | None
    profile: int
    apart_from_curves: int
    by_length: bool


class _OnRoad(dict[int, int]):
    """Whether vehicles get to one sort of road, by their numbers: each is looked at when
    it is first asked for, and of many trains most were.
    """

    def __init__(self, suits: Callable[[int], int]) -> None:
        self._suits = suits

    def __missing__(self, vehicle: int) -> int:
        found = self[vehicle] = self._suits(vehicle)
        return found


class Crosswise:
    """Trains and places, to be held against each other in any number of pairs.

    With ``shortest`` couplings that nobody has named are the shortest that may be
    meant, wherever length decides. A ``stopping_margin_mm`` counts before every
    place's own.
    """

    def __init__(
        self,
        trains: Sequence[Train],
        places: Sequence[Place],
        *,
        known_by: Sequence[Provenance],
        types: CouplingTypes,
        shortest: bool = False,
        stopping_margin_mm: float | None = None,
    ) -> None:
        count = len(trains)
        self._trains = trains
        self._types = types
        self._shortest = shortest
        self.grounds = tuple(_grounds(places, known_by, stopping_margin_mm))
        # filled in as pairs are asked for: a page may need few of them
        self._made_up: list[Coupled | None] = [None] * count
        self._lengths: list[tuple[Ends, bool | None] | None] = [None] * count
        self._carrying: dict[int, Carrying | None] = {}
        self._apart_from_curves: dict[tuple[int, int], int] = {}
        self._on_radii: dict[int, dict[float, int]] = {}
        self._worst: dict[tuple[int, int], int] = {}
        self._on_roads: dict[int, _OnRoad] = {}

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
        ends, _ = self._length(train)
        return ends.extent

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
        return self._held(train, self.grounds[place]).verdict

    def row(self, train: int) -> list[Judged]:
        """Return a train in every place with its figures, as ``pair`` has them, without
        its reasons.
        """
        reaching_by_profile: dict[int, CurveVerdict] = {}
        row: list[Judged] = []
        for ground in self.grounds:
            standing, spare_mm, plus_minus_mm = self._held(train, ground)
            reaching = reaching_by_profile.get(ground.profile)
            if reaching is None:
                reaching = WORST_FIRST[self._worst_vehicle(train, ground)]
                reaching_by_profile[ground.profile] = reaching
            verdict = verdict_of_both(standing, reaching)
            row.append(Judged(verdict, standing, reaching, spare_mm, plus_minus_mm))
        return row

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

    def guessed_on_the_way(self, *, most: int) -> list[Guess] | None:
        """Return what is taken for granted of vehicles on their way to places; None of
        more than so many vehicles and sorts of road.
        """
        roads: dict[int, Place] = {}
        for ground in self.grounds:
            roads.setdefault(ground.profile, ground.place)
        vehicles = dict.fromkeys(
            one for train in self._trains for one in train.vehicles
        )
        if len(roads) * len(vehicles) > most:
            return None
        guesses: list[Guess] = []
        for place in roads.values():
            for vehicle in vehicles:
                guesses += suited(vehicle, place, types=self._types).guesses
        return guesses

    def assumed(self, on_the_way: Iterable[Guess] = ()) -> Iterator[Assumed]:
        """Yield what is taken for granted of how long the trains are, of what the
        places give, and, as given, of how vehicles get there.
        """
        guesses: dict[Guess, None] = {}
        for train in range(len(self._trains)):
            guesses |= dict.fromkeys(self.made_up(train).guesses())
        guesses |= dict.fromkeys(on_the_way)
        yield from told(guesses)
        yield from assumed_of(ground.given for ground in self.grounds)

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

    def _held(self, train: int, ground: Ground) -> Held:
        """Return how a train stands in a place: by its length where nothing else
        counts there.
        """
        if not ground.by_length:
            stood = stand(self.made_up(train), ground.place, ground.given)
            return Held(stood.verdict, stood.fit.spare_mm, stood.fit.plus_minus_mm)
        by_length = self._by_length(train, ground)
        if ground.face_mm is None:
            return by_length
        return self._beside_the_face(train, ground, by_length)

    def _by_length(self, train: int, ground: Ground) -> Held:
        ends, mates = self._lengths[train] or self._length(train)
        by_length = held(
            ends,
            room_mm=ground.room_mm,
            room_plus_minus_mm=ground.given.plus_minus_mm,
        )
        if mates or by_length.verdict == "does_not_fit":
            return by_length
        # neighbours that do not take hold, or of which nobody knows
        return by_length._replace(
            verdict="does_not_fit" if mates is False else "cannot_tell"
        )

    def _beside_the_face(self, train: int, ground: Ground, by_length: Held) -> Held:
        """Return the worse of the length and of what stands at the platform's face."""
        carrying = self._carried(train)
        if carrying is None:
            return by_length
        along = held_along(
            carrying,
            face_mm=ground.face_mm or 0.0,
            plus_minus_mm=ground.given.plus_minus_mm,
        )
        if along == by_length.verdict:
            return by_length
        verdicts = (by_length.verdict, along)
        return by_length._replace(verdict=worst(verdicts, order=FITS_WORST_FIRST))

    def _carried(self, train: int) -> Carrying | None:
        if train not in self._carrying:
            carrying = carrying_of(self.made_up(train))
            if carrying is not None and self._shortest:
                carrying = carrying.shortest()
            self._carrying[train] = carrying
        return self._carrying[train]

    def _length(self, train: int) -> tuple[Ends, bool | None]:
        length = self._lengths[train]
        if length is None:
            made_up = self.made_up(train)
            extent = made_up.pulled_out()
            if self._shortest:
                extent = extent.shortest()
            length = (ends_of(extent), _mates(made_up))
            self._lengths[train] = length
        return length

    def _worst_vehicle(self, train: int, ground: Ground) -> int:
        """Return the worst verdict on any vehicle of a train by its place in the order,
        worst first.
        """
        key = (train, ground.profile)
        found = self._worst.get(key)
        if found is None:
            on_road = self._on_roads.get(ground.profile)
            if on_road is None:
                suits = partial(self._suits, ground=ground)
                on_road = self._on_roads[ground.profile] = _OnRoad(suits)
            each = map(on_road.__getitem__, self._sorts[train])
            found = self._worst[key] = min(each, default=_RUNS)
        return found

    def _suits(self, vehicle: int, ground: Ground) -> int:
        """Return whether a vehicle gets to a place: the worse of the curves on the way
        and of all else.
        """
        key = (vehicle, ground.apart_from_curves)
        apart = self._apart_from_curves.get(key)
        if apart is None:
            one = self._different[vehicle]
            reaching = one.reaching_apart_from_curves(ground.place)
            apart = self._apart_from_curves[key] = WORST_FIRST.index(reaching)
        return min(apart, self._on_curves(vehicle, ground.place))

    def _on_curves(self, vehicle: int, place: Place) -> int:
        if place.minimum_radius_mm is None:
            return _RUNS if place.no_curves else _UNKNOWN
        on_radii = self._on_radii.get(vehicle)
        if on_radii is None:
            found = self._different[vehicle].on_radii(self._radii_mm)
            order = map(WORST_FIRST.index, found)
            on_radii = dict(zip(self._radii_mm, order, strict=True))
            self._on_radii[vehicle] = on_radii
        return on_radii[place.minimum_radius_mm]

    @cached_property
    def _radii_mm(self) -> list[float]:
        radii_mm = {one.place.minimum_radius_mm for one in self.grounds}
        return sorted(one for one in radii_mm if one is not None)

    @cached_property
    def _numbers(self) -> dict[Standing, int]:
        numbers: dict[Standing, int] = {}
        for train in self._trains:
            for vehicle in train.vehicles:
                numbers.setdefault(_either_way(vehicle), len(numbers))
        return numbers

    @cached_property
    def _different(self) -> list[OnTheWay]:
        return [OnTheWay(one, types=self._types) for one in self._numbers]

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
    """Return a vehicle as it is judged on its way: whichever way round, and whatever it
    is called.
    """
    return msgspec.structs.replace(vehicle, name="", reversed=False, count=1)


def _grounds(
    places: Sequence[Place],
    known_by: Sequence[Provenance],
    stopping_margin_mm: float | None,
) -> Iterator[Ground]:
    profiles: dict[tuple[object, ...], int] = {}
    apart_from_curves: dict[tuple[object, ...], int] = {}
    for place, source in zip(places, known_by, strict=True):
        given = allowance(place, known_by=source, stopping_margin_mm=stopping_margin_mm)
        apart = (place.gauge_mm, place.scale, place.wheels, place.headroom_mm)
        profile = (*apart, place.minimum_radius_mm, place.no_curves)
        yield Ground(
            place=place,
            given=given,
            room_mm=given.room_mm or 0.0,
            face_mm=platform_face_mm(place),
            profile=profiles.setdefault(profile, len(profiles)),
            apart_from_curves=apart_from_curves.setdefault(
                apart, len(apart_from_curves)
            ),
            by_length=_is_by_length(place, given),
        )


def _is_by_length(place: Place, given: Allowance) -> bool:
    """Tell whether the length pulled out says whether a train stands there."""
    if given.room_mm is None:
        return False
    return place.kind not in _BY_OTHER_LENGTHS
