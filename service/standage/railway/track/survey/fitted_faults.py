"""Fitted track that nothing can be laid for, and what would make it possible."""

from collections.abc import Iterator

from standage.railway.track.placing.placing import Placing, is_fitted
from standage.railway.track.plans.flat import End, written
from standage.shapes.faults import Fault, escaped

_ENDS = ("a", "b")


def unfitted(placed: Placing) -> Iterator[Fault]:
    """Yield a fault for each fitted piece that could not be laid. **Source** derived."""
    for name, piece in placed.flat.pieces.items():
        if is_fitted(piece):
            message = _why_not(placed, name)
            if message is not None:
                at = _pointer(name)
                yield Fault(
                    code="cannot_be_fitted",
                    message=message,
                    pointer=at,
                )


def _why_not(placed: Placing, name: str) -> str | None:
    joint = placed.flat.joint
    free = [end for end in _ENDS if (name, end) not in joint]
    if free:
        ends = " and ".join(free)
        return f"{name} is laid between two ends: join its {ends} too"
    fit = placed.fits.get(name)
    mates = [joint[name, end] for end in _ENDS]
    if fit is None:
        return _without_a_place(placed, name, mates)
    if fit.runs is not None:
        return None
    one, other = (written(mate) for mate in mates)
    return (
        f"no curve of up to half a circle leads from {one} to {other}: turn or move one"
        f" of them, or lay {name} of segments"
    )


def _without_a_place(placed: Placing, name: str, mates: list[End]) -> str:
    for mate, _ in mates:
        if mate == name:
            return f"{name} is joined to itself: join it to two ends that have a place"
        if mate in placed.frames:
            continue
        missing = f"{name} is laid between two ends that have a place, and {mate} has"
        if placed.flat.shapes[mate].has_shape:
            return f"{missing} none: say where it is placed"
        return f"{missing} none: lay {name} of segments, or give its length as a track"
    return f"{name} is laid between two ends that have a place: say where they are"


def _pointer(name: str) -> str:
    module, _, piece = name.rpartition("/")
    above = f"/modules/{escaped(module)}/plan" if module else ""
    return f"{above}/pieces/{escaped(piece)}"
