"""Labels for a board's edge: a road's name and what stands there."""

import pytest

from standage.drawings.plans.edge_labels import EdgeLabel, label_pages
from standage.drawings.plans.looks import Look
from standage.drawings.plans.sheets import PaperName
from standage.railway.track.survey.survey import Survey, survey
from support.plans_to_draw import HOSTILE_NAMES, yard
from support.sheets import off_the_paper, overlapping, read, said, words
from support.track_plans import read_plan


def surveyed() -> Survey:
    return survey(read_plan({"scale": "00", **yard()}))


def test_a_label_says_the_road_and_what_stands_there() -> None:
    labels = [EdgeLabel(road="Headshunt", stands="tender engine + 3")]
    shown = words(read(label_pages(surveyed(), Look(), labels).written()))
    assert shown == ["Headshunt", "tender engine + 3"]


def test_a_road_of_the_plan_bears_its_usable_length() -> None:
    found = surveyed()
    (usable,) = [one for one in found.usable if one.road.name == "Coal road"]
    labels = [EdgeLabel(road="Coal road", stands="")]
    shown = words(read(label_pages(found, Look(), labels).written()))
    assert shown == ["Coal road", f"{usable.usable_length_mm:.1f} mm"]


def test_without_labels_every_road_has_one() -> None:
    found = surveyed()
    pages = label_pages(found, Look(), ())
    shown = words(read(pages.written()))
    assert "Coal road" in shown
    assert sum(text.startswith("siding S") for text in shown) == 5


@pytest.mark.parametrize("paper", ["a4", "letter", "phone"])
def test_long_and_odd_words_stay_on_their_label(paper: PaperName) -> None:
    labels = [
        EdgeLabel(road=name, stands=f"{name} and {name}") for name in HOSTILE_NAMES * 8
    ]
    pages = label_pages(surveyed(), Look(paper=paper), labels)
    for number in range(1, pages.count + 1):
        drawing = read(pages.written(number))
        assert overlapping(drawing) == []
        assert off_the_paper(drawing) == []


def test_a_longer_name_is_written_smaller_before_it_is_cut() -> None:
    labels = [EdgeLabel(road="running line P6 through", stands="")]
    shown = said(read(label_pages(surveyed(), Look(), labels).written()))
    assert [one.text for one in shown] == [
        "running line P6 through",
        "tracks too close",
    ]


def test_what_does_not_fit_on_its_label_is_cut() -> None:
    stands = "seven coal wagons and the brake van, empties at the far end, by the wall"
    labels = [EdgeLabel(road="Quay", stands=stands * 2)]
    shown = words(read(label_pages(surveyed(), Look(), labels).written()))
    assert len(shown) == 3
    assert shown[-1].endswith("…")
