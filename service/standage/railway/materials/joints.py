"""Joints between pieces with their joiners, and what is fitted to the track."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import msgspec

from standage.railway.materials.goods import Good, What, module_of, whole_state
from standage.railway.materials.pieces import is_nothing
from standage.railway.polarity.metal import AT_THE_JOINT_MM, Metal, Part, metal
from standage.railway.terms.figures import tidy_if_known
from standage.railway.track.pieces.end_pieces import BufferStop, OpenEnd
from standage.railway.track.pieces.shapes import Strand, is_knot
from standage.railway.track.plans.flat import End
from standage.railway.track.plans.plan import Fitting, FittingKind
from standage.railway.track.survey.survey import Survey

_FITTED: dict[FittingKind, What] = {"feed": "feeds", "uncoupling": "uncouplers"}
_RAILS = 2
Open = tuple[bool, bool]
"""Whether there is a gap in the left rail and in the right one, looking out of an
end."""


class Fitted(msgspec.Struct, frozen=True, kw_only=True):
    """What joints and fittings take, and the gaps that are on no track."""

    goods: tuple[Good, ...]
    off_the_track: tuple[Fitting, ...]


def goods_of_joints(found: Survey) -> Fitted:
    """Return the joiners of a plan, its gaps and its feeds. **Source** derived."""
    laid = metal(found.network, found.plan.fittings)
    goods = list(_Joints(found, laid).goods())
    goods += _sawn(found, laid)
    goods += _feeds(found)
    return Fitted(goods=tuple(goods), off_the_track=laid.off_the_track)


class _Joints:
    """The joints of a plan, over track of no length."""

    def __init__(self, found: Survey, laid: Metal) -> None:
        self._flat = found.placed.flat
        self._shapes = found.placed.shapes
        self._open: dict[End, Open] = {}
        network = found.network
        for joint in laid.joints:
            if joint.join is None:
                continue
            arriving, back = joint.arriving, joint.leaving ^ 1
            end = (network.piece(arriving), network.leads_to(arriving))
            other = (network.piece(back), network.leads_to(back))
            self._open[end] = (joint.open_left, joint.open_right)
            self._open[other] = (joint.open_right, joint.open_left)

    def goods(self) -> Iterator[Good]:
        """Yield the joiners of each joint, or that boards meet there."""
        known: set[frozenset[End]] = set()
        for end in self._flat.joint:
            if is_nothing(self._shapes[end[0]]):
                continue
            beyond = self._beyond(end)
            if beyond is None:
                continue
            other, gaps = beyond
            joint = frozenset((end, other))
            if joint in known or not (self._has_rails(end) and self._has_rails(other)):
                continue
            known.add(joint)
            yield from self._joiners(end, other, gaps)

    def _beyond(self, end: End) -> tuple[End, Open] | None:
        """Return the end that meets one, and the gaps between them; None where only
        track of no length is joined to it.
        """
        left = right = False
        leaving = end
        passed: set[End] = set()
        while leaving not in passed:
            passed.add(leaving)
            met = self._flat.joint.get(leaving)
            if met is None:
                return None
            gap_left, gap_right = self._open.get(leaving, (False, False))
            left, right = left or gap_left, right or gap_right
            if not is_nothing(self._shapes[met[0]]):
                return met, (left, right)
            leaving = (met[0], "b" if met[1] == "a" else "a")
        return None

    def _has_rails(self, end: End) -> bool:
        """Tell whether rails go on from an end without moving away: not of a deck, and
        not where a stop only stands on the track.
        """
        piece = self._flat.pieces[end[0]]
        if isinstance(piece, OpenEnd):
            return False
        if isinstance(piece, BufferStop) and piece.length_mm == 0:
            return False
        return self._shapes[end[0]].edge is None

    def _joiners(self, end: End, other: End, gaps: Open) -> Iterator[Good]:
        if module_of(end[0]) != module_of(other[0]):
            yield self._good("board_joints", end, other, gaps, count=1)
            return
        insulated = sum(gaps)
        if insulated < _RAILS:
            plain = _RAILS - insulated
            yield self._good("joiners", end, other, gaps, count=plain)
        if insulated:
            yield self._good("insulated_joiners", end, other, gaps, count=insulated)

    def _good(
        self, what: What, end: End, other: End, gaps: Open, *, count: int
    ) -> Good:
        one, two = sorted((end, other))
        pieces = [self._flat.pieces[name] for name in (one[0], two[0])]
        modules = {module_of(one[0]), module_of(two[0])}
        figures = [msgspec.structs.replace(piece, state=None) for piece in pieces]
        lengths = [_lengths(self._shapes[name].strands) for name in (one[0], two[0])]
        seen = gaps if one == end else gaps[::-1]
        return Good(
            what=what,
            pieces=(one[0], two[0]),
            module=modules.pop() if len(modules) == 1 else "",
            state=whole_state(tuple(piece.state or "planned" for piece in pieces)),
            count=count,
            made_of=(one, two, seen, *figures, *lengths),
        )


def _lengths(strands: tuple[Strand, ...]) -> tuple[float | None, ...]:
    return tuple(tidy_if_known(strand.length_mm) for strand in strands)


def _sawn(found: Survey, laid: Metal) -> Iterator[Good]:
    """Yield the gaps in rails away from joints, by piece: each rail counts."""
    counts: dict[str, int] = {}
    for track, strand in enumerate(laid.network.strands):
        rails = _cut_rails(strand, laid.parts[track])
        if rails:
            piece = laid.piece_of[track]
            counts[piece] = counts.get(piece, 0) + rails
    for piece, count in counts.items():
        yield _on_a_piece(found, "gaps", piece, count=count)


def _cut_rails(strand: Strand, parts: Sequence[Part]) -> int:
    """Return how many times a rail of a strand is cut; a gap where nothing is joined
    to its end is none.
    """
    last_mm = parts[-1].to_mm - AT_THE_JOINT_MM
    cuts = 0
    for part, other in pairwise(parts):
        at_start = part.to_mm <= AT_THE_JOINT_MM and not is_knot(strand.start)
        at_finish = part.to_mm >= last_mm and not is_knot(strand.finish)
        if not at_start and not at_finish:
            cuts += (other.left - part.left) + (other.right - part.right)
    return cuts


def _feeds(found: Survey) -> Iterator[Good]:
    """Yield feeds and uncouplers, as many as are on pieces that there are."""
    for fitting in found.plan.fittings:
        what = _FITTED.get(fitting.kind)
        if what is not None and fitting.piece in found.placed.flat.pieces:
            yield _on_a_piece(found, what, fitting.piece, made_of=(fitting,))


def _on_a_piece(
    found: Survey,
    what: What,
    piece: str,
    *,
    count: int = 1,
    made_of: tuple[object, ...] = (),
) -> Good:
    return Good(
        what=what,
        pieces=(piece,),
        module=module_of(piece),
        state=found.placed.flat.pieces[piece].state or "planned",
        count=count,
        made_of=made_of,
    )
