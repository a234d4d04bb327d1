"""A shunting puzzle on paper: the yard as it stands, every step of a plan, and a card
to give to a visitor.
"""

from collections.abc import Iterator, Sequence
from itertools import chain, repeat
from textwrap import wrap
from typing import NamedTuple
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.yard_panels import (
    TEXT_MM,
    Sheet,
    cut_short,
    page,
    panel,
    panel_height_mm,
    sheet_for,
    text,
    wagon,
    written,
)
from standage.railway.shunting.check import Position, positions
from standage.railway.shunting.yard import Puzzle, Visit, Yard, YardGoal, YardStart
from standage.railway.terms.phrases import listed, millimetres

PAGE_MM = 210.0
"""A sheet is as wide as A4 is; one that is looked at, not printed, is as long as it
needs to be.
"""
PAGE_HEIGHT_MM = 279.0
"""A page that is to be printed is as high as Letter is, which A4 holds too."""
CARD_HEIGHT_MM = 148.0
"""A card is A5 across."""
MARGIN_MM = 10.0
_WITHIN_MM = PAGE_MM - 2 * MARGIN_MM
_NAME_MM = 52.0
_LINE_MM = TEXT_MM * 1.5
_LETTERS = 95  # on a line of this width


class Par(msgspec.Struct, frozen=True, kw_only=True):
    """What a card says of how hard its puzzle is; ``fewest`` is so many visits,
    couplings or cuts in words.
    """

    fewest: str
    difficulty: str | None = None
    seed: int | None = None


def start_drawing(puzzle: Puzzle) -> str:
    """Return the yard as it stands at the start, as SVG."""
    return plan_drawing(puzzle, ())


def yard_drawing(yard: Yard, *, name: str) -> str:
    """Return the empty yard with its roads true to length and named, as SVG."""
    nothing: tuple[tuple[str, ...], ...] = ((),) * len(yard.sidings)
    start, goal = YardStart(sidings=nothing), YardGoal(sidings=nothing)
    puzzle = Puzzle(engine_length_mm=0, yard=yard, wagons=(), start=start, goal=goal)
    rooms = list(_rooms(puzzle))
    height_mm = (
        2 * MARGIN_MM + 10 + panel_height_mm(puzzle) + _LINE_MM * (len(rooms) + 1)
    )
    root = page(width_mm=PAGE_MM, height_mm=height_mm, title=name)
    body = _inside(root)
    text(
        body,
        0,
        5,
        cut_short(name, width_mm=_WITHIN_MM, text_mm=5),
        font_weight="bold",
        font_size="5",
    )
    panel(body, puzzle, positions(puzzle, ())[0], _sheet(puzzle), top_mm=8)
    _lines(body, rooms, 8 + panel_height_mm(puzzle))
    return written(root)


def blank_card(reasons: Sequence[str]) -> str:
    """Return a card that says why there is no puzzle on it, as SVG."""
    root = page(width_mm=PAGE_MM, height_mm=CARD_HEIGHT_MM, title="No puzzle")
    body = _inside(root)
    text(body, 0, 5, "No puzzle", font_weight="bold", font_size="5")
    _lines(body, list(_wrapped(reasons)), 8)
    return written(root)


def plan_drawing(
    puzzle: Puzzle, visits: Sequence[Visit], *, notes: Sequence[str] = ()
) -> str:
    """Return the yard at the start and after each visit of a plan, one below the other,
    as one SVG with its notes.
    """
    sheet = _sheet(puzzle)
    steps, key = (
        list(_steps(puzzle, visits, sheet)),
        [*_wrapped(notes), *_key(puzzle, sheet)],
    )
    height_mm = (
        2 * MARGIN_MM + _step_mm(puzzle) * len(steps) + _LINE_MM * (len(key) + 1)
    )
    return _drawn(puzzle, sheet, steps, height_mm=height_mm, key=key)


def plan_pages(
    puzzle: Puzzle, visits: Sequence[Visit], *, notes: Sequence[str] = ()
) -> list[str]:
    """Return the same on as many pages as it needs, each an SVG that prints on A4 and
    on Letter.
    """
    sheet = _sheet(puzzle)
    steps, key = (
        list(_steps(puzzle, visits, sheet)),
        [*_wrapped(notes), *_key(puzzle, sheet)],
    )
    room_mm = PAGE_HEIGHT_MM - 2 * MARGIN_MM - _LINE_MM * (len(key) + 1)
    a_page = max(1, int(room_mm / _step_mm(puzzle)))
    parts = (steps[first : first + a_page] for first in range(0, len(steps), a_page))
    return [
        _drawn(puzzle, sheet, part, height_mm=PAGE_HEIGHT_MM, key=key) for part in parts
    ]


def card(puzzle: Puzzle, *, par: Par | None = None, notes: Sequence[str] = ()) -> str:
    """Return a card for a visitor: the yard at the start, the train to be made, the
    rules, notes, and its par, as SVG.

    It is A5 across, and higher only where the yard has more sidings than that holds.
    """
    sheet, trains_mm = _sheet(puzzle), 9.0 * len(_trains(puzzle))
    lines = [*_rules(puzzle), *_wrapped(notes), *_key(puzzle, sheet)]
    yard_mm = 14 + panel_height_mm(puzzle) + 3
    needed_mm = 2 * MARGIN_MM + yard_mm + trains_mm + 2 + _LINE_MM * (len(lines) + 1)
    root = page(
        width_mm=PAGE_MM, height_mm=max(CARD_HEIGHT_MM, needed_mm), title=_goal(puzzle)
    )
    body = _inside(root)
    text(
        body,
        0,
        5,
        cut_short(_goal(puzzle), width_mm=_WITHIN_MM, text_mm=5),
        font_weight="bold",
        font_size="5",
    )
    if par is not None:
        text(body, 0, 11, _par(par))
    panel(body, puzzle, positions(puzzle, ())[0], sheet, top_mm=14)
    for number, (name, train) in enumerate(_trains(puzzle)):
        _train(body, puzzle, sheet, name, train, yard_mm + 9 * number)
    _lines(body, lines, yard_mm + trains_mm + 2)
    return written(root)


def _sheet(puzzle: Puzzle) -> Sheet:
    return sheet_for(puzzle, width_mm=_WITHIN_MM)


def _step_mm(puzzle: Puzzle) -> float:
    return panel_height_mm(puzzle) + 9


class _Step(NamedTuple):
    head: str
    moved: tuple[str, ...]
    position: Position


def _steps(puzzle: Puzzle, visits: Sequence[Visit], sheet: Sheet) -> Iterator[_Step]:
    start, *after = positions(puzzle, visits)
    yield _Step("At the start", (), start)
    for number, (visit, position) in enumerate(zip(visits, after, strict=True), 1):
        yield _Step(f"{number}. {_told(visit, sheet)}", visit.wagons, position)


def _drawn(
    puzzle: Puzzle,
    sheet: Sheet,
    steps: Sequence[_Step],
    *,
    height_mm: float,
    key: Sequence[str],
) -> str:
    root = page(
        width_mm=PAGE_MM,
        height_mm=height_mm,
        title=f"{_goal(puzzle)}: {steps[0].head} to {steps[-1].head}",
    )
    body, top_mm = _inside(root), 0.0
    for step in steps:
        text(
            body,
            0,
            top_mm + 3.2,
            cut_short(step.head, width_mm=_WITHIN_MM),
            font_weight="bold",
        )
        panel(body, puzzle, step.position, sheet, moved=step.moved, top_mm=top_mm + 5)
        top_mm += _step_mm(puzzle)
    _lines(body, key, top_mm)
    return written(root)


def _inside(root: ET.Element) -> ET.Element:
    return ET.SubElement(
        root, "g", {"transform": f"translate({MARGIN_MM:g} {MARGIN_MM:g})"}
    )


def _lines(body: ET.Element, lines: Sequence[str], top_mm: float) -> None:
    for number, line in enumerate(lines, 1):
        text(
            body,
            0,
            top_mm + _LINE_MM * number,
            cut_short(line, width_mm=_WITHIN_MM * 1.15),
        )


def _trains(puzzle: Puzzle) -> list[tuple[str, tuple[str, ...]]]:
    """Return each siding whose contents the goal says, with what it is to hold."""
    contents = puzzle.goal.contents(puzzle.yard.sidings)
    return [
        (siding.name, train)
        for siding, train in zip(puzzle.yard.sidings, contents, strict=True)
        if train is not None
    ]


def _train(
    body: ET.Element,
    puzzle: Puzzle,
    sheet: Sheet,
    name: str,
    train: Sequence[str],
    top_mm: float,
) -> None:
    text(body, 0, top_mm + 5, cut_short(f"{name}, from the points:", width_mm=_NAME_MM))
    left_mm = _NAME_MM
    for member in train:
        width_mm = puzzle.length_mm((member,)) * sheet.scale
        wagon(body, left_mm, top_mm + 7.4, width_mm, sheet.labels[member], named=True)
        left_mm += width_mm


def _goal(puzzle: Puzzle) -> str:
    if puzzle.goal.siding is not None:
        count = len(puzzle.goal.train or ())
        return (
            f"Make up this train of {count} in {puzzle.goal.siding}"
            if count
            else f"Clear {puzzle.goal.siding}"
        )
    return "Bring every wagon to its place"


def _par(par: Par) -> str:
    number = None if par.seed is None else f"puzzle number {par.seed}"
    return " · ".join(
        part
        for part in (f"Par: {par.fewest}", par.difficulty, number)
        if part is not None
    )


def _told(visit: Visit, sheet: Sheet) -> str:
    action = "pick up" if visit.action == "pick" else "leave"
    return (
        f"{visit.siding}: {action}"
        f" {listed([sheet.labels[name] for name in visit.wagons])}"
    )


def _rules(puzzle: Puzzle) -> Iterator[str]:
    yield (
        "Go into a siding, couple up, and come out with more wagons or with fewer: that"
        " is one visit."
    )
    yield (
        "What you leave must stand clear in its siding; engine and what you bring out"
        " must fit the headshunt."
    )
    yield from _rooms(puzzle)
    if puzzle.goal.rest == "engine_free":
        yield "At the end nothing is on the engine."
    if puzzle.goal.rest == "one_siding":
        yield (
            "At the end the other wagons stand together in one siding, and nothing is"
            " on the engine."
        )
    yield (
        "Grey wagons belong to the train. The engine is"
        f" {millimetres(puzzle.engine_length_mm)} long."
    )


def _rooms(puzzle: Puzzle) -> Iterator[str]:
    for room in puzzle.yard.rooms:
        one, other = room.between
        yield (
            f"Straight from {one} to {other} or back, engine and wagons may be"
            f" {millimetres(room.room_mm)} long."
        )


def _wrapped(notes: Sequence[str]) -> Iterator[str]:
    """Yield each note as a sentence of its own, on as many lines as it needs."""
    for note in notes:
        yield from wrap(f"{note[0].upper()}{note[1:]}.", _LETTERS)


def _key(puzzle: Puzzle, sheet: Sheet) -> Iterator[str]:
    """Yield the wagons' names and lengths, several a line; the numbers they bear where
    their names do not fit.
    """
    entries = [
        f"{name if label == name else f'{label} {name}'} {millimetres(wagon.length_mm)}"
        for wagon, name, label in (
            (one, one.name, sheet.labels[one.name]) for one in puzzle.wagons
        )
    ]
    line = ""
    for entry, separator in zip(entries, chain([""], repeat(" · ")), strict=False):
        if line and len(line) + len(entry) > _LETTERS:
            yield line
            line, separator = "", ""  # noqa: PLW2901 - a new line begins without one
        line += separator + entry
    if line:
        yield line
