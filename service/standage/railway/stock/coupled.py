"""A train as it stands coupled: each vehicle the way round it is, every joint, any
stretch of it measured out, and the rakes (cuts) that it is made up of: vehicles that
stay together.
"""

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from itertools import pairwise
from typing import Any, TypeVar

import msgspec

from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.ends import At, End, end_of, with_shortest
from standage.railway.stock.extents import (
    PLUS_MINUS_MM,
    Extent,
    KnownLength,
    Unsaid,
    length_of,
    total,
)
from standage.railway.stock.joints import closing_mm, gap
from standage.railway.stock.trains import MeasuredRake, Train
from standage.railway.stock.vehicles import EndsOver, LengthOver, Standing
from standage.railway.terms.figures import millimetres, tidy
from standage.railway.terms.reasons import Guess
from standage.shapes.remembering import FEW, remembered

M = TypeVar("M")


class WholeLength(msgspec.Struct, frozen=True, kw_only=True):
    """The length of a rake measured as a whole, coupled and pulled out, in mm."""

    length_mm: float
    length_over: EndsOver
    length_plus_minus_mm: float | None = None


class Rake(msgspec.Struct, frozen=True, kw_only=True):
    """Vehicles in order from the rake's own head, and its length where it was measured
    whole.
    """

    vehicles: tuple[Standing, ...]
    whole: WholeLength | None = None

    def turned(self) -> "Rake":
        """Return the rake the other way round: its order reversed, and every vehicle's
        facing with it.
        """
        faced = (
            msgspec.structs.replace(one, reversed=not one.reversed)
            for one in reversed(self.vehicles)
        )
        return msgspec.structs.replace(self, vehicles=tuple(faced))


def strung(
    entries: Sequence[Standing | Rake], *, measured_rakes: Sequence[MeasuredRake] = ()
) -> Train:
    """Return the train that ``entries``, in order from the head, make: every rake is
    replaced by its vehicles.

    ``measured_rakes`` count the entries and must lie within them; the train's own count
    its vehicles. A rake that was measured whole brings that length along, unless one of
    ``measured_rakes`` covers it: what was measured of the train as it stands overrules.
    **Source** derived.
    """
    vehicles: list[Standing] = []
    starts: list[int] = []  # each entry's first vehicle, counted from 1
    for one in entries:
        starts.append(len(vehicles) + 1)
        if isinstance(one, Rake):
            vehicles += one.vehicles
        else:
            vehicles.append(one)
    starts.append(len(vehicles) + 1)
    measured: list[MeasuredRake] = []
    covered: set[int] = set()
    for whole in measured_rakes:
        first, last = starts[whole.first - 1], starts[whole.last] - 1
        measured.append(msgspec.structs.replace(whole, first=first, last=last))
        covered.update(range(whole.first - 1, whole.last))
    left = [pair for pair in enumerate(entries) if pair[0] not in covered]
    measured += _measured_whole(left, starts)
    measured.sort(key=lambda rake: rake.first)
    return Train(
        vehicles=tuple(vehicles),
        measured_rakes=tuple(measured),
    )


def _measured_whole(
    entries: Sequence[tuple[int, Standing | Rake]], starts: Sequence[int]
) -> Iterator[MeasuredRake]:
    for entry, one in entries:
        if isinstance(one, Rake) and one.whole is not None:
            yield MeasuredRake(
                first=starts[entry],
                last=starts[entry + 1] - 1,
                length_mm=one.whole.length_mm,
                length_over=one.whole.length_over,
                length_plus_minus_mm=one.whole.length_plus_minus_mm,
            )


class Member(msgspec.Struct, frozen=True, kw_only=True):
    """One vehicle in the train; ``head`` is its end towards the head of the train,
    whichever way round it stands.
    """

    vehicle: Standing
    length: KnownLength
    head: End
    tail: End

    @property
    def name(self) -> str:
        """What the vehicle is called."""
        return self.vehicle.name

    @property
    def unsaid(self) -> tuple[Unsaid, ...]:
        """Its couplings that nobody has named."""
        return (*self.head.reach.unsaid, *self.tail.reach.unsaid)

    def shortest(self) -> "Member":
        """Return the vehicle with the shortest of the couplings that may be meant."""
        return msgspec.structs.replace(
            self, head=with_shortest(self.head), tail=with_shortest(self.tail)
        )


class Block(msgspec.Struct, frozen=True, kw_only=True):
    """Vehicles ``first`` to ``last`` of the train, counted from 0, whose length is
    known as one: one, or a rake.
    """

    first: int
    last: int
    extent: Extent
    head: End
    tail: End
    guesses: tuple[Guess, ...] = ()


class Coupled(msgspec.Struct, frozen=True, kw_only=True, dict=True):
    """Vehicles in order from the head, like ones counted out, with the rakes that were
    measured whole.
    """

    members: tuple[Member, ...]
    rakes: tuple[Block, ...]
    types: CouplingTypes
    whole: tuple[Block, ...]
    """All the vehicles, as their lengths are known."""

    def blocks(self, first: int, last: int) -> Sequence[Block]:
        """Return vehicles ``first`` to ``last`` as their lengths are known: rakes
        wholly among them, else singly.
        """
        is_whole = first == 0 and last == len(self.members) - 1
        if is_whole:
            return self.whole
        return _blocks(self.members, self.rakes, first=first, last=last)

    def span(self, first: int, last: int) -> Extent:
        """Return the length pulled out from the outer face of vehicle ``first`` to that
        of ``last``, in mm.
        """
        span = self._spans.get((first, last))
        if span is None:
            blocks = self.blocks(first, last)
            extents = [block.extent for block in blocks]
            extents += [gap(one.tail, two.head) for one, two in pairwise(blocks)]
            span = self._spans[first, last] = total(extents)
        return span

    @cached_property
    def _spans(self) -> dict[tuple[int, int], Extent]:
        """What was measured out so far: for each place the same is asked for."""
        return {}

    def lying_in_mm(self, places: Sequence[int], *, first: int, last: int) -> float:
        """Return how long the vehicles at ``places`` of ``first`` to ``last`` are, in
        mm; where nobody knows one's own length, the rake that it was measured in.
        """
        within_mm = 0.0
        for block in self.blocks(first, last) if places else ():
            inside = [one for one in places if block.first <= one <= block.last]
            lengths = [self.members[one].length.extent for one in inside]
            if any(one.missing for one in lengths):
                lengths = [block.extent]
            within_mm += sum(one.known_mm for one in lengths)
        return within_mm

    def once(self, make: Callable[["Coupled"], M]) -> M:
        """Return what ``make`` works out of this train, which is done once: a train is
        held against many places.
        """
        made: M | None = self._made.get(make)
        if made is None:
            made = self._made[make] = make(self)
        return made

    @cached_property
    def _made(self) -> dict[object, Any]:
        return {}

    def pulled_out(self) -> Extent:
        """Return the train's length pulled out: vehicles, joints, and what stands out
        at the two free ends.
        """
        return self._pulled_out

    @cached_property
    def _pulled_out(self) -> Extent:
        head, tail = self.outer_ends()
        last = len(self.members) - 1
        span = self.span(0, last)
        return total((span, head.projection, tail.projection))

    def buffered_up_mm(self) -> float | None:
        """Return the train's length buffered up; None where the length pulled out is
        not known.
        """
        return self._buffered_up_mm

    @cached_property
    def _buffered_up_mm(self) -> float | None:
        pulled_out_mm = self.pulled_out().length_mm
        if pulled_out_mm is None:
            return None
        closed_mm = 0.0
        for one, two in pairwise(self.whole):
            closed_mm += closing_mm(one.tail, two.head)
        # rakes close up inside as well, though they were measured whole
        inside_mm = 0.0
        for rake in self.rakes:
            inside = self.members[rake.first : rake.last + 1]
            for leading, following in pairwise(inside):
                inside_mm += closing_mm(leading.tail, following.head)
        return pulled_out_mm - (closed_mm + inside_mm)

    def outer_ends(self) -> tuple[End, End]:
        """Return the free end at the head of the train and the one at its tail."""
        return self.whole[0].head, self.whole[-1].tail

    def unmated(self) -> Iterator[tuple[Member, Member]]:
        """Yield the neighbours whose couplings do not take hold of each other; what is
        not said is taken to.
        """
        return self._holding(hold=False)

    def perhaps_unmated(self) -> Iterator[tuple[Member, Member]]:
        """Yield the neighbours of which nobody knows whether their couplings take hold
        of each other.
        """
        return self._holding(hold=None)

    def _holding(self, *, hold: bool | None) -> Iterator[tuple[Member, Member]]:
        for (one, two), holds in zip(pairwise(self.members), self._holds, strict=True):
            if holds is hold:
                yield one, two

    @cached_property
    def _holds(self) -> list[bool | None]:
        """Whether each two neighbours take hold of each other, from the head."""
        return [
            take_hold(one.tail, two.head, types=self.types)
            for one, two in pairwise(self.members)
        ]

    def guesses(self) -> Sequence[Guess]:
        """Return what had to be guessed for the length pulled out."""
        return self._guesses

    @cached_property
    def _guesses(self) -> tuple[Guess, ...]:
        head, tail = self.outer_ends()
        found = [*head.projection_guesses]
        for block in self.whole:
            found += block.guesses
        for one, two in pairwise(self.whole):
            found += one.tail.reach_guesses
            found += two.head.reach_guesses
        found += tail.projection_guesses
        for first, second in pairwise(self.members):
            found += first.tail.joint_guesses
            found += second.head.joint_guesses
        return tuple(found)

    def without(self, dropped: frozenset[int]) -> "Coupled":
        """Return the train with the vehicles at those places left off and the rest
        closed up.

        A rake that loses a vehicle counts by its parts. At least one vehicle must stay.
        """
        stays: list[Member] = []
        place: dict[int, int] = {}
        for position, member in enumerate(self.members):
            if position not in dropped:
                place[position] = len(stays)
                stays.append(member)
        rakes: list[Block] = []
        for rake in self.rakes:
            inside = range(rake.first, rake.last + 1)
            if dropped.isdisjoint(inside):
                first, last = place[rake.first], place[rake.last]
                rakes.append(msgspec.structs.replace(rake, first=first, last=last))
        return of_members(tuple(stays), tuple(rakes), self.types)


@remembered(most=FEW)
def coupled(train: Train, *, types: CouplingTypes) -> Coupled:
    """Return ``train`` coupled up, every figure of its vehicles and couplings resolved
    once.

    The train has at least one vehicle, and its rakes lie within it and apart.
    **Source** derived.
    """
    members: list[Member] = []
    starts: list[int] = []
    for vehicle in train.vehicles:
        starts.append(len(members))
        members.extend([_member(vehicle, types)] * vehicle.count)
    starts.append(len(members))
    rakes = tuple(
        _rake(
            rake,
            members,
            first=starts[rake.first - 1],
            last=starts[rake.last] - 1,
            types=types,
        )
        for rake in train.measured_rakes
    )
    return of_members(tuple(members), rakes, types)


def of_members(
    members: tuple[Member, ...], rakes: tuple[Block, ...], types: CouplingTypes
) -> Coupled:
    """Return a train of vehicles that are resolved already, in their order, with those
    rakes of them. **Source** derived.
    """
    last = len(members) - 1
    whole = _blocks(members, rakes, first=0, last=last)
    return Coupled(
        members=members,
        rakes=rakes,
        types=types,
        whole=whole,
    )


def _blocks(
    members: Sequence[Member], rakes: Sequence[Block], *, first: int, last: int
) -> tuple[Block, ...]:
    whole = [rake for rake in rakes if first <= rake.first <= rake.last <= last]
    begun = {rake.first: rake for rake in whole}
    found: list[Block] = []
    place = first
    while place <= last:
        block = begun.get(place) or _single(members[place], place)
        found.append(block)
        place = block.last + 1
    return tuple(found)


def take_hold(leading: End, following: End, *, types: CouplingTypes) -> bool | None:
    """Tell whether two ends take hold of each other, None where nobody knows; where a
    type is not said they do. **Source** common practice; see ``stock.mating``.
    """
    if leading.type is None or following.type is None:
        return True
    return types.mate(
        leading.type, following.type, scale=leading.scale or following.scale
    )


@remembered()
def _member(vehicle: Standing, types: CouplingTypes) -> Member:
    length = length_of(vehicle)
    head, tail = _ends(vehicle, vehicle, over=length.over, types=types)
    return Member(
        vehicle=vehicle,
        length=length,
        head=head,
        tail=tail,
    )


def _ends(
    first: Standing, last: Standing, *, over: LengthOver, types: CouplingTypes
) -> tuple[End, End]:
    at_head: At = "rear" if first.reversed else "front"
    at_tail: At = "front" if last.reversed else "rear"
    head = end_of(
        first,
        at=at_head,
        over=over,
        types=types,
    )
    tail = end_of(
        last,
        at=at_tail,
        over=over,
        types=types,
    )
    return head, tail


def _single(member: Member, position: int) -> Block:
    return Block(
        first=position,
        last=position,
        extent=member.length.extent,
        head=member.head,
        tail=member.tail,
        guesses=member.length.guesses,
    )


def _rake(
    rake: MeasuredRake,
    members: list[Member],
    *,
    first: int,
    last: int,
    types: CouplingTypes,
) -> Block:
    head, tail = _ends(
        members[first].vehicle,
        members[last].vehicle,
        over=rake.length_over,
        types=types,
    )
    plus_minus_mm = rake.length_plus_minus_mm
    guesses: tuple[Guess, ...] = ()
    if plus_minus_mm is None:
        plus_minus_mm = PLUS_MINUS_MM["measured"]
        about = (
            f"the rake measured whole is taken as good to {millimetres(plus_minus_mm)}"
            " either way"
        )
        name = members[first].name
        if last > first:
            name += f" to {members[last].name}"
        guess = Guess(
            vehicle=name,
            field="length_plus_minus_mm",
            about=about,
            source="default",
            plus_minus_mm=plus_minus_mm,
        )
        guesses = (guess,)
    extent = Extent(known_mm=tidy(rake.length_mm), plus_minus_mm=tidy(plus_minus_mm))
    return Block(
        first=first, last=last, extent=extent, head=head, tail=tail, guesses=guesses
    )
