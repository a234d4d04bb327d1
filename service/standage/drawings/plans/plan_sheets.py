"""A track plan on one sheet, true to scale, with lists of what could not stand on it.

Track lies between its rails, or is a line; where trains may stand it lies on a grey
band. A heavy stroke across two legs is the mark to paint. All is black, white and one
grey, so that it prints anywhere.
"""

from collections.abc import Iterator
from math import ceil
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.plans.content import Content, Wrong, content
from standage.drawings.plans.lettering import words, write
from standage.drawings.plans.listings import Columns, Listing, columns
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import BELOW_MM, Laid, laid_out
from standage.drawings.plans.plan_names import Names
from standage.drawings.plans.plan_strokes import draw_plan
from standage.drawings.plans.road_strips import Strips, strip_pages
from standage.drawings.plans.roads_drawn import straight_roads
from standage.drawings.plans.sheets import Pages, Told, moved
from standage.drawings.plans.signs import WORDS
from standage.drawings.plans.title_blocks import (
    BAR_HIGH_MM,
    BLOCK_MM,
    facts,
    name_of,
    narrow_head,
    scale_bar,
    title_block,
)
from standage.railway.terms.figures import counted
from standage.railway.track.survey.survey import Survey

_SHORT_MM = 80.0
_MORE_MM = 6.0
_A_STEP = 1.51
_MEANING = "grey: where trains may stand · heavy stroke: fouling mark"


def plan_sheet(found: Survey, look: Look) -> Pages:
    """Return a plan on paper turned as is best, its lists beneath or on more pages.

    A plan with faults is drawn as far as it goes, with what is wrong beside its pieces
    and in a list.
    """
    shown = content(found)
    if shown.is_empty and found.usable:
        return _as_strips(found, shown, look)
    return _as_it_lies(found, shown, look)


def _as_strips(found: Survey, shown: Content, look: Look) -> Pages:
    """Return a plan without a shape: its roads straightened, then what is wrong."""
    roads = tuple(straight_roads(found))
    strips = strip_pages(
        found,
        look,
        Strips(roads=roads),
    )
    if not shown.wrong or not strips.paper.is_printed:
        return strips
    return strips.followed_by(_as_it_lies(found, shown, look))


def _as_it_lies(found: Survey, shown: Content, look: Look) -> Pages:
    drawn = _drawn(
        found,
        shown,
        look,
        laid_out(shown, look),
    )
    told = _told(found, shown)
    if not drawn.laid.paper.is_printed:
        return drawn.narrow(told)
    lists_mm = drawn.lists.high_mm()
    if drawn.beneath_mm < lists_mm < _SHORT_MM:
        # Short lists are worth a smaller plan, where one step down makes room for them.
        less = laid_out(
            shown,
            look,
            beneath_mm=lists_mm + _MORE_MM,
        )
        if less.view.one_in <= _A_STEP * drawn.laid.view.one_in:
            drawn = _drawn(found, shown, look, less)
    return drawn.on_pages(told)


def drawn_group(
    shown: Content, laid: Laid, look: Look
) -> tuple[ET.Element, tuple[str, ...]]:
    """Return a plan with its names, and the names for which there was no room."""
    named = Names(shown, laid, look)
    group = ET.Element("g")
    draw_plan(
        group,
        shown,
        laid,
        look,
    )
    named.write(group)
    return group, named.nameless


def _drawn(found: Survey, shown: Content, look: Look, laid: Laid) -> "PlanDrawn":
    group, nameless = drawn_group(shown, laid, look)
    lists = columns(
        laid.paper,
        list(_listings(shown, nameless)),
    )
    return PlanDrawn(
        found=found,
        look=look,
        laid=laid,
        group=group,
        lists=lists,
        is_empty=shown.is_empty,
    )


class PlanDrawn(msgspec.Struct, frozen=True, kw_only=True):
    """A plan that is drawn, and its lists, to be put together; ``meaning`` explains its
    strokes. One that ``is_empty`` has no track to measure, and no scale.
    """

    found: Survey
    look: Look
    laid: Laid
    group: ET.Element
    lists: Columns
    meaning: str = _MEANING
    is_empty: bool = False

    def on_pages(self, told: Told) -> Pages:
        """Return the plan, with its lists beneath where they find room there."""
        paper = self.laid.paper
        is_one = self.lists.high_mm() <= self.beneath_mm
        per_page = self.lists.per_page(paper.high_mm - 2 * paper.line_mm)
        more = 0 if is_one else ceil(len(self.lists.lines) / per_page)

        def draw(page: int) -> ET.Element:
            if page > 1:
                return self._more(
                    page,
                    per_page,
                    pages=1 + more,
                )
            return self._first(with_lists=is_one)

        return Pages(
            paper=paper,
            told=told,
            count=1 + more,
            draw=draw,
        )

    @property
    def _foot_mm(self) -> float:
        """Where the foot begins."""
        return self.laid.paper.high_mm - BLOCK_MM - BAR_HIGH_MM

    @property
    def beneath_mm(self) -> float:
        """How much room there is between the plan and the foot."""
        return self._foot_mm - self._drawn_mm

    @property
    def _drawn_mm(self) -> float:
        return self.laid.height_mm + BELOW_MM

    def _first(self, *, with_lists: bool) -> ET.Element:
        paper = self.laid.paper
        page = ET.Element("g")
        within = moved(page, paper.margin_mm, paper.margin_mm)
        within.append(self.group)
        foot = moved(within, 0, self._foot_mm)
        self._foot(foot)
        if with_lists:
            lists = moved(within, 0, self._drawn_mm)
            self.lists.draw(
                lists,
                self.lists.lines,
                deep=self.lists.deep,
            )
        return page

    def _foot(self, group: ET.Element) -> None:
        """Draw the bar, what the strokes mean, and the title block beneath."""
        if not self.is_empty:
            self._bar(moved(group, 0, 3.0))
        paper = self.laid.paper
        block = moved(group, 0, BAR_HIGH_MM)
        title_block(
            block,
            paper,
            name_of(self.found.plan),
            self._facts,
        )

    def _bar(self, bar: ET.Element) -> None:
        paper = self.laid.paper
        size_mm = paper.text_mm
        one_in = self.laid.view.one_in
        long_mm = scale_bar(
            bar,
            one_in=one_in,
            most_mm=80.0,
            text_mm=size_mm,
        )
        room_mm = paper.wide_mm - long_mm - 8.0
        said = words(self.meaning, size_mm=size_mm, most_mm=room_mm)
        left_mm = paper.wide_mm - said.width_mm
        write(
            bar,
            left_mm,
            0.8 + said.above_mm / 2,
            said,
        )

    @property
    def _facts(self) -> list[tuple[str, str]]:
        scale = "" if self.is_empty else f"1 : {self.laid.view.one_in:g}"
        told = facts(
            self.found.plan,
            self.look,
            scale,
        )
        return [(label, fact) for label, fact in told if fact]

    def _more(self, page: int, per_page: int, *, pages: int) -> ET.Element:
        paper = self.laid.paper
        drawn = ET.Element("g")
        group = moved(drawn, paper.margin_mm, paper.margin_mm)
        heading = f"{name_of(self.found.plan)}, page {page} of {pages}"
        said = words(
            heading,
            size_mm=paper.text_mm,
            most_mm=paper.wide_mm,
        )
        write(group, 0, said.above_mm, said)
        first = (page - 2) * per_page
        lines = self.lists.lines[first : first + per_page]
        inner = moved(
            group,
            0,
            2 * paper.line_mm,
        )
        deep = per_page // self.lists.across
        self.lists.draw(inner, lines, deep=deep)
        return drawn

    def narrow(self, told: Told) -> Pages:
        """Return the plan as a phone shows it: one thing below the other."""
        paper = self.laid.paper
        page = ET.Element("g")
        group = moved(page, paper.margin_mm, paper.margin_mm)
        down_mm = narrow_head(
            group,
            paper,
            name_of(self.found.plan),
            self._facts,
        )
        bar = moved(group, 0, down_mm)
        one_in = self.laid.view.one_in
        scale_bar(
            bar,
            one_in=one_in,
            most_mm=45.0,
            text_mm=paper.text_mm,
        )
        down_mm += paper.line_mm
        moved(group, 0, down_mm).append(self.group)
        down_mm += self._drawn_mm
        lists = moved(group, 0, down_mm)
        self.lists.draw(
            lists,
            self.lists.lines,
            deep=self.lists.deep,
        )
        down_mm += self.lists.high_mm() + 2 * paper.margin_mm
        whole = msgspec.structs.replace(paper, height_mm=down_mm)
        return Pages(
            paper=whole,
            told=told,
            count=1,
            draw=lambda _page: page,
        )


def _told(found: Survey, shown: Content) -> Told:
    """Return a plan in words, for those who cannot see it."""
    said = [
        f"Track plan with {counted(len(found.placed.flat.pieces), 'piece')}",
        counted(len(shown.points), "set of points", plural="sets of points"),
        f"{counted(len(shown.roads), 'road')}:",
    ]
    roads = [f"{road.said} {road.length}" for road in shown.roads[:20]]
    marked = sum(one.is_one for one in shown.wrong)
    wrong = f" {counted(marked, 'fault')} marked." if shown.wrong else ""
    description = f"{', '.join(said)} {'; '.join(roads)}.{wrong}"
    return Told(
        title=name_of(found.plan),
        description=description,
    )


def _numbered(number: int, wrong: Wrong) -> str:
    """Return a fault with its number, by which it is marked; what stands for several
    has none.
    """
    if wrong.is_one:
        return f"{number}  {wrong.message}"
    return wrong.message


def _listings(shown: Content, nameless: tuple[str, ...]) -> Iterator[Listing]:
    if shown.is_empty:
        yield Listing(
            heading="Nothing to draw",
            entries=("Nothing of this plan has a place that could be drawn.",),
        )
    faults = [_numbered(number, one) for number, one in enumerate(shown.wrong, 1)]
    yield Listing(
        heading="Faults",
        entries=tuple(faults),
    )
    yield Listing(heading="Not drawn", entries=shown.unplaced)
    roads = [f"{road.number}  {road.said}: {road.length}" for road in shown.roads]
    yield Listing(
        heading="Roads, and how much of each can be used",
        entries=(*roads,),
    )
    yield Listing(heading="No room for their names", entries=nameless)
    kinds = tuple(dict.fromkeys(sign.kind for sign in shown.signs))
    said = tuple(WORDS[kind] for kind in kinds)
    yield Listing(
        heading="On the track",
        entries=said,
        signs=kinds,
    )
