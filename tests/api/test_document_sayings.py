"""What the document leaves out of what is said of a field, and what it never does."""

import pytest

from standage.api.document.document_words import DESCRIPTION
from standage.api.document.openapi_sayings import said_shortly, told_by_its_operation


def told(description: str, *, field: str, owner: str = "Train") -> str | None:
    shorter = said_shortly({"description": description}, field=field, owner=owner)
    return shorter.get("description")


@pytest.mark.parametrize(
    ("description", "field"),
    [
        ("What the train is called.", "name"),
        ("The usable length, in mm.", "usable_length_mm"),
        ("Its mass in grams.", "mass_g"),
        ("The records that were changed.", "changed_records"),
    ],
)
def test_what_the_names_say_is_left_out(description: str, field: str) -> None:
    assert told(description, field=field) is None


@pytest.mark.parametrize(
    ("description", "field", "shorter"),
    [
        (
            "Pulled out, in mm; null where not known.",
            "length_mm",
            "Pulled out; null where not known.",
        ),
        ("Along its middle, in mm.", "length_mm", "Along its middle."),
        ("What it turns by, in degrees.", "angle_deg", "What it turns by."),
        (
            "As it was measured, in mm of track.",
            "curve_mm",
            "As it was measured, in mm of track.",
        ),
        (
            "Its id, where it is on record.",
            "place_id",
            "Its id, where it is on record.",
        ),
        ("Whose it is, in mm.", "owner", "Whose it is, in mm."),
    ],
)
def test_whatever_says_more_stays(description: str, field: str, shorter: str) -> None:
    assert told(description, field=field) == shorter


@pytest.mark.parametrize(
    ("description", "left"),
    [
        ("How far off the length may be, either way.", None),
        (
            "How far off the length may be, either way; 0.5 if not said.",
            "0.5 if not said.",
        ),
        (
            "How far off it may be; more on a curve.",
            "How far off it may be; more on a curve.",
        ),
    ],
)
def test_what_every_plus_minus_is_stands_in_the_document_alone(
    description: str, left: str | None
) -> None:
    assert told(description, field="length_plus_minus_mm") == left
    assert told(description, field="spot_play_mm") == description
    assert "A `plus_minus_mm` is how far off" in DESCRIPTION


def test_one_sentence_about_an_answer_is_left_to_the_operation() -> None:
    assert told_by_its_operation(
        {"description": "How many stand.", "type": "object"}, frozenset()
    ) == {"type": "object"}


def test_words_about_an_answer_s_fields_stay() -> None:
    told = {"description": "``because`` has the worst first."}
    assert told_by_its_operation(told, frozenset()) == told


def test_what_an_operation_says_word_for_word_is_left_to_it() -> None:
    words = f"A link lets others look. {'It ends when its time comes. ' * 5}"
    assert told_by_its_operation({"description": words}, {"Another."}) != {}
    assert told_by_its_operation({"description": words}, {words}) == {}
