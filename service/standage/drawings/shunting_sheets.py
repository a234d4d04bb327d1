"""A shunting puzzle on paper: the yard as it stands, every step of a plan, and a card
to give to a visitor.
"""

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import NamedTuple
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import (
    LETTERS,
    LINE_MM,
    MARGIN_MM,
    PAGE_MM,
    WITHIN_MM,
    cut_short,
    inside,
    page,
    text,
    title,
    written,
)
from standage.drawings.yard_panels import (
    Sheet,
    panel,
    panel_height_mm,
    sheet_for,
    wagon,
)
from standage.railway.shunting.check import Position, positions
from standage.railway.shunting.yard import Puzzle, Visit, Yard, YardGoal, YardStart
from standage.railway.terms.figures import listed, millimetres

PAGE_HEIGHT_MM = 279.0
"""A page that is to be printed is as high as Letter is, which A4 holds too."""
CARD_HEIGHT_MM = 148.0
"""A card is A5 across."""
_NAME_MM = 52.0
_TRAIN_MM = 9.0


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


def yard_drawing(yard: Yard, *, name: str, notes: Sequence[str] = ()) -> str:
    """Return the empty yard with its roads true to length and named, and with notes, as
    SVG.
    """
    nothing: tuple[tuple[str, ...], ...] = ((),) * len(yard.sidings)
    puzzle = Puzzle(
        engine_length_mm=0,
        yard=yard,
        wagons=(),
        start=YardStart(sidings=nothing),
        goal=YardGoal(sidings=nothing),
    )
    rooms = [*_wrapped(notes), *_rooms(puzzle)]
    yard_mm = panel_height_mm(puzzle)
    height_mm = 2 * MARGIN_MM + 10 + yard_mm + _lines_mm(rooms)
    root = page(width_mm=PAGE_MM, height_mm=height_mm, title=name)
    body = inside(root, margin_mm=MARGIN_MM)
    title(body, name, width_mm=WITHIN_MM)
    empty, *_ = positions(puzzle, ())
    panel(body, puzzle, empty, _sheet(puzzle), top_mm=8)
    _lines(body, rooms, 8 + yard_mm)
    return written(root)


def blank_card(reasons: Sequence[str]) -> str:
    """Return a card that says why there is no puzzle on it, as SVG."""
    root = page(width_mm=PAGE_MM, height_mm=CARD_HEIGHT_MM, title="No puzzle")
    body = inside(root, margin_mm=MARGIN_MM)
    title(body, "No puzzle", width_mm=WITHIN_MM)
    _lines(body, list(_wrapped(reasons)), 8)
    return written(root)


def plan_drawing(
    puzzle: Puzzle, visits: Sequence[Visit], *, notes: Sequence[str] = ()
) -> str:
    """Return the yard at the start and after each visit of a plan, one below the other,
    as one SVG with its notes.
    """
    sheet = _sheet(puzzle)
    steps = list(_steps(puzzle, visits, sheet))
    key = [*_wrapped(notes), *_key(puzzle, sheet)]
    steps_mm = _step_mm(puzzle) * len(steps)
    lines_mm = _lines_mm(key)
    height_mm = 2 * MARGIN_MM + steps_mm + lines_mm
    return _drawn(puzzle, sheet, steps, height_mm=height_mm, key=key)


def plan_pages(
    puzzle: Puzzle, visits: Sequence[Visit], *, notes: Sequence[str] = ()
) -> list[str]:
    """Return the same on as many pages as it needs, each an SVG that prints on A4 and
    on Letter.
    """
    sheet = _sheet(puzzle)
    steps = list(_steps(puzzle, visits, sheet))
    key = [*_wrapped(notes), *_key(puzzle, sheet)]
    room_mm = PAGE_HEIGHT_MM - 2 * MARGIN_MM - _lines_mm(key)
    a_page = max(1, int(room_mm / _step_mm(puzzle)))
    pages: list[str] = []
    for first in range(0, len(steps), a_page):
        part = steps[first : first + a_page]
        drawn = _drawn(puzzle, sheet, part, height_mm=PAGE_HEIGHT_MM, key=key)
        pages.append(drawn)
    return pages


def card(puzzle: Puzzle, *, par: Par | None = None, notes: Sequence[str] = ()) -> str:
    """Return a card for a visitor: the yard at the start, the train to be made, the
    rules, notes, and its par, as SVG.

    It is A5 across, and higher only where the yard has more sidings than that holds.
    """
    sheet, trains = _sheet(puzzle), _trains(puzzle)
    goal = _goal(puzzle)
    lines = [*_rules(puzzle), *_wrapped(notes), *_key(puzzle, sheet)]
    yard_mm = 14 + panel_height_mm(puzzle) + 3
    lines_top_mm = yard_mm + _TRAIN_MM * len(trains) + 2
    needed_mm = 2 * MARGIN_MM + lines_top_mm + _lines_mm(lines)
    height_mm = max(CARD_HEIGHT_MM, needed_mm)
    root = page(width_mm=PAGE_MM, height_mm=height_mm, title=goal)
    body = inside(root, margin_mm=MARGIN_MM)
    title(body, goal, width_mm=WITHIN_MM)
    if par is not None:
        text(body, 0, 11, _par(par))
    panel(body, puzzle, positions(puzzle, ())[0], sheet, top_mm=14)
    for number, (name, train) in enumerate(trains):
        top_mm = yard_mm + _TRAIN_MM * number
        _train(body, puzzle, sheet, name, train, top_mm)
    _lines(body, lines, lines_top_mm)
    return written(root)


def _sheet(puzzle: Puzzle) -> Sheet:
    return sheet_for(puzzle, width_mm=WITHIN_MM)


def _step_mm(puzzle: Puzzle) -> float:
    return panel_height_mm(puzzle) + 9


class _Step(NamedTuple):
    head: str
    moved: tuple[str, ...]
    position: Position


def _steps(puzzle: Puzzle, visits: Sequence[Visit], sheet: Sheet) -> Iterator[_Step]:
    start, *after = positions(puzzle, visits)
    yield _Step("At the start", (), start)
    made = zip(visits, after, strict=True)
    for number, (visit, position) in enumerate(made, 1):
        told = _told(visit, sheet)
        yield _Step(f"{number}. {told}", visit.wagons, position)


def _drawn(
    puzzle: Puzzle,
    sheet: Sheet,
    steps: Sequence[_Step],
    *,
    height_mm: float,
    key: Sequence[str],
) -> str:
    shown = f"{_goal(puzzle)}: {steps[0].head} to {steps[-1].head}"
    root = page(width_mm=PAGE_MM, height_mm=height_mm, title=shown)
    body, top_mm = inside(root, margin_mm=MARGIN_MM), 0.0
    for step in steps:
        head = cut_short(step.head, width_mm=WITHIN_MM)
        text(body, 0, top_mm + 3.2, head, font_weight="bold")
        panel(body, puzzle, step.position, sheet, moved=step.moved, top_mm=top_mm + 5)
        top_mm += _step_mm(puzzle)
    _lines(body, key, top_mm)
    return written(root)


def _lines_mm(lines: Sequence[str]) -> float:
    return LINE_MM * (len(lines) + 1)


def _lines(body: ET.Element, lines: Sequence[str], top_mm: float) -> None:
    for number, words in enumerate(lines, 1):
        # mostly small letters, which are narrower than is reckoned
        shown = cut_short(words, width_mm=WITHIN_MM * 1.15)
        text(body, 0, top_mm + LINE_MM * number, shown)


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
    from_where = cut_short(f"{name}, from the points:", width_mm=_NAME_MM)
    text(body, 0, top_mm + 5, from_where)
    left_mm = _NAME_MM
    for member in train:
        width_mm = puzzle.length_mm((member,)) * sheet.scale
        label = sheet.labels[member]
        wagon(body, left_mm, top_mm + 7.4, width_mm, label, named=True)
        left_mm += width_mm


def _goal(puzzle: Puzzle) -> str:
    siding = puzzle.goal.siding
    if siding is None:
        return "Bring every wagon to its place"
    count = len(puzzle.goal.train or ())
    if count == 0:
        return f"Clear {siding}"
    return f"Make up this train of {count} in {siding}"


def _par(par: Par) -> str:
    parts = [f"Par: {par.fewest}"]
    if par.difficulty is not None:
        parts.append(par.difficulty)
    if par.seed is not None:
        parts.append(f"puzzle number {par.seed}")
    return " · ".join(parts)


def _told(visit: Visit, sheet: Sheet) -> str:
    action = "pick up" if visit.action == "pick" else "leave"
    labels = [sheet.labels[name] for name in visit.wagons]
    wagons = listed(labels)
    return f"{visit.siding}: {action} {wagons}"


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
        yield from wrap(f"{note[0].upper()}{note[1:]}.", LETTERS)


def _key(puzzle: Puzzle, sheet: Sheet) -> Iterator[str]:
    """Yield the wagons' names and lengths, several a line; the numbers they bear where
    their names do not fit.
    """
    shown = ""
    for one in puzzle.wagons:
        label = sheet.labels[one.name]
        called = one.name if label == one.name else f"{label} {one.name}"
        entry = f"{called} {millimetres(one.length_mm)}"
        if not shown:
            shown = entry
        elif len(shown) + len(entry) > LETTERS:
            yield shown
            shown = entry
        else:
            shown = f"{shown} · {entry}"
    if shown:
        yield shown
