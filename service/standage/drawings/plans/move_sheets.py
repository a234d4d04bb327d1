"""A move on one sheet: its runs one below the other, each with its words and the train
at its end; on more pages where there are many.

On the plan where its track has a place; else each run's way straightened. Without a way
the plan stands beneath what is said of it.
"""

from collections.abc import Callable, Sequence
from math import ceil
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.plans import runs_on_plan, runs_straightened
from standage.drawings.plans.content import Content, content
from standage.drawings.plans.drawn_runs import DrawnMove
from standage.drawings.plans.lettering import Words, words, wrapped, write
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import Laid, laid_within, round_scale
from standage.drawings.plans.plan_sheets import drawn_group
from standage.drawings.plans.runs_on_plan import RunOnPlan, is_placed
from standage.drawings.plans.runs_straightened import (
    PANEL_MM,
    RunStraightened,
    run_mm,
)
from standage.drawings.plans.sheets import PAPERS, Pages, Paper, Told, moved
from standage.drawings.plans.title_blocks import (
    BAR_HIGH_MM,
    BLOCK_MM,
    facts,
    name_of,
    scale_bar,
    title_block,
)
from standage.railway.track.survey.survey import Survey

_MOST_ON_A_PAGE = 4
_A_STEP = 1.51
"""A plan is drawn one round scale smaller, where more runs then go on a page."""
_GAP_MM = 4.0
_MOST_NOTE_LINES = 10
_TITLE_LINES = 1.5
"""So many lines of other words the last line of the title takes."""
_PHONE_PANEL_MM = 90.0
_FOOT_MM = BLOCK_MM + BAR_HIGH_MM


class _Text(msgspec.Struct, frozen=True, kw_only=True):
    """What is written on a sheet: its head, and over each panel."""

    paper: Paper
    titles: tuple[Words, ...]
    notes: tuple[Words, ...]
    over: tuple[tuple[Words, ...], ...]

    @property
    def head_mm(self) -> float:
        """How high the head is."""
        return self.title_mm + (len(self.notes) + 1) * self.paper.line_mm

    @property
    def title_mm(self) -> float:
        """How high the title is."""
        beyond_mm = (len(self.titles) - 1) * self.title_step_mm
        return beyond_mm + _TITLE_LINES * self.paper.line_mm

    @property
    def title_step_mm(self) -> float:
        """How far it is from one line of the title to the next: larger on paper."""
        if self.paper.is_printed:
            return _TITLE_LINES * self.paper.line_mm
        return self.paper.line_mm

    @property
    def over_mm(self) -> float:
        """How high the words over a panel are."""
        most = max(map(len, self.over), default=0)
        return most * self.paper.line_mm

    @property
    def room_mm(self) -> float:
        """How much of a page is there for panels."""
        return self.paper.high_mm - self.head_mm - _FOOT_MM

    def step_mm(self, panel_mm: float) -> float:
        """Return how far it is from one panel down to the next."""
        return self.over_mm + panel_mm + _GAP_MM

    def panel_mm(self, per_page: int) -> float:
        """Return how high a panel may be, with so many on a page."""
        return self.room_mm / per_page - self.over_mm - _GAP_MM


class _Panels(msgspec.Struct, frozen=True, kw_only=True):
    """What is drawn beneath the head: so high each, at one in so many."""

    draw: tuple[Callable[[ET.Element], None], ...] = ()
    high_mm: float = 0.0
    one_in: float | None = None
    per_page: int = 1
    key: str = ""


def move_pages(found: Survey, look: Look, move: DrawnMove) -> Pages:
    """Return a move's runs on paper, in their order; its notes stand above them."""
    text = _text(PAPERS[look.paper], move)
    sheet = _Sheet(
        found=found,
        look=look,
        text=text,
        panels=_panels(found, look, move, text),
    )
    runs = " ".join(run.message for run in move.runs[:_MOST_NOTE_LINES])
    return Pages(
        paper=sheet.paper,
        told=Told(title=move.title, description=runs or " ".join(move.notes)),
        count=sheet.pages,
        draw=sheet.draw,
    )


def _text(paper: Paper, move: DrawnMove) -> _Text:
    size_mm = 1.4 * paper.text_mm if paper.is_printed else paper.text_mm
    titles = wrapped(
        move.title,
        size_mm=size_mm,
        most_mm=paper.wide_mm,
        is_bold=True,
    )
    over = [
        tuple(_lines(paper, f"{number}.  {run.message}"))
        for number, run in enumerate(move.runs, 1)
    ]
    return _Text(
        paper=paper,
        titles=tuple(titles),
        notes=tuple(_notes(paper, move.notes)),
        over=tuple(over),
    )


def _notes(paper: Paper, notes: Sequence[str]) -> list[Words]:
    """Return the lines of notes, each whole: on a page of the first, a phone has room
    for all.
    """
    lines: list[Words] = []
    for note in notes:
        further = _lines(paper, note)
        if paper.is_printed and len(lines) + len(further) > _MOST_NOTE_LINES:
            break
        lines += further
    return lines


def _lines(paper: Paper, said: str) -> list[Words]:
    return wrapped(
        said,
        size_mm=paper.text_mm,
        most_mm=paper.wide_mm,
    )


def _panels(found: Survey, look: Look, move: DrawnMove, text: _Text) -> _Panels:
    shown = content(found)
    if not move.runs:
        if shown.is_empty:
            return _Panels()
        return _bare_plan(shown, look, text)
    if is_placed(found, move):
        return _on_plan(_Drawing(found, shown, look, move), text)
    return _straightened(found, move, text)


class _Drawing(msgspec.Struct, frozen=True):
    """What is drawn, and how it is to look."""

    found: Survey
    shown: Content
    look: Look
    move: DrawnMove


def _bare_plan(shown: Content, look: Look, text: _Text) -> _Panels:
    """Return the plan alone."""
    laid, _ = _laid(shown, text, most=1)

    drawn, _ = drawn_group(shown, laid, look)
    return _Panels(
        draw=(lambda group: group.append(drawn),),
        high_mm=laid.height_mm,
        one_in=laid.view.one_in,
    )


def _on_plan(drawing: _Drawing, text: _Text) -> _Panels:
    runs = drawing.move.runs
    laid, per_page = _laid(drawing.shown, text, most=len(runs))
    panels = [
        RunOnPlan(
            found=drawing.found,
            shown=drawing.shown,
            laid=laid,
            look=drawing.look,
            train_mm=drawing.move.train_mm,
            run=run,
        )
        for run in runs
    ]
    return _Panels(
        draw=tuple(panel.draw for panel in panels),
        high_mm=laid.height_mm,
        one_in=laid.view.one_in,
        per_page=per_page,
        key=runs_on_plan.KEY,
    )


def _laid(shown: Content, text: _Text, *, most: int) -> tuple[Laid, int]:
    """Return the plan as large as it goes, and how many go on a page: more of them where
    that costs little of its size.
    """
    paper = text.paper
    if not paper.is_printed:
        return laid_within(shown, paper, high_mm=_PHONE_PANEL_MM), most
    tried = [
        laid_within(shown, paper, high_mm=text.panel_mm(number))
        for number in range(1, min(_MOST_ON_A_PAGE, most) + 1)
    ]
    largest = tried[0].view.one_in
    good = [laid for laid in tried if laid.view.one_in <= _A_STEP * largest]
    return good[-1], len(good)


def _straightened(found: Survey, move: DrawnMove, text: _Text) -> _Panels:
    paper = text.paper
    longest_mm = max(run_mm(run, train_mm=move.train_mm) for run in move.runs)
    one_in = round_scale(longest_mm / paper.wide_mm)
    panels = [
        RunStraightened(
            found=found,
            paper=paper,
            one_in=one_in,
            train_mm=move.train_mm,
            run=run,
        )
        for run in move.runs
    ]
    per_page = len(panels)
    if paper.is_printed:
        per_page = max(1, int(text.room_mm / text.step_mm(PANEL_MM)))
    return _Panels(
        draw=tuple(panel.draw for panel in panels),
        high_mm=PANEL_MM,
        one_in=one_in,
        per_page=per_page,
        key=runs_straightened.KEY,
    )


class _Sheet(msgspec.Struct, frozen=True, kw_only=True):
    """Panels on pages, beneath the title and the notes."""

    found: Survey
    look: Look
    text: _Text
    panels: _Panels

    @property
    def pages(self) -> int:
        """How many pages the panels take."""
        return max(1, ceil(len(self.panels.draw) / self.panels.per_page))

    @property
    def paper(self) -> Paper:
        """The paper of one page; a phone's is as high as all panels."""
        paper = self.text.paper
        if paper.is_printed:
            return paper
        panels_mm = len(self.panels.draw) * self.text.step_mm(self.panels.high_mm)
        key_mm = 2 * paper.line_mm
        high_mm = self.text.head_mm + panels_mm + key_mm + _FOOT_MM
        return msgspec.structs.replace(paper, height_mm=high_mm + 2 * paper.margin_mm)

    def draw(self, page: int) -> ET.Element:
        """Return one page."""
        paper = self.paper
        drawn = ET.Element("g")
        group = moved(drawn, paper.margin_mm, paper.margin_mm)
        self._draw_head(group)
        self._draw_panels(group, page)
        self._draw_foot(moved(group, 0, paper.high_mm - _FOOT_MM), page)
        return drawn

    def _draw_head(self, group: ET.Element) -> None:
        step_mm = self.text.title_step_mm
        for number, title in enumerate(self.text.titles):
            write(
                group,
                0,
                number * step_mm + title.above_mm,
                title,
            )
        notes = moved(group, 0, self.text.title_mm)
        self._write(notes, self.text.notes)

    def _write(self, group: ET.Element, lines: Sequence[Words]) -> None:
        for number, one in enumerate(lines):
            base_mm = number * self.text.paper.line_mm + one.above_mm
            write(
                group,
                0,
                base_mm,
                one,
            )

    def _draw_panels(self, group: ET.Element, page: int) -> None:
        first = (page - 1) * self.panels.per_page
        step_mm = self.text.step_mm(self.panels.high_mm)
        for place, draw in enumerate(self.panels.draw[first:][: self.panels.per_page]):
            within = moved(group, 0, self.text.head_mm + place * step_mm)
            for over in self.text.over[first + place :][:1]:
                self._write(within, over)
            draw(moved(within, 0, self.text.over_mm))

    def _draw_foot(self, group: ET.Element, page: int) -> None:
        paper = self.text.paper
        one_in = self.panels.one_in
        scale = "" if one_in is None else f"1 : {one_in:g}"
        told = facts(self.found.plan, self.look, scale)
        said = [(label, fact) for label, fact in told if fact]
        if self.pages > 1:
            said.append(("page", f"{page} of {self.pages}"))
        if one_in is not None:
            self._draw_bar(moved(group, 0, 3.0), one_in)
        block = moved(group, 0, BAR_HIGH_MM)
        title_block(
            block,
            paper,
            name_of(self.found.plan),
            said,
        )

    def _draw_bar(self, group: ET.Element, one_in: float) -> None:
        paper = self.text.paper
        long_mm = scale_bar(
            group,
            one_in=one_in,
            most_mm=min(60.0, 0.4 * paper.wide_mm),
            text_mm=paper.text_mm,
        )
        if not paper.is_printed:
            # A phone has no room beside the bar.
            key = _lines(paper, self.panels.key)
            self._write(moved(group, 0, -len(key) * paper.line_mm - 1.0), key)
            return
        room_mm = paper.wide_mm - long_mm - 8.0
        said = words(
            self.panels.key,
            size_mm=paper.text_mm,
            most_mm=room_mm,
        )
        left_mm = paper.wide_mm - said.width_mm
        write(group, left_mm, 0.8 + said.above_mm / 2, said)
