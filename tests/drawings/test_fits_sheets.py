"""A table of trains against places on paper: a sign for each cell, nothing over
anything else, and every pair on one page.
"""

import re
from collections import Counter
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from standage.drawings.fits_sheets import (
    DrawnHead,
    DrawnPair,
    DrawnTable,
    table_pages,
)
from standage.drawings.plans.sheets import Pages, PaperName
from standage.railway.standing.verdicts import FitVerdict
from support.sheets import SVG, off_the_paper, overlapping, read, words

VERDICTS: tuple[FitVerdict, ...] = ("fits", "tight", "does_not_fit", "cannot_tell")
LONG = "The down fiddle yard road behind the old goods shed by the water tower"


def table(down: int, across: int, /, **about: Any) -> DrawnTable:
    """Return a table of so many trains and places, whose verdicts take turns."""
    rows = []
    for row in range(down):
        pairs = [
            DrawnPair(VERDICTS[(row + column) % 4], "runs", 10.0 * row + column)
            for column in range(across)
        ]
        rows.append(tuple(pairs))
    trains = [DrawnHead(name=f"T{row}", length_mm=500.0) for row in range(down)]
    places = [DrawnHead(name=f"P{one}", length_mm=None) for one in range(across)]
    drawn: dict[str, Any] = {
        "title": "Trains and places",
        "trains": tuple(trains),
        "places": tuple(places),
        "pairs": tuple(rows),
        "best": (None,) * down,
        "notes": ("all is well",),
    }
    return DrawnTable(**drawn | about)


def pages(drawn: DrawnTable, paper: PaperName = "a4") -> Pages:
    return table_pages(drawn, paper)


def signs(root: ET.Element) -> Counter[str]:
    """Return how many signs of each verdict there are, by what they are made of."""
    found: Counter[str] = Counter()
    halves = len(list(root.iter(f"{SVG}path")))
    discs = [one.get("fill") for one in root.iter(f"{SVG}circle")]
    arms = [one for one in root.iter(f"{SVG}line") if one.get("stroke-width") == "0.4"]
    marks = [
        one
        for one in root.iter(f"{SVG}text")
        if one.text == "?" and one.get("font-weight")
    ]
    found["fits"] = discs.count("black")
    found["tight"] = discs.count("white")
    assert halves == found["tight"]
    found["does_not_fit"] = len(arms) // 2
    found["cannot_tell"] = len(marks)
    return found


def test_each_cell_bears_the_sign_of_its_verdict_and_the_key_each_once() -> None:
    drawn = table(5, 4)
    expected = Counter(one.verdict for row in drawn.pairs for one in row)
    expected.update(VERDICTS)
    assert signs(read(pages(drawn).written())) == expected


@pytest.mark.parametrize(
    ("spare_mm", "shown"),
    [
        (12.0, "12"),
        (12.9, "12"),
        (0.0, "0"),
        (0.4, "0"),
        (-0.4, "−1"),
        (-34.0, "−34"),
        (None, None),
        (3 * 60.2 - 0.6, "180"),
    ],
)
def test_spares_are_whole_millimetres_and_never_more_than_there_are(
    spare_mm: float | None, shown: str | None
) -> None:
    pair = DrawnPair("fits", "runs", spare_mm)
    drawn = table(1, 1, pairs=((pair,),), trains=(DrawnHead(name="T", length_mm=7.0),))
    numbers = [
        one
        for one in words(read(pages(drawn).written()))
        if re.fullmatch("−?[0-9]+", one)
    ]
    assert numbers == ["7", *([] if shown is None else [shown])]


def test_how_a_train_gets_there_stands_behind_its_number() -> None:
    pairs = tuple(
        DrawnPair("fits", one, 1.0)
        for one in ("runs", "marginal", "cannot_tell", "does_not_run")
    )
    said = words(read(pages(table(1, 4, pairs=(pairs,))).written()))
    assert (said.count("~"), said.count("×")) == (1, 1)


def test_the_best_place_alone_is_framed() -> None:
    root = read(pages(table(3, 4, best=(2, None, 0))).written())
    frames = [one for one in root.iter(f"{SVG}rect") if one.get("fill") == "none"]
    assert len(frames) == 2
    lefts = {float(one.get("x") or 0) for one in frames}
    assert len(lefts) == 2


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("size", [(200, 100), (120, 5), (4, 70), (1, 1)])
def test_every_train_and_place_stands_on_as_many_pages_as_it_takes(
    paper: PaperName, size: tuple[int, int]
) -> None:
    trains, places = size
    drawn = pages(table(trains, places), paper)
    assert drawn.count <= 40
    cells = 0
    heads: Counter[str] = Counter()
    for page in range(1, drawn.count + 1):
        root = read(drawn.written(page))
        found = signs(root)
        cells += sum(found.values()) - (4 if found else 0)
        heads.update(one for one in words(root) if re.fullmatch("[TP][0-9]+", one))
        assert off_the_paper(root) == []
    assert cells == trains * places
    across = heads["T0"]
    down = heads["P0"]
    assert across * down == drawn.count
    assert heads == Counter(
        {f"T{one}": across for one in range(trains)}
        | {f"P{one}": down for one in range(places)}
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_long_names_and_great_figures_stand_over_nothing(paper: PaperName) -> None:
    pairs = tuple(
        DrawnPair("does_not_fit", "cannot_tell", -1_234_567.8) for _ in range(20)
    )
    heads = [
        DrawnHead(name=f"{LONG} {one} {LONG}", length_mm=1_000_000.0)
        for one in range(20)
    ]
    drawn = table(
        20, 20, trains=heads, places=heads, pairs=(pairs,) * 20, title=LONG * 3
    )
    root = read(pages(drawn, paper).written(1))
    assert overlapping(root) == []
    assert off_the_paper(root) == []


def test_names_that_are_no_xml_or_turn_about_are_written_all_the_same() -> None:
    odd = ["<b>&", "\u05d0\u05d1", "\U0001f682" * 9, "a" * 100, "=1+1"]
    heads = [DrawnHead(name=one, length_mm=None) for one in odd]
    drawn = table(5, 5, trains=heads, places=heads)
    said = words(read(pages(drawn).written()))
    assert "<b>&" in said
    assert "=1+1" in said


def test_what_is_said_stands_beneath_or_on_pages_of_its_own() -> None:
    few = pages(table(2, 2))
    many = pages(table(30, 20, notes=[f"note {one} {LONG}" for one in range(60)]))
    assert few.count == 1
    assert "all is well" in words(read(few.written()))
    assert many.count > 1
    said = [words(read(many.written(page))) for page in range(1, many.count + 1)]
    notes = [one for page in said for one in page if one.startswith("note")]
    assert len(notes) == 60
    assert not any(one.startswith("note") for one in said[0])


def test_nothing_at_all_is_drawn_as_an_empty_table() -> None:
    root = read(pages(table(2, 0)).written())
    assert {"T0", "T1"} <= {*words(root)}
