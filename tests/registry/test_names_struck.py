"""What is struck out of a body: every string but ids and choices, also in shapes that
no record has today.
"""

import unicodedata
from typing import Annotated, Any, Literal

import msgspec
import pytest

from standage.registry.writing.names_struck import Struck, rewritten, written

AN_ID = "01932000-beef-7000-8000-00000000dead"


class Axle(msgspec.Struct, frozen=True, kw_only=True, tag="axle", tag_field="part"):
    made_by: str
    kind: Literal["spoked", "disc"] = "disc"


class Lamp(msgspec.Struct, frozen=True, kw_only=True, tag="lamp", tag_field="part"):
    colours: tuple[Annotated[str, msgspec.Meta(max_length=20)], ...] = ()


class Invented(msgspec.Struct, frozen=True, kw_only=True):
    parts: tuple[Axle | Lamp, ...] = ()
    pair: tuple[str, int] | None = None
    by_shelf: dict[str, list[str]] = {}
    sizes: dict[str, Literal["small", "large"]] = {}
    said: Annotated[str | None, msgspec.Meta(description="Anything.")] = msgspec.field(
        name="words", default=None
    )
    anything: Any = None
    owner_id: str | None = None
    length_mm: float = 0


def struck(body: dict[str, Any], *names: str) -> dict[str, Any]:
    return rewritten(Invented, body, Struck(names).out_of)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (
            {"parts": [{"part": "axle", "made_by": "by Rose"}]},
            {"parts": [{"part": "axle", "made_by": "by *"}]},
        ),
        (
            {"parts": [{"part": "lamp", "colours": ["rose", "red"]}]},
            {"parts": [{"part": "lamp", "colours": ["*", "red"]}]},
        ),
        ({"pair": ["Rose", 3]}, {"pair": ["*", 3]}),
        ({"by_shelf": {"Rose's": ["of Rose"]}}, {"by_shelf": {"*'s": ["of *"]}}),
        ({"words": "ROSE", "length_mm": 3.5}, {"words": "*", "length_mm": 3.5}),
        (
            {"anything": {"deep": [{"er": "Rose"}]}},
            {"anything": {"deep": [{"er": "*"}]}},
        ),
        (
            {"field_of_old": "Rose", "nothing": None},
            {"field_of_old": "*", "nothing": None},
        ),
        (
            {"words": "Rosehip, Primrose, rose_1"},
            {"words": "Rosehip, Primrose, rose_1"},
        ),
    ],
)
def test_a_name_is_struck_out_of_every_string(
    before: dict[str, Any], after: dict[str, Any]
) -> None:
    assert struck(before, "Rose") == after


@pytest.mark.parametrize(
    ("name", "body"),
    [
        ("Disc", {"parts": [{"part": "axle", "made_by": "us", "kind": "disc"}]}),
        ("Axle", {"parts": [{"part": "axle", "made_by": "us"}]}),
        ("Large", {"sizes": {"one": "large"}}),
        ("Beef", {"owner_id": AN_ID, "words": AN_ID}),
        ("Words", {"words": "left"}),
    ],
)
def test_choices_ids_and_the_names_of_fields_stay(
    name: str, body: dict[str, Any]
) -> None:
    assert struck(body, name) == body


@pytest.mark.parametrize(
    "spelt",
    [
        "Zoë Strauß",
        "ZOË STRAUSS",
        "zoë strauß",
        unicodedata.normalize("NFD", "Zoë Strauß"),
        "Zoë  \t Strauß",
        "Zoë\nStrauß",
        "Zoë\u00a0Strauß",
    ],
)
def test_a_name_is_found_however_it_is_spaced_and_cased(spelt: str) -> None:
    found = Struck(["Zoë Strauß"])
    assert found.out_of(f"({spelt})") == "(*)"
    assert found.stands_in(msgspec.json.encode({"notes": f"a\n{spelt}"}).decode())


def test_the_longer_of_two_names_goes_whole() -> None:
    assert (
        Struck(["Rose", "Rose Marsh", "rose@weir.example"]).out_of(
            "Rose Marsh, rose@weir.example"
        )
        == "*, *"
    )


def test_where_there_is_no_name_nothing_is_struck() -> None:
    nobody = Struck([])
    assert not nobody
    assert nobody.out_of("Rose") == "Rose"
    assert not nobody.stands_in('"Rose"')


def test_all_that_was_written_is_told_whatever_its_field() -> None:
    body = {
        "parts": [{"part": "axle", "made_by": "us", "kind": "disc"}],
        "words": "left",
        "sizes": {"one": "large"},
    }
    assert written(Invented, body) == ["us", "left", "one"]
