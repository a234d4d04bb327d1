"""What the document leaves out of what is said of a field, and what it never does."""

from typing import Any

import pytest

from standage.api.document.document_words import DESCRIPTION
from standage.api.document.openapi_examples import shown
from standage.api.document.openapi_sayings import (
    patches_told_by_bodies,
    said_shortly,
    told_by_its_operation,
    told_by_their_fields,
)


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


def test_what_the_type_of_a_field_says_is_left_to_it() -> None:
    told_of = {"YardStart": "Where every wagon stands at the start."}
    field = {"$ref": "#/schemas/YardStart", "description": "Where they stand at first."}
    again = field | {"description": "Where each wagon stands at the start."}
    for one, left in ((field, True), (again, False)):
        said = said_shortly(one, field="start", owner="Deal", elsewhere=told_of)
        assert ("description" in said) is left


def of_one_field(description: str, *, told: bool) -> bool:
    """Tell whether a kind of thing that stands at one field keeps what is said of it."""
    field = {"$ref": "#/schemas/Hauling"} | ({"description": "So."} if told else {})
    schemas: dict[str, dict[str, Any]] = {
        "Request": {"properties": {"haulage": field}},
        "Hauling": {"properties": {}, "description": description},
    }
    return "description" in told_by_their_fields(schemas)["Hauling"]


def test_one_sentence_about_a_thing_is_left_to_the_one_field_that_it_stands_at() -> (
    None
):
    assert not of_one_field("A loop of a track.", told=True)
    assert of_one_field("A loop of a track.", told=False)
    for more in ("A slope; less than 0 downhill.", "A loop. It may be shut.", "`mm`."):
        assert of_one_field(more, told=True)


def test_a_patch_leaves_to_the_body_what_its_fields_are() -> None:
    body = {"properties": {"name": {"type": "string", "description": "As painted."}}}
    told = patches_told_by_bodies({"VanBody": body, "VanBodyPatch": body})
    assert told["VanBody"] == body
    assert told["VanBodyPatch"] == {"properties": {"name": {"type": "string"}}}


def test_an_example_shows_the_first_of_each_list_and_whole_figures_as_such() -> None:
    assert shown({"spare_mm": 12.0, "roads": [{"name": "a"}, {"name": "b"}]}) == {
        "spare_mm": 12,
        "roads": [{"name": "a"}],
    }


def test_a_long_answer_shows_its_reasons_and_leaves_its_longest_lists_empty() -> None:
    why = [{"message": "the train is too long " * 9}]
    answer = {"verdict": "does_not_fit", "because": why, "roads": [{"name": "x" * 90}]}
    assert shown(answer) == answer | {"roads": []}


def test_of_a_drawing_only_how_it_begins_is_shown() -> None:
    one, other = (
        shown(f'<svg xmlns="http://www.w3.org/2000/svg" width="{n}"/>') for n in "12"
    )
    assert one == other
    assert one.startswith("<svg ")
    assert one.endswith("…")
    assert shown("Name;Length\r\n") == "Name;Length\r\n"
