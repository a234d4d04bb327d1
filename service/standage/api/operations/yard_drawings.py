"""The operations that draw a yard on record."""

from standage.api.operations.drawings_shown import shown
from standage.api.operations.record_words import paths
from standage.api.web.call import SVG, Call, Reply
from standage.api.web.operation import About, Answers, Operation, Reads
from standage.drawings.shunting_sheets import yard_drawing
from standage.questions.resolving.yards_of_places import YardOfPlaces, yard_to_draw
from standage.questions.sources import Sources
from standage.railway.shunting.yard import Yard
from standage.registry.records.kinds import YARDS
from standage.registry.records.reading import Reading


def yard_drawing_operations() -> list[Operation]:
    """Return the drawings of yards, beneath their layout and of any."""
    return [
        Operation(
            id=name,
            method="GET",
            path=f"{paths(YARDS, alone=alone)[1]}/drawing",
            about=About(
                tag="Shunting",
                summary=f"Draw a yard on record{' of any layout' if alone else ''}, empty",
                description="Every road true to length with its name and its length, as SVG.",
            ),
            act=Reads(_yard, _yard_drawn, heavy=_has_places),
            answers=Answers(shape=str, media_type=SVG, tagged=True),
        )
        for name, alone in (("getYardDrawing", False), ("getClubYardDrawing", True))
    ]


def _yard(reading: Reading | None, call: Call) -> tuple[str, Yard | YardOfPlaces]:
    return Sources(reading, call.club_id).yards.at(
        call.path["yard_id"], layout_id=call.path.get("layout_id")
    )


def _yard_drawn(named: tuple[str, Yard | YardOfPlaces]) -> Reply:
    name, yard = named
    notes: tuple[str, ...] = ()
    if isinstance(yard, YardOfPlaces):
        yard, notes = yard_to_draw(yard)
    return shown(yard_drawing(yard, name=name, notes=notes))


def _has_places(named: tuple[str, Yard | YardOfPlaces]) -> bool:
    """Tell whether a track plan may have to be surveyed."""
    return isinstance(named[1], YardOfPlaces)
