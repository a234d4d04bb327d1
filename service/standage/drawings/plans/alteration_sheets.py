"""Two plans laid over each other: grey under what is new, broken where track goes, and a
ring where it is laid and has to come up.
"""

from collections.abc import Iterator, Sequence

import msgspec

from standage.drawings.plans.content import Content, DrawnRoad, Named, content
from standage.drawings.plans.listings import Listing, columns
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import laid_out
from standage.drawings.plans.plan_sheets import PlanDrawn, drawn_group
from standage.drawings.plans.sheets import Pages, Told
from standage.drawings.plans.title_blocks import name_of
from standage.drawings.plans.ways import Bend, along, bends_of
from standage.railway.alterations.pieces_changed import (
    ChangedPiece,
    PiecesChanged,
    common_motion,
)
from standage.railway.terms.figures import millimetres
from standage.railway.track.paths.spots import Spot
from standage.railway.track.placing.placing import within
from standage.railway.track.survey.survey import Survey

MEANING = "grey: new or altered · broken: goes · ring: laid, and has to come up"
_STEPS = 24

Strand = tuple[Bend, ...]


class DrawnAlteration(msgspec.Struct, frozen=True, kw_only=True):
    """What is drawn of an alteration: both plans, what it does to the pieces, and what
    is said of it.
    """

    before: Survey
    after: Survey
    pieces: PiecesChanged
    notes: tuple[str, ...]


def alteration_pages(drawn: DrawnAlteration, look: Look) -> Pages:
    """Return the plan as altered, with what it was beneath it."""
    shown = _shown(drawn)
    laid = laid_out(shown, look)
    group, nameless = drawn_group(shown, laid, look)
    whole = PlanDrawn(
        found=drawn.after,
        look=look,
        laid=laid,
        group=group,
        lists=columns(laid.paper, list(_listings(shown, drawn, nameless))),
        meaning=MEANING,
        is_empty=shown.is_empty,
    )
    told = Told(
        title=f"Changes of {name_of(drawn.after.plan)}",
        description=" ".join(drawn.notes),
    )
    if not laid.paper.is_printed:
        return whole.narrow(told)
    return whole.on_pages(told)


def _shown(drawn: DrawnAlteration) -> Content:
    """Return the plan as altered, new track where roads were, and old track where track
    at fault was; without marks, which say nothing of what changes.
    """
    shown = content(drawn.after)
    motion = common_motion(drawn.before, drawn.after)
    pieces = drawn.pieces
    new = [one.piece for one in (*pieces.added, *pieces.altered, *pieces.moved)]
    old = [one.piece for one in (*pieces.removed, *pieces.altered, *pieces.moved)]
    return msgspec.structs.replace(
        shown,
        sound=(*shown.sound, *shown.doubtful),
        doubtful=tuple(_gone(drawn, old, motion)),
        roads=tuple(_laid_anew(drawn.after, new)),
        gaps=tuple(_coming_up(drawn, motion)),
        marks=(),
        wrong=(),
        stops=() if shown.is_empty else shown.stops,
    )


def _strands(found: Survey, pieces: Sequence[str]) -> Iterator[tuple[str, Strand]]:
    """Yield all track of some pieces that has a place, with the piece's name."""
    wanted = set(pieces)
    for number, piece in enumerate(found.network.piece_of):
        bends = tuple(bends_of(found, number)) if piece in wanted else ()
        if bends:
            yield piece, bends


def _gone(
    drawn: DrawnAlteration, pieces: Sequence[str], motion: Spot
) -> Iterator[Strand]:
    """Yield the track that was, laid upon the plan as altered."""
    for _, bends in _strands(drawn.before, pieces):
        yield tuple(_moved(bend, motion) for bend in bends)


def _moved(bend: Bend, motion: Spot) -> Bend:
    return bend._replace(start=within(motion, bend.start))


def _laid_anew(found: Survey, pieces: Sequence[str]) -> Iterator[DrawnRoad]:
    lines: dict[str, list[tuple[complex, ...]]] = {}
    for piece, bends in _strands(found, pieces):
        whole_mm = sum(bend.length_mm for bend in bends)
        step_mm = max(1.0, whole_mm / _STEPS)
        lines.setdefault(piece, []).append(tuple(along(bends, step_mm=step_mm)))
    for number, (piece, usable) in enumerate(lines.items(), 1):
        yield DrawnRoad(
            number=number,
            name=piece,
            usable=tuple(usable),
            middle=None,
            usable_mm=None,
            too_close=False,
        )


def _coming_up(drawn: DrawnAlteration, motion: Spot) -> Iterator[Named]:
    """Yield the middle of each piece that is laid and has to come up, where it was."""
    coming_up = [one.piece for one in drawn.pieces.coming_up]
    ringed: set[str] = set()
    for piece, bends in _strands(drawn.before, coming_up):
        if piece not in ringed:
            ringed.add(piece)
            middle = bends[len(bends) // 2]
            half = middle._replace(length_mm=middle.length_mm / 2)
            yield Named(name=piece, place=_moved(half, motion).end.point)


def _listings(
    shown: Content, drawn: DrawnAlteration, nameless: Sequence[str]
) -> Iterator[Listing]:
    if shown.is_empty:
        entry = "This plan was measured and has no shape to draw."
        yield Listing(heading="Without a shape", entries=(entry,))
    yield Listing(heading="What is said of it", entries=drawn.notes)
    pieces = drawn.pieces
    lists = (
        ("Laid, and has to come up", pieces.coming_up),
        ("Added", pieces.added),
        ("Taken out", pieces.removed),
        ("Altered", pieces.altered),
        ("Moved", pieces.moved),
    )
    for heading, changed in lists:
        yield Listing(heading=heading, entries=tuple(map(_entry, changed)))
    yield Listing(heading="No room for their names", entries=tuple(nameless))


def _entry(one: ChangedPiece) -> str:
    if not one.by_mm:
        return one.piece
    return f"{one.piece}  by {millimetres(one.by_mm)} at most"
