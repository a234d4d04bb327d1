"""A plan with its polarity: grey where a circuit brings the left rail back as the right
one, a ring where a gap is still to be cut, and what there is to say of it.
"""

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from standage.drawings.plans.content import Content, DrawnRoad, Named, content
from standage.drawings.plans.listings import Listing, columns
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import laid_out
from standage.drawings.plans.plan_sheets import PlanDrawn, drawn_group
from standage.drawings.plans.road_strips import Strips, strip_pages
from standage.drawings.plans.roads_drawn import straight_roads
from standage.drawings.plans.sheets import Pages, Told
from standage.drawings.plans.signs import WORDS
from standage.drawings.plans.title_blocks import name_of
from standage.drawings.plans.ways import Bend, along, bends_of
from standage.railway.track.pieces.shapes import is_knot
from standage.railway.track.plans.flat import End, end_of
from standage.railway.track.survey.survey import Survey

MEANING = "grey: circuit that exchanges the rails · ring: gap to cut, both rails"
_STEPS = 24
_MOST_CIRCUITS = 20


class DrawnPolarity(msgspec.Struct, frozen=True, kw_only=True):
    """What is drawn of a plan's polarity: circuits by their pieces, and the joins to
    gap, each as its two ends; then what is said, and the cautions.
    """

    circuits: tuple[tuple[str, ...], ...]
    to_gap: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def polarity_pages(found: Survey, look: Look, drawn: DrawnPolarity) -> Pages:
    """Return a plan with its reversing circuits and the gaps that it needs."""
    shown = _shown(found, drawn)
    laid = laid_out(shown, look)
    group, nameless = drawn_group(shown, laid, look)
    lists = columns(laid.paper, list(_listings(shown, drawn, nameless)))
    whole = PlanDrawn(
        found=found,
        look=look,
        laid=laid,
        group=group,
        lists=lists,
        meaning=MEANING,
        is_empty=shown.is_empty,
    )
    told = Told(
        title=f"Polarity of {name_of(found.plan)}",
        description=" ".join(drawn.notes),
    )
    if not laid.paper.is_printed:
        return whole.narrow(told)
    pages = whole.on_pages(told)
    if not shown.is_empty or not found.usable:
        return pages
    # Gaps and feeds of a plan without a shape stand along its roads.
    roads = Strips(roads=tuple(straight_roads(found)))
    return pages.followed_by(strip_pages(found, look, roads))


def _shown(found: Survey, drawn: DrawnPolarity) -> Content:
    """Return the plan with circuits where roads were, and gaps to cut where gaps in the
    track were; without fouling marks, which say nothing of the rails' polarity.
    """
    shown = content(found)
    roads = [
        _circuit(found, number, pieces)
        for number, pieces in enumerate(drawn.circuits, 1)
    ]
    return msgspec.structs.replace(
        shown,
        roads=tuple(roads),
        gaps=tuple(_to_gap(found, drawn.to_gap)),
        marks=(),
        wrong=(),
        # A stop without its track would hang in the air.
        stops=() if shown.is_empty else shown.stops,
    )


def _circuit(found: Survey, number: int, pieces: Sequence[str]) -> DrawnRoad:
    lines = tuple(
        tuple(along(bends, step_mm=_step_mm(strand_mm)))
        for bends, strand_mm in _strands(found, pieces)
    )
    return DrawnRoad(
        number=number,
        name=f"circuit {number}",
        usable=lines,
        middle=None,
        usable_mm=None,
        too_close=False,
    )


def _step_mm(strand_mm: float) -> float:
    return max(1.0, strand_mm / _STEPS)


def _strands(
    found: Survey, pieces: Sequence[str]
) -> Iterator[tuple[list[Bend], float]]:
    """Yield the track of a circuit: of points that part of it which leads on to the
    next of its pieces.
    """
    met = _met(found.placed.flat.joint, frozenset(pieces))
    for piece in pieces:
        shape = found.network.shapes[piece]
        first = found.network.first_of[piece]
        for number, strand in enumerate(shape.strands, first):
            ends = {(piece, end) for end in (strand.start, strand.finish)}
            outer = {end for end in ends if not is_knot(end[1])}
            bends = bends_of(found, number)
            if bends and outer <= met:
                yield bends, strand.length_mm or 0.0


def _met(joint: Mapping[End, End], pieces: frozenset[str]) -> frozenset[End]:
    """Return the ends at which pieces of a circuit meet each other."""
    return frozenset(
        end for end, other in joint.items() if end[0] in pieces and other[0] in pieces
    )


def _to_gap(found: Survey, joins: Sequence[tuple[str, ...]]) -> Iterator[Named]:
    for number, join in enumerate(joins, 1):
        for end in join:
            place = _place_of(found, end_of(end))
            if place is not None:
                yield Named(name=f"gap {number}", place=place)
                break


def _place_of(found: Survey, end: End) -> complex | None:
    """Return where an end of a piece lies; None where that has no place."""
    piece, name = end
    shape = found.network.shapes[piece]
    first = found.network.first_of[piece]
    for number, strand in enumerate(shape.strands, first):
        bends = bends_of(found, number)
        if bends and strand.finish == name:
            return bends[-1].end.point
        if bends and strand.start == name:
            return bends[0].start.point
    return None


def _listings(
    shown: Content, drawn: DrawnPolarity, nameless: Sequence[str]
) -> Iterator[Listing]:
    if shown.is_empty:
        entry = "This plan was measured and has no shape to draw."
        yield Listing(heading="Without a shape", entries=(entry,))
    yield Listing(heading="What is said of it", entries=drawn.notes)
    circuits = [
        f"{number}  {', '.join(pieces)}"
        for number, pieces in enumerate(drawn.circuits[:_MOST_CIRCUITS], 1)
    ]
    heading = "Circuits that bring the left rail back as the right one"
    yield Listing(heading=heading, entries=tuple(circuits))
    gaps = [
        f"gap {number}  both rails where {' meets '.join(join)}"
        for number, join in enumerate(drawn.to_gap, 1)
    ]
    yield Listing(heading="To cut", entries=tuple(gaps))
    yield Listing(heading="No room for their names", entries=tuple(nameless))
    kinds = tuple(dict.fromkeys(sign.kind for sign in shown.signs))
    said = tuple(WORDS[kind] for kind in kinds)
    yield Listing(
        heading="On the track",
        entries=said,
        signs=kinds,
    )
    yield Listing(heading="Take care", entries=drawn.cautions)
