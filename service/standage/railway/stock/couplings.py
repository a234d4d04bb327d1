"""Couplings: how far each end reaches, and which types take hold of each other.

All figures are of one end of one vehicle, in millimetres from its buffer face outwards.
"""

from collections.abc import Iterable, Mapping
from functools import cache, cached_property
from typing import Annotated, ClassVar, Literal, NamedTuple, Self

import msgspec

from standage.railway.stock.coupling_names import bare
from standage.railway.stock.typical_reaches import GUIDED, TYPICAL_REACHES, TypicalReach
from standage.railway.terms.figures import Degrees, Name, Reach, Room, Tolerance, says
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.scales import scale as scale_called
from standage.shapes.faults import Ruled
from standage.shapes.remembering import FEW, remembered

Mounting = Literal["body", "bogie", "guided"]


class CouplingFigures(Ruled, frozen=True, kw_only=True):
    """What can be measured at one coupling."""

    reach_mm: Annotated[
        Reach | None,
        says(
            "From the buffer face to the plane where two couplings meet, pulled out,"
            " in mm."
        ),
    ] = None
    reach_plus_minus_mm: Annotated[
        Tolerance | None, says("How far off the reach may be, either way, in mm.")
    ] = None
    projection_mm: Annotated[
        Room | None,
        says(
            "How far it stands out beyond the buffer face uncoupled, in mm; the reach"
            " where not given."
        ),
    ] = None
    play_mm: Annotated[
        Room | None,
        says("How much nearer it lets its neighbour come when buffered up, in mm."),
    ] = None
    swing_deg: Annotated[
        Degrees | None, says("How far it swings to either side, in degrees.")
    ] = None
    mounting: Annotated[
        Mounting | None, says("What carries it: the body, a bogie, or a guided shaft.")
    ] = None
    pivot_behind_mm: Annotated[
        Room | None, says("From the buffer face back to its own pivot, in mm.")
    ] = None


class Coupling(CouplingFigures, frozen=True, kw_only=True):
    """The coupling at one end of a vehicle, as far as it is known; its own figures
    overrule those of its type.
    """

    said_alone: ClassVar[str | None] = "type"
    type: Annotated[
        Name | None,
        says(
            "A coupling type of the club (its id or name), a typical type, or any name:"
            " like names take hold."
        ),
    ] = None


class CouplingKind(CouplingFigures, frozen=True, kw_only=True):
    """A type of coupling: the figures it supplies, and the other types it takes hold of
    besides its own.
    """

    name: Annotated[Name, says("What the club calls it.")]
    mates_with: Annotated[
        tuple[Name, ...],
        msgspec.Meta(max_length=50),
        says("Names of the other types that it takes hold of."),
    ] = ()


class TypicalKind(CouplingKind, frozen=True, kw_only=True):
    """A type of coupling with the figures that are typical of it in some scales, and
    other words for it.
    """

    scales: tuple[ScaleName, ...]
    words: tuple[str, ...] = ()
    short: tuple[str, ...] = ()
    spans: bool = False
    from_body: bool = False


class Span(msgspec.Struct, frozen=True, kw_only=True):
    """Between what an end reaches whose coupling nobody has named, and what it stands
    out when free, in mm.

    ``shortest`` and ``longest`` are the types that reach least and farthest.
    """

    least_mm: float
    greatest_mm: float
    shortest: str
    longest: str
    free_least_mm: float
    free_greatest_mm: float


class Bearer(msgspec.Struct, frozen=True, kw_only=True):
    """What decides which typical couplings a vehicle may have; ``from_body`` where its
    length is over the body.
    """

    scale: ScaleName | None
    american: bool = False
    from_body: bool = False


def bearer(
    scale: ScaleName | None, *, american: bool | None = None, from_body: bool = False
) -> Bearer:
    """Return what a vehicle of that scale is; by its scale's own practice where nobody
    says whether it is American. ``from_body``: its length was measured over the body.
    **Source** common practice.
    """
    if american is None:
        american = scale is not None and scale_called(scale).practice == "american"
    return Bearer(
        scale=scale,
        american=american,
        from_body=from_body,
    )


def _kind_of(typical: TypicalReach) -> TypicalKind:
    return TypicalKind(
        name=typical.name,
        reach_mm=typical.reach_mm,
        reach_plus_minus_mm=typical.plus_minus_mm,
        projection_mm=typical.projection_mm,
        mates_with=typical.mates_with,
        scales=typical.scales,
        words=typical.words,
        short=typical.short,
        spans=typical.spans,
        from_body=typical.from_body,
    )


TYPICAL = tuple(map(_kind_of, TYPICAL_REACHES))


@cache
def typical_kinds(on: Bearer) -> tuple[TypicalKind, ...]:
    """Return the couplings that have a typical reach on such a vehicle; none where its
    scale is not said.

    An American knuckle counts from the end of the body. Where American stock is
    measured over buffers, which it has not, that end is meant, unless the scale has a
    figure for buffers too. Reaches in mm from the buffer face. **Source** common
    practice; each figure names its own in ``typical_reaches``.

    >>> [kind.name for kind in typical_kinds(bearer("N"))]
    ['N hook', 'guided']
    """
    from_body: list[TypicalKind] = []
    from_buffers: list[TypicalKind] = []
    for kind in TYPICAL:
        if on.scale in kind.scales:
            of_sort = from_body if kind.from_body else from_buffers
            of_sort.append(kind)
    if on.from_body:
        return (*from_body, *_not_called_like(from_body, from_buffers))
    if on.american:
        return (*from_buffers, *_not_called_like(from_buffers, from_body))
    return tuple(from_buffers)


def _not_called_like(
    those: Iterable[TypicalKind], kinds: Iterable[TypicalKind]
) -> list[TypicalKind]:
    called = {kind.name for kind in those}
    return [kind for kind in kinds if kind.name not in called]


@cache
def _of_no_said_name(on: Bearer) -> tuple[TypicalKind, ...]:
    """Return what a coupling that nobody names may be, guided ones aside: American
    stock has the knuckle.
    """
    unguided: list[TypicalKind] = []
    for kind in typical_kinds(on):
        is_guided = kind.name == GUIDED
        if not (kind.spans or is_guided):
            unguided.append(kind)
    knuckles = [kind for kind in unguided if kind.name == "knuckle"]
    if on.american and knuckles:
        return tuple(knuckles)
    return tuple(unguided)


@cache
def _meant_by(said: str, scale: ScaleName | None) -> tuple[TypicalKind, ...]:
    """Return the typical types, of any scale, that a bare name means on a vehicle of
    that scale.
    """
    return tuple(kind for kind in TYPICAL if said in _words_for(kind, scale))


def _words_for(kind: TypicalKind, scale: ScaleName | None) -> set[str]:
    """Return what means a type on a vehicle of that scale; a short word means another
    in another.
    """
    words = [kind.name, *kind.words]
    if scale in kind.scales:
        words += kind.short
    return set(map(bare, words))


def _span_of(kinds: Iterable[TypicalKind]) -> Span | None:
    reaches = [_Reaching.of(kind) for kind in kinds]
    if not reaches:
        return None
    shortest = min(reaches, key=lambda one: one.least_mm)
    longest = max(reaches, key=lambda one: one.greatest_mm)
    return Span(
        least_mm=shortest.least_mm,
        greatest_mm=longest.greatest_mm,
        shortest=shortest.name,
        longest=longest.name,
        free_least_mm=min(one.free_least_mm for one in reaches),
        free_greatest_mm=max(one.free_greatest_mm for one in reaches),
    )


class _Reaching(NamedTuple):
    """The least and the most that a typical coupling reaches, and stands out free."""

    name: str
    least_mm: float
    greatest_mm: float
    free_least_mm: float
    free_greatest_mm: float

    @classmethod
    def of(cls, kind: TypicalKind) -> Self:
        """Return what a typical coupling reaches."""
        reach_mm, off_mm = kind.reach_mm or 0.0, kind.reach_plus_minus_mm or 0.0
        least_mm, greatest_mm = reach_mm - off_mm, reach_mm + off_mm
        # one that says nothing of it stands out as far as it reaches
        free_mm = (max(0.0, least_mm), max(0.0, greatest_mm))
        if kind.projection_mm is not None:
            free_mm = (kind.projection_mm, kind.projection_mm)
        return cls(
            kind.name,
            least_mm,
            greatest_mm,
            *free_mm,
        )


class CouplingTypes(msgspec.Struct, frozen=True, cache_hash=True, dict=True):
    """The types that a name may mean: the club's own before the typical ones, names
    compared as ``bare`` has them.
    """

    club: tuple[CouplingKind, ...] = ()

    @cached_property
    def _club(self) -> Mapping[str, CouplingKind]:
        return {bare(kind.name): kind for kind in self.club}

    def kind(self, name: str | None, *, on: Bearer) -> CouplingKind | None:
        """Return the type whose figures count for a coupling called ``name`` on such a
        vehicle.

        A coupling of no said type is the typical one where there is just one, guided
        ones aside. A word that leaves open which of several it is brings no figures of
        its own: ``span`` has them.
        """
        if name is None:
            typical = _of_no_said_name(on)
            return typical[0] if len(typical) == 1 else None
        said = bare(name)
        if said in self._club:
            return self._club[said]
        meant = _meant_by(said, on.scale)
        for kind in typical_kinds(on):
            if kind in meant and not kind.spans:
                return kind
        return None

    def span(self, name: str | None, *, on: Bearer) -> Span | None:
        """Return between what a coupling called ``name`` reaches of which nobody knows
        that; None without a scale.

        A word for several types spans those; any other name, and none, all that are
        typical of the scale.
        """
        may_be = _of_no_said_name(on)
        if not may_be:
            return None
        meant = () if name is None else _meant_by(bare(name), on.scale)
        for word in meant:
            if word.spans and on.scale in word.scales:
                several = word.mates_with
                return _span_of(kind for kind in may_be if kind.name in several)
        return _span_of(kind for kind in typical_kinds(on) if not kind.spans)

    def mate(
        self, one: str, other: str, *, scale: ScaleName | None = None
    ) -> bool | None:
        """Tell whether couplings called ``one`` and ``other`` take hold of each other;
        None where nobody knows.

        Like names do, and unlike ones where either's type, the club's or a typical one
        of any scale, lists the other. A name of which nothing is on record may be
        another word for the same, and so may the club's own word for something typical.
        Guided is what carries a head, and says nothing about that.
        """
        first, second = bare(one), bare(other)
        if first == second:
            return True
        each, others = self._known(first, scale), self._known(second, scale)
        if _take_hold(first, each, second, others):
            return True
        if not each or not others:
            return None
        names = {kind.name for kind in (*each, *others)}
        if GUIDED in names:
            return None
        clubs_own = (first in self._club) + (second in self._club)
        if clubs_own != 1:
            return False
        # one is the club's own word, and may be another for the typical one it hides
        by_trade = _take_hold(
            first, _meant_by(first, scale), second, _meant_by(second, scale)
        )
        return None if by_trade else False

    def _known(self, said: str, scale: ScaleName | None) -> tuple[CouplingKind, ...]:
        if said in self._club:
            return (self._club[said],)
        return _meant_by(said, scale)


def _take_hold(
    first: str,
    each: Iterable[CouplingKind],
    second: str,
    others: Iterable[CouplingKind],
) -> bool:
    called, also_called = _names(first, each), _names(second, others)
    taken, also_taken = _mates(each), _mates(others)
    by_first = not called.isdisjoint(also_called | also_taken)
    by_second = not also_called.isdisjoint(taken)
    return by_first or by_second


def _names(said: str, kinds: Iterable[CouplingKind]) -> set[str]:
    names = {bare(kind.name) for kind in kinds}
    names.add(said)
    return names


def _mates(kinds: Iterable[CouplingKind]) -> set[str]:
    mates: set[str] = set()
    for kind in kinds:
        for mate in map(bare, kind.mates_with):
            mates.add(mate)
            mates |= _called(mate)
    return mates


def _called(said: str) -> set[str]:
    """Return the typical couplings that a word means, in any scale."""
    called: set[str] = set()
    for kind in _meant_by(said, None):
        called.add(bare(kind.name))
        # a word that leaves open which of several it is stands for each of them
        if kind.spans:
            called.update(map(bare, kind.mates_with))
    return called


@remembered(most=FEW)
def coupling_types(club: tuple[CouplingKind, ...]) -> CouplingTypes:
    """Return the types that a name may mean where those are the club's own; of equal
    ones the same, to be known by. **Source** derived.
    """
    return CouplingTypes(club)
