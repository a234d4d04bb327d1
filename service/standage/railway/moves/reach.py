"""What a train may come to at all from where it stands, whatever its length."""

from collections.abc import Iterable

from standage.railway.moves.ground import Ground
from standage.railway.track.network.network import Course


def strands_in_reach(ground: Ground, courses: Iterable[Course]) -> frozenset[int]:
    """Return the strands that lie on any way on from some courses, run over either way
    round, with theirs. **Source** derived.
    """
    waiting = list(courses)
    seen: set[int] = set()
    while waiting:
        strand = waiting.pop() >> 1
        if strand in seen:
            continue
        seen.add(strand)
        for course in (2 * strand, 2 * strand + 1):
            waiting += ground.onwards(course)
    return frozenset(seen)


def unknown_in_reach(ground: Ground, courses: Iterable[Course]) -> tuple[str, ...]:
    """Return the pieces of which a length or a fouling point is not known, as far as a
    train may come to them. **Source** derived.
    """
    if not ground.unknown:
        return ()
    network = ground.network
    reached = {network.piece_of[strand] for strand in strands_in_reach(ground, courses)}
    return tuple(piece for piece in ground.unknown if piece in reached)
