"""What the document leaves out of what is said of a field, and what it never does."""

import pytest

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


def test_one_sentence_about_an_answer_is_left_to_the_operation() -> None:
    assert told_by_its_operation(
        {"description": "How many stand.", "type": "object"}
    ) == {"type": "object"}


def test_words_about_an_answer_s_fields_stay() -> None:
    told = {"description": "``because`` has the worst first."}
    assert told_by_its_operation(told) == told
