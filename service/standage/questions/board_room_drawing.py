"""The sheet of a board with the loops that go on it."""

from standage.drawings.board_loops import DrawnBoard, board_drawing
from standage.questions.board_room import QUESTION, BoardRoomRequest, reckon
from standage.questions.drawing_cases import as_answered, notes_of
from standage.questions.question import Drawing, as_asked


def board_room_sheet(request: BoardRoomRequest) -> str:
    """Return the board of ``request`` with its loops as SVG, and the reasons of the
    answer beneath it.
    """
    answer = reckon(request)
    board = request.board
    drawn = DrawnBoard(
        long_mm=float(board.long_mm),
        short_mm=float(board.short_mm),
        edge_mm=float(board.edge_mm),
        radius_mm=answer.radius_mm,
        goes_in=answer.verdict == "fits",
        notes=notes_of(answer),
    )
    return board_drawing(drawn)


DRAWING = Drawing(
    id="drawBoardRoom",
    at="/v1/checks/board-room/drawing",
    asks="Draw a board with the loops that go on it",
    tells=(
        "The same request as for the answer. The board true to scale, the oval black,"
        " the diagonal broken, what is clear inside grey; beneath it the reasons."
    ),
    request=BoardRoomRequest,
    gather=as_answered(as_asked),
    draw=board_room_sheet,
    example=QUESTION.example,
    refused=QUESTION.refused,
)
