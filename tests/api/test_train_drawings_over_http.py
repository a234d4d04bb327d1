"""A train drawn in its place, over HTTP: what the answer says stands on the sheet, and
names are only ever text.
"""

from typing import Any
from xml.etree import ElementTree as ET

import httpx
import pytest

from api.asking import NOBODY, Caller, faults
from api.ground import CHECKS, Ground, id_of

PATH = "/v1/checks/train-fit/drawing"
HOOK = {"reach_mm": 4.0}
WAGON = {
    "length_mm": 82,
    "length_over": "buffers",
    "front_coupling": HOOK,
    "rear_coupling": HOOK,
}
HOSTILE = [
    "<script>alert(1)</script>",
    '"/><image href="x"/>',
    "&entity;]]>",
    "=1+1",
    "\u05e8\u05db\u05d1\u05ea drows",
]


def drawn(response: httpx.Response) -> ET.Element:
    assert response.status_code == 200, response.text
    assert response.headers["content-type"] == "image/svg+xml"
    assert "default-src 'none'" in response.headers["content-security-policy"]
    return ET.fromstring(response.content)  # noqa: S314 - our own text


def words(root: ET.Element) -> str:
    return " ".join(
        element.text or "" for element in root.iter("{http://www.w3.org/2000/svg}text")
    )


@pytest.mark.parametrize("usable_mm", [300, 460, 900])
def test_every_reason_of_the_answer_stands_on_the_sheet(
    steward: Caller, usable_mm: float
) -> None:
    body: dict[str, Any] = {
        "train": {"vehicles": [WAGON | {"name": "Wagon", "count": 5}]},
        "place": {"kind": "loop", "name": "Up loop", "usable_length_mm": usable_mm},
        "stopping_margin_mm": 20,
    }
    answer = steward.ask("POST", "/v1/checks/train-fit", body).json()
    told = words(drawn(steward.ask("POST", PATH, body)))
    assert told.startswith("Up loop ")
    for reason in answer["because"]:
        assert f"{reason['message'][:1].upper()}{reason['message'][1:]}." in told
    assert f"{answer['train_length_mm']:g} mm of train + 20 mm for stopping" in told


def test_a_slip_is_written_on_the_sheet_too(steward: Caller) -> None:
    body = CHECKS["drawTrainFit"] | {
        "place": {"kind": "loop", "scale": "00", "usable_length_mm": 3.0}
    }
    answer = steward.ask("POST", "/v1/checks/train-fit", body).json()
    assert answer["warnings"]
    told = words(drawn(steward.ask("POST", PATH, body)))
    assert all(slip["message"][1:40] in told for slip in answer["warnings"])


def test_train_and_place_on_record_are_drawn_by_their_ids(ground: Ground) -> None:
    train, place = ground.make("Train"), ground.make("Place")
    body = {"train": {"train_id": train["id"]}, "place": {"place_id": place["id"]}}
    assert words(drawn(ground.steward.ask("POST", PATH, body))).startswith(
        place["name"]
    )
    unknown = ground.steward.ask(
        "POST", PATH, {"train": {id_of("Train"): NOBODY}, "place": {"place_id": NOBODY}}
    )
    assert set(faults(unknown)) == {"/train/train_id", "/place/place_id"}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_drawn_as_text_whatever_it_looks_like(
    steward: Caller, name: str
) -> None:
    place = {"kind": "loop", "name": name, "usable_length_mm": 300}
    root = drawn(
        steward.ask(
            "POST",
            PATH,
            {"train": {"vehicles": [WAGON | {"name": name}]}, "place": place},
        )
    )
    assert {element.tag.rpartition("}")[2] for element in root.iter()} <= {
        "svg",
        "g",
        "title",
        "rect",
        "line",
        "polygon",
        "text",
    }
    assert name[:6] in words(root)


def test_the_longest_train_is_drawn_at_once(steward: Caller) -> None:
    body = {
        "train": {
            "vehicles": [
                WAGON | {"name": f"Wagon {number}", "count": 5} for number in range(200)
            ]
        },
        "place": {"kind": "loop", "usable_length_mm": 90000},
    }
    assert (
        len(
            list(
                drawn(steward.ask("POST", PATH, body)).iter(
                    "{http://www.w3.org/2000/svg}rect"
                )
            )
        )
        > 1000
    )
