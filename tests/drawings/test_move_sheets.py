"""A move on a sheet: the train true to length where it stands, and words that can be
read.
"""

from collections.abc import Callable
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from msgspec.structs import replace

from standage.drawings.plans.drawn_runs import DrawnMove, DrawnRun
from standage.drawings.plans.looks import Look
from standage.drawings.plans.move_sheets import move_pages
from standage.drawings.plans.sheets import PaperName
from standage.railway.track.survey.survey import Survey, survey
from support.plans_to_draw import faulty, measured, yard
from support.sheets import SVG, off_the_paper, overlapping, read, said, words
from support.track_plans import Document, read_plan

TRAIN_MM = 300.0


def surveyed(document: Document) -> Survey:
    return survey(read_plan({"scale": "00", **document}))


def one_run(found: Survey, road: str) -> DrawnRun:
    """Return a run along a road, from its first end, by 100 mm."""
    (usable,) = [one for one in found.usable if one.road.name == road]
    return DrawnRun(
        message=f"Draw forward along {road} until it is clear.",
        courses=usable.road.courses,
        from_mm=TRAIN_MM,
        to_mm=TRAIN_MM + 100.0,
        engine_leads=True,
        spare_mm=50.0,
    )


def move(*runs: DrawnRun, notes: tuple[str, ...] = ()) -> DrawnMove:
    return DrawnMove(
        title="A train of 300 mm from here to there",
        train_mm=TRAIN_MM,
        runs=runs,
        notes=notes,
    )


def lengths_mm(root: ET.Element, width: str) -> list[float]:
    """Return how long the lines of that width are on the paper."""
    found = []
    for one in root.iter(f"{SVG}polyline"):
        if one.get("stroke-width") == width and one.get("stroke") == "black":
            pairs = [pair.split(",") for pair in (one.get("points") or "").split()]
            places = [complex(float(x_mm), float(y_mm)) for x_mm, y_mm in pairs]
            found.append(sum(abs(two - first) for first, two in pairwise(places)))
    return found


def scale_of(root: ET.Element) -> float:
    (said,) = [text for text in words(root) if text.startswith("1 : ")]
    return float(said.removeprefix("1 : "))


def test_the_train_is_as_long_as_the_scale_says_before_and_after() -> None:
    found = surveyed(yard())
    drawn = move(one_run(found, "siding S3"))
    root = read(move_pages(found, Look(), drawn).written())
    on_paper_mm = TRAIN_MM / scale_of(root)
    assert lengths_mm(root, "2") == pytest.approx([on_paper_mm], abs=0.1)
    assert lengths_mm(root, "4") == pytest.approx([on_paper_mm], abs=0.1)


def test_a_train_that_leaves_the_plan_is_drawn_before_it_goes_alone() -> None:
    found = surveyed(yard())
    drawn = move(replace(one_run(found, "siding S3"), leaves=True))
    root = read(move_pages(found, Look(), drawn).written())
    assert lengths_mm(root, "2") == []
    assert len(lengths_mm(root, "4")) == 1


def test_the_engine_is_named_once_wherever_it_is_coupled() -> None:
    found = surveyed(yard())
    ahead = one_run(found, "siding S3")
    places = []
    for run in (ahead, replace(ahead, engine_leads=False)):
        root = read(move_pages(found, Look(), move(run)).written())
        (engine,) = [one for one in said(root) if one.text == "engine"]
        places.append(engine.left_mm)
    assert places[0] != places[1]


def test_a_plan_without_a_shape_is_drawn_straightened() -> None:
    found = surveyed(measured())
    road = found.usable[0].road
    drawn = move(one_run(found, road.name))
    root = read(move_pages(found, Look(), drawn).written())
    boxes = [
        float(one.get("width", 0))
        for one in root.iter(f"{SVG}rect")
        if one.get("height") == "6" and one.get("fill") != "black"
    ]
    on_paper_mm = TRAIN_MM / scale_of(root)
    assert boxes == pytest.approx([on_paper_mm] * 2, abs=0.1)
    assert "50 mm to spare" in words(root)


def test_every_run_stands_on_some_page_with_its_number() -> None:
    found = surveyed(yard())
    runs = [one_run(found, "siding S3") for _ in range(21)]
    pages = move_pages(found, Look(), move(*runs))
    texts = [
        text
        for page in range(1, pages.count + 1)
        for text in words(read(pages.written(page)))
    ]
    numbers = [text.split(".")[0] for text in texts if ". Draw" in text]
    assert numbers == [f"{number}" for number in range(1, 22)]
    assert pages.count > 1


def test_without_a_way_the_plan_is_drawn_and_the_reason_said() -> None:
    found = surveyed(yard())
    drawn = move(notes=("the train is too long",))
    root = read(move_pages(found, Look(), drawn).written())
    assert "the train is too long" in words(root)
    assert "P1" in words(root)
    assert lengths_mm(root, "2") == []


@pytest.mark.parametrize("paper", ["a4", "letter", "phone"])
@pytest.mark.parametrize("plan", [yard, measured, faulty])
def test_no_words_stand_over_others_or_off_the_paper(
    paper: PaperName, plan: Callable[[], Document]
) -> None:
    found = surveyed(plan())
    road = max(found.usable, key=lambda one: one.usable_length_mm or 0.0).road
    notes = ("it takes 2 reversals, and 2150 mm of travel " * 3,) * 2
    for runs in ((), (one_run(found, road.name),) * 3):
        root = read(
            move_pages(found, Look(paper=paper), move(*runs, notes=notes)).written()
        )
        assert overlapping(root) == []
        assert off_the_paper(root) == []


@pytest.mark.parametrize("paper", ["a4", "phone"])
def test_a_long_title_is_told_to_its_end_and_lies_over_nothing(
    paper: PaperName,
) -> None:
    title = (
        f"Impossible: a train of 300 mm from {'the carriage sidings ' * 3}to the quay"
    )
    drawn = replace(move(one_run(surveyed(yard()), "siding S3")), title=title)
    root = read(move_pages(surveyed(yard()), Look(paper=paper), drawn).written())
    assert title in " ".join(words(root))
    assert overlapping(root) == []


def test_a_phone_tells_every_note_and_a_page_none_by_halves() -> None:
    notes = tuple(f"{number} {'the rails lie apart ' * 9}end" for number in range(9))
    found = surveyed(yard())
    phone = move_pages(found, Look(paper="phone"), move(notes=notes)).written()
    assert " ".join(words(read(phone))).count(" end") == 9
    page = " ".join(words(read(move_pages(found, Look(), move(notes=notes)).written())))
    assert 0 < page.count(" end") == sum(f"{one} the rails" in page for one in range(9))
