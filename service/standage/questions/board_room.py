"""How large a loop goes on a board, how long its straights are, and what is clear inside
it?
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.questions.question import Question, Shows, as_asked
from standage.questions.reckoning import NOT_YET, Warnings, warned
from standage.railway.modules.board_room import (
    BareBoard,
    Loop,
    largest_half_circle_mm,
    loop_on,
    side_needed_mm,
    turn_back_mm,
)
from standage.railway.terms.figures import (
    LONGEST_MM,
    Length,
    RadiusMm,
    Room,
    at_least,
    at_most,
    goes_into,
    millimetres,
    says,
    tidy,
    tidy_down,
    tidy_up,
)
from standage.railway.terms.reasons import Assumed, Reason
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import sense
from standage.shapes.faults import Ruled

BoardSideMm = Annotated[Length, sense("board_side")]
BoardRoomVerdict = Literal["fits", "does_not_fit"]


class BoardRoomRequest(Ruled, frozen=True, kw_only=True):
    """A rectangular board, the edge to be kept, and the radius that is thought of."""

    length_mm: Annotated[BoardSideMm, says("The board's one side, in mm.")]
    width_mm: Annotated[BoardSideMm, says("The board's other side, in mm.")]
    edge_mm: Annotated[
        Room,
        says(
            "From the track's centre line to the board's edge, in mm; inside the loop"
            " as much is kept."
        ),
    ]
    radius_mm: Annotated[
        RadiusMm | None, says("Of the half circles, in mm; the largest if not said.")
    ] = None
    scale: Annotated[ScaleName | None, says("The scale it is laid for.")] = None

    @property
    def board(self) -> BareBoard:
        """The board in exact figures, whichever side is the longer."""
        sides = (_exact(self.length_mm), _exact(self.width_mm))
        return BareBoard(max(sides), min(sides), _exact(self.edge_mm))


class BoardRoomAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether the loop goes in, and its figures; null where there is none."""

    verdict: Annotated[
        BoardRoomVerdict,
        says("Of the radius given; without one, of any loop at all."),
    ]
    largest_half_circle_radius_mm: Annotated[
        float | None,
        says("Of a loop's half circles, in mm; null where the edges leave nothing."),
    ]
    turn_back_radius_mm: Annotated[
        float | None,
        says("Of the largest half circle whose ends run off a long side, in mm."),
    ]
    radius_mm: Annotated[
        float | None,
        says("The radius that the loop's figures are of, in mm."),
    ]
    spare_mm: Annotated[
        float | None,
        says("The largest radius less the one given, in mm; null without one."),
    ]
    side_needed_mm: Annotated[
        float | None, says("The least that a board's sides may be for it, in mm.")
    ]
    oval_straight_mm: Annotated[
        float | None, says("Each straight of an oval along the board, in mm.")
    ]
    diagonal_straight_mm: Annotated[
        float | None,
        says(
            "Each straight of an oval turned so that its half circles lie in opposite"
            " corners, in mm."
        ),
    ]
    clear_width_inside_mm: Annotated[
        float | None,
        says("Between the two straights, less the edge at each, in mm; never below 0."),
    ]
    way_round_mm: Annotated[
        float | None, says("Once round the oval along the board, in mm.")
    ]
    diagonal_way_round_mm: Annotated[
        float | None, says("Once round the diagonal one, in mm.")
    ]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("What is taken to be so.")]
    warnings: Warnings = NOT_YET


class _Figures(NamedTuple):
    """A loop's figures as they are written down; None where it does not go in."""

    oval_straight_mm: float | None = None
    diagonal_straight_mm: float | None = None
    clear_width_inside_mm: float | None = None
    way_round_mm: float | None = None
    diagonal_way_round_mm: float | None = None


@warned
def reckon(request: BoardRoomRequest) -> BoardRoomAnswer:
    """Return what goes on the board of ``request``."""
    board = request.board
    largest_mm = _no_more(largest_half_circle_mm(board))
    wanted_mm = request.radius_mm
    radius_mm = largest_mm if wanted_mm is None else wanted_mm
    loop = None if radius_mm is None else loop_meant(board, radius_mm=radius_mm)
    figures = _Figures() if loop is None else _written(loop)
    return BoardRoomAnswer(
        verdict="does_not_fit" if loop is None else "fits",
        largest_half_circle_radius_mm=largest_mm,
        turn_back_radius_mm=_no_more(turn_back_mm(board)),
        radius_mm=radius_mm,
        spare_mm=_spare_mm(board, wanted_mm),
        side_needed_mm=_side_needed_mm(board, radius_mm),
        oval_straight_mm=figures.oval_straight_mm,
        diagonal_straight_mm=figures.diagonal_straight_mm,
        clear_width_inside_mm=figures.clear_width_inside_mm,
        way_round_mm=figures.way_round_mm,
        diagonal_way_round_mm=figures.diagonal_way_round_mm,
        because=tuple(_because(board, wanted_mm, figures)),
        assumed=(_as_it_is_laid(),),
    )


def _exact(value_mm: float) -> Fraction:
    return Fraction(str(value_mm))


def _no_more(radius_mm: Fraction | None) -> float | None:
    """Return a largest radius as it may be asked for again, and then still goes in."""
    if radius_mm is None:
        return None
    written_mm = tidy_down(float(radius_mm))
    return written_mm if written_mm > 0 else None


def loop_meant(board: BareBoard, *, radius_mm: float) -> Loop | None:
    """Return the loop of that radius, in mm; None where it does not go in."""
    largest_mm = largest_half_circle_mm(board)
    if largest_mm is None:
        return None
    if not goes_into(radius_mm, room_mm=float(largest_mm)):
        return None
    # What is equal but for dust goes in, and takes what there is.
    return loop_on(board, radius_mm=min(_exact(radius_mm), largest_mm))


def _written(loop: Loop) -> _Figures:
    return _Figures(*(tidy(float(figure_mm)) for figure_mm in loop))


def _spare_mm(board: BareBoard, wanted_mm: float | None) -> float | None:
    if wanted_mm is None:
        return None
    spare_mm = board.short_mm / 2 - board.edge_mm - _exact(wanted_mm)
    return tidy(float(spare_mm))


def _side_needed_mm(board: BareBoard, radius_mm: float | None) -> float | None:
    if radius_mm is None:
        return None
    needed_mm = side_needed_mm(board, radius_mm=_exact(radius_mm))
    return tidy_up(float(needed_mm))


def _because(
    board: BareBoard, wanted_mm: float | None, figures: _Figures
) -> Iterator[Reason]:
    largest_mm = _no_more(largest_half_circle_mm(board))
    goes_in = figures.way_round_mm is not None
    if goes_in and wanted_mm is not None:
        yield _goes_in(board, wanted_mm)
    elif largest_mm is None:
        yield _no_room(board)
    elif wanted_mm is None:
        yield _largest(board, largest_mm)
    else:
        yield _too_large(board, wanted_mm, largest_mm=largest_mm)
    if wanted_mm is not None and not goes_in:
        yield from _instead(board, wanted_mm, largest_mm=largest_mm)
    if figures.clear_width_inside_mm is not None:
        yield _clear_inside(figures.clear_width_inside_mm)


def _no_room(board: BareBoard) -> Reason:
    edges_mm, across_mm = float(2 * board.edge_mm), float(board.short_mm)
    message = (
        f"an edge on each side takes {millimetres(edges_mm)}, and the board is"
        f" {millimetres(across_mm)} across: nothing is left for a loop"
    )
    return Reason(
        code="no_room_between_edges",
        message=message,
        field="edge_mm",
        value_mm=edges_mm,
        limit_mm=across_mm,
    )


def _largest(board: BareBoard, largest_mm: float) -> Reason:
    across_mm = float(board.short_mm)
    message = (
        f"the largest half circle has a radius of {at_most(largest_mm)}: twice that"
        f" and an edge on each side make the {millimetres(across_mm)} of the board"
    )
    return Reason(code="largest_loop", message=message, value_mm=largest_mm)


def _goes_in(board: BareBoard, wanted_mm: float) -> Reason:
    spare_mm = _spare_mm(board, wanted_mm) or 0.0
    if spare_mm <= 0:
        more = "and no larger one does"
    else:
        more = f"and could be {millimetres(spare_mm)} larger"
    message = f"a loop of {millimetres(wanted_mm)} radius goes in, {more}"
    return Reason(
        code="loop_fits", message=message, value_mm=wanted_mm, amount_mm=spare_mm
    )


def _too_large(board: BareBoard, wanted_mm: float, *, largest_mm: float) -> Reason:
    over_mm = -(_spare_mm(board, wanted_mm) or 0.0)
    needed_mm = _side_needed_mm(board, wanted_mm) or 0.0
    across_mm = float(board.short_mm)
    message = (
        f"a radius of {millimetres(wanted_mm)} is {millimetres(over_mm)} too large: with"
        f" the edges it takes {millimetres(needed_mm)} across, the board has"
        f" {millimetres(across_mm)}"
    )
    return Reason(
        code="radius_too_large",
        message=message,
        field="radius_mm",
        value_mm=wanted_mm,
        limit_mm=largest_mm,
        amount_mm=over_mm,
    )


def _instead(
    board: BareBoard, wanted_mm: float, *, largest_mm: float | None
) -> Iterator[Reason]:
    """Yield what would let the loop in; each of them alone does."""
    yield from _larger_board(board, wanted_mm)
    if largest_mm is not None:
        yield Reason(
            code="smaller_radius",
            message=f"a radius of at most {at_most(largest_mm)} goes in",
            field="radius_mm",
            value_mm=largest_mm,
            brings="fits",
        )
    edge_mm = tidy_down(float(board.short_mm / 2 - _exact(wanted_mm)))
    if edge_mm >= 0:
        yield Reason(
            code="narrower_edge",
            message=f"with an edge of at most {at_most(edge_mm)} it goes in",
            field="edge_mm",
            value_mm=edge_mm,
            brings="fits",
        )
    turn_mm = turn_back_mm(board)
    if turn_mm is not None and goes_into(wanted_mm, room_mm=float(turn_mm)):
        message = (
            "a half circle of that radius goes in by itself, where both its ends run off"
            " a long side"
        )
        yield Reason(code="turns_back", message=message, value_mm=wanted_mm)


def _larger_board(board: BareBoard, wanted_mm: float) -> Iterator[Reason]:
    """Yield the board that would do, where it is one that can be asked about."""
    needed_mm = _side_needed_mm(board, wanted_mm) or 0.0
    if needed_mm > LONGEST_MM:
        return
    long_is_enough = goes_into(needed_mm, room_mm=float(board.long_mm))
    ways = "across" if long_is_enough else "both ways"
    message = f"a board of at least {at_least(needed_mm)} {ways} takes it"
    yield Reason(
        code="larger_board",
        message=message,
        field="width_mm",
        value_mm=needed_mm,
        brings="fits",
    )


def _clear_inside(clear_mm: float) -> Reason:
    if clear_mm <= 0:
        message = "nothing stays clear inside: the edges on both sides meet there"
    else:
        message = (
            f"{millimetres(clear_mm)} stay clear inside, between the straights with an"
            " edge at each"
        )
    return Reason(code="clear_inside", message=message, value_mm=clear_mm)


def _as_it_is_laid() -> Assumed:
    message = (
        "the board is a rectangle, and the loop is one track of half circles and"
        " straights; radius and edge are measured from its centre line"
    )
    return Assumed(field="radius_mm", message=message, source="taken_as_read")


_BOARD = {"length_mm": 2440, "width_mm": 1220, "edge_mm": 50, "radius_mm": 438}
QUESTION = Question(
    id="checkBoardRoom",
    at="/v1/checks/board-room",
    asks="How large a loop goes on a board, and what is clear inside it?",
    tells=(
        "For a rectangular board: the largest half circle, the straights of an oval and"
        " of one laid diagonally, the clear width inside, the way round, and whether a"
        " radius goes in."
    ),
    request=BoardRoomRequest,
    answer=BoardRoomAnswer,
    gather=as_asked,
    reckon=reckon,
    example=_BOARD,
    refused=_BOARD | {"width_mm": 0},
    warns=Shows("unit", "width_mm", {"width_mm": 48}),
)
