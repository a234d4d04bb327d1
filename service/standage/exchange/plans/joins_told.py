"""What the cells of a sheet say together of which ends meet: a join may be told on
either row or on both, and a piece may be named alone where one of its ends is possible.
"""

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence

import msgspec

from standage.exchange.numbers import Trouble
from standage.exchange.plans.join_cells import Reference, reference
from standage.railway.terms.synonyms import in_plain_letters
from standage.railway.track.plans.flat import End

Ends = Mapping[str, Sequence[str]]
"""The ends of each piece of a sheet."""
_MOST_WAITING = 64
"""No piece has so many ends: of what names it alone, the rest cannot be meant."""
_MOST_NAMED = 4


class Said(msgspec.Struct, frozen=True, kw_only=True):
    """What a cell says that one end joins; ``number`` is the join's place in the plan's
    order, less than nothing where the other end stands first in it.
    """

    row: int
    field: str
    end: End
    meant: Reference
    number: int | None = None


class ToldJoin(msgspec.Struct, frozen=True, kw_only=True):
    """Two ends that meet, and the cell that told it first."""

    ends: tuple[End, End]
    by: Said
    number: int | None = None


class Unclear(msgspec.Struct, frozen=True, kw_only=True):
    """A cell of which nobody can tell what it joins, and why."""

    said: Said
    trouble: Trouble


class Joins(msgspec.Struct, frozen=True, kw_only=True):
    """The joins of a sheet in their order, and what could not be told."""

    joins: tuple[ToldJoin, ...]
    unclear: tuple[Unclear, ...]


def joins_told(said: Iterable[Said], ends: Ends) -> Joins:
    """Return the joins that cells tell of pieces with such ends."""
    known = _Names(ends)
    meant = [msgspec.structs.replace(one, meant=known.of(one.meant)) for one in said]
    meeting = _Meeting(meant, ends)
    unclear = tuple(meeting.unclear())
    return Joins(joins=tuple(_in_order(meeting.told())), unclear=unclear)


class _Names:
    """The names of pieces and of their ends, as people write them."""

    def __init__(self, ends: Ends) -> None:
        self._ends = ends
        self._plain: dict[str, str | None] = {}
        for name in ends:
            plain = in_plain_letters(name)
            # two that are written alike are told apart by their letters only
            self._plain[plain] = None if plain in self._plain else name

    def of(self, meant: Reference) -> Reference:
        """Return a reference with the names that the sheet's own rows have."""
        if meant.is_quoted:
            return meant
        piece = self._piece(meant)
        if piece is None and meant.end is None:
            return self._with_end_behind(meant)
        return self._as_it_has(piece or meant.piece, meant)

    def _as_it_has(self, piece: str, meant: Reference) -> Reference:
        end = meant.end
        if end is not None:
            same = [one for one in self._ends.get(piece, ()) if one == end.casefold()]
            end = same[0] if same and end not in self._ends[piece] else end
        return msgspec.structs.replace(
            meant,
            piece=piece,
            end=end,
        )

    def _piece(self, meant: Reference) -> str | None:
        if meant.piece in self._ends:
            return meant.piece
        return self._plain.get(in_plain_letters(meant.piece))

    def _with_end_behind(self, meant: Reference) -> Reference:
        """Return what is written without a dot, as in P1 toe."""
        piece, _, end = meant.piece.rpartition(" ")
        whole = msgspec.structs.replace(meant, piece=piece)
        found = self._piece(whole)
        if found is None or end.casefold() not in self._ends.get(found, ()):
            return meant
        return msgspec.structs.replace(
            meant,
            piece=found,
            end=end.casefold(),
        )


class _Meeting:
    """Which ends meet, as far as that is settled."""

    def __init__(self, said: Sequence[Said], ends: Ends) -> None:
        self._said = said
        self._ends = ends
        self._told: dict[frozenset[End], tuple[int, End]] = {}
        """The place of the first cell that tells of a join, and the other end there."""
        self._numbered: dict[frozenset[End], int] = {}
        self._meets: defaultdict[End, set[End]] = defaultdict(set)
        self._at: defaultdict[End, list[Said]] = defaultdict(list)
        self._waiting: defaultdict[str, list[int]] = defaultdict(list)
        for one in said:
            self._at[one.end].append(one)
        bare: deque[int] = deque()
        for place, one in enumerate(said):
            if one.meant.end is not None:
                self._join(place, (one.meant.piece, one.meant.end))
            else:
                self._waiting[one.meant.piece].append(place)
                bare.append(place)
        self._settle(bare)

    def _settle(self, bare: deque[int]) -> None:
        """Find the ends of pieces that are named alone, each as soon as one is left."""
        open_ = set(bare)
        while bare:
            place = bare.popleft()
            if place not in open_:
                continue
            possible = self._possible(self._said[place])
            if len(possible) != 1:
                continue
            open_.discard(place)
            self._join(place, possible[0])
            for piece in (self._said[place].end[0], possible[0][0]):
                bare.extend(self._waiting[piece][:_MOST_WAITING])
        self._unsettled = sorted(open_)

    def _join(self, place: int, other: End) -> None:
        one = self._said[place]
        pair = frozenset((one.end, other))
        first = self._told.get(pair, (place, other))
        self._told[pair] = min(first, (place, other))
        if one.number is not None:
            self._numbered.setdefault(pair, place)
        self._meets[one.end].add(other)
        self._meets[other].add(one.end)

    def _possible(self, one: Said) -> list[End]:
        """Return the ends of the piece named alone that can be meant."""
        piece = one.meant.piece
        ends = [(piece, end) for end in self._ends.get(piece, ())]
        joined = [end for end in ends if end in self._meets[one.end]]
        if joined:
            return joined
        free = [end for end in ends if not self._meets[end] and end != one.end]
        back = [end for end in free if self._names_back(end, one.end[0])]
        return back or [end for end in free if end not in self._at]

    def _names_back(self, end: End, piece: str) -> bool:
        said = self._at.get(end, ())
        return any(one.meant.end is None and one.meant.piece == piece for one in said)

    def told(self) -> Iterator[ToldJoin]:
        """Yield the joins in the order of the cells that tell of them first."""
        for pair, (place, other) in sorted(self._told.items(), key=_by_place):
            by = self._said[place]
            numbered = self._numbered.get(pair)
            if numbered is None:
                yield ToldJoin(ends=(by.end, other), by=by)
            else:
                yield self._as_numbered(pair, by, self._said[numbered])

    def _as_numbered(self, pair: frozenset[End], by: Said, numbered: Said) -> ToldJoin:
        """Return a join with the end first that its number says."""
        number = numbered.number or 0
        far = next(iter(pair - {numbered.end}), numbered.end)
        ends = (numbered.end, far) if number > 0 else (far, numbered.end)
        return ToldJoin(
            ends=ends,
            by=by,
            number=abs(number),
        )

    def unclear(self) -> Iterator[Unclear]:
        """Yield the cells of which nobody can tell which end they mean."""
        for place in self._unsettled:
            one = self._said[place]
            yield Unclear(said=one, trouble=self._trouble(one))

    def _trouble(self, one: Said) -> Trouble:
        piece = one.meant.piece
        if piece not in self._ends:
            return Trouble(
                code="unknown_piece",
                message="is the name of no piece of this sheet",
                mend="write the name as the piece's own row has it",
            )
        ends = self._ends[piece][:_MOST_NAMED]
        which = " or ".join(reference(piece, end) for end in ends)
        message = f"names {piece} alone, and which of its ends is meant is not clear"
        return Trouble(code="which_end", message=message, mend=f"write {which}")


def _by_place(told: tuple[frozenset[End], tuple[int, End]]) -> int:
    return told[1][0]


def _in_order(told: Iterable[ToldJoin]) -> list[ToldJoin]:
    """Return joins with those that have a place in the plan's order first."""
    return sorted(told, key=lambda one: (one.number is None, one.number or 0))
