"""Names that look like another's in the same list: told with what is written and in
stock lists, never refused.
"""

from datetime import timedelta
from typing import Any

import pytest

from api.asking import Caller, Service
from api.ground import Ground, one_of
from api.sheets import imported, previewed, rows
from support.databases import statements

MANY = 100
CYRILLIC = "Соal 1"
"""The first two letters are Cyrillic."""
NAMED = [
    "Member",
    "CouplingType",
    "Vehicle",
    "Rake",
    "Train",
    "Module",
    "Standard",
    "Layout",
    "Place",
    "Yard",
]


def alike(record: dict[str, Any]) -> list[str]:
    """Return the names that the answer to a write says the record's own looks like."""
    return [one["name"] for one in record.get("look_alikes", [])]


@pytest.mark.parametrize("noun", NAMED)
def test_a_look_alike_in_the_same_list_is_told_and_the_record_made(
    ground: Ground, noun: str
) -> None:
    layout = (
        {"layout_id": ground.make("Layout", name="Round")["id"]}
        if noun in {"Place", "Yard"}
        else {}
    )
    first = ground.make(noun, name="Coal 1", **layout)
    second = ground.make(noun, name=CYRILLIC, **layout)
    assert alike(first) == []
    (told,) = second["look_alikes"]
    assert (told["id"], told["name"]) == (first["id"], "Coal 1")
    assert told["message"].startswith(
        f"the name “{CYRILLIC}” looks like “Coal 1”, which is another "
    )
    assert told["message"].endswith(
        " here: one is written with letters of another alphabet (Cyrillic); check that"
        " you mean two"
    )
    assert "look_alikes" not in ground.steward.read(one_of(noun, second))


@pytest.mark.parametrize(
    ("stored", "written"),
    [
        (CYRILLIC, "Coal 1"),
        ("Κoal", "Koal"),
        ("Ｃｏａｌ １", "Coal 1"),
        ("𝐂oal", "Coal"),
        ("Wagon 1", "Wagon I"),
        ("Wagon l", "Wagon 1"),
        ("Wagon |", "Wagon 1"),
        ("WAGON I", "Wagon 1"),
        ("10", "I0"),
        ("Wagon 10", "Wagon 1O"),
        ("Barn", "Bam"),
        ("Bam", "Barn"),
        ("Baгn", "Barn"),
        ("Noël", "Nоël"),
        ("King’s [2] *?^", "King's [2] *?^"),
        ("Coal-1", "Coal–1"),
        ("C:\\O", "C:\\0"),
        ("＾1", "＾I"),
        ("^1", "＾I"),
    ],
)
def test_a_look_alike_is_found_whichever_of_the_two_is_on_record(
    steward: Caller, stored: str, written: str
) -> None:
    steward.made("/v1/vehicles", {"name": stored})
    assert alike(steward.made("/v1/vehicles", {"name": written})) == [stored]


@pytest.mark.parametrize(
    ("stored", "written"),
    [
        ("Wagon 10", "Wagon 11"),
        ("Wagon 1", "Wagon i"),
        ("Wagon 1", "Wagon L"),
        ("Wagon 1", "wagon  1"),
        ("Wagon *", "Wagon ?"),
        ("Wagon 1", "Wagon 1 "),
        ("[ab]", "a"),
    ],
)
def test_names_that_plainly_differ_or_are_the_same_are_not_told(
    steward: Caller, stored: str, written: str
) -> None:
    steward.made("/v1/vehicles", {"name": stored})
    assert "look_alikes" not in steward.made("/v1/vehicles", {"name": written})


@pytest.mark.parametrize("verb", ["PUT", "PATCH"])
def test_a_look_alike_is_told_with_every_change_and_may_be_sent_back(
    steward: Caller, verb: str
) -> None:
    steward.made("/v1/vehicles", {"name": "Coal 1"})
    path = f"/v1/vehicles/{steward.made('/v1/vehicles', {'name': 'Ore 1'})['id']}"
    for _ in range(2):
        body = {
            "name": CYRILLIC,
            "look_alikes": [{"id": "x", "name": "Ore", "message": "whatever"}],
        }
        changed = steward.ask(verb, path, body, if_match=steward.tag(path))
        assert changed.status_code == 200, changed.text
        assert alike(changed.json()) == ["Coal 1"]
    renamed = steward.ask(
        verb, path, changed.json() | {"name": "Ore 1"}, if_match=steward.tag(path)
    )
    assert (renamed.status_code, alike(renamed.json())) == (200, [])


def test_look_alikes_cannot_be_written_of_a_new_record(steward: Caller) -> None:
    assert (
        steward.ask(
            "POST", "/v1/vehicles", {"name": "Ore 1", "look_alikes": []}
        ).status_code
        == 422
    )


def test_neither_another_club_nor_a_deleted_record_nor_another_layout_has_a_look_alike(
    service: Service, ground: Ground
) -> None:
    there = Ground(service.club("Another Model Railway Club"))
    for noun in NAMED:
        there.make(noun, name="Coal 1")
        assert alike(ground.make(noun, name=CYRILLIC)) == [], noun
    for noun in NAMED:
        gone = ground.make(noun, name="Ore I")
        assert (
            ground.steward.ask("DELETE", one_of(noun, gone), if_match="*").status_code
            == 204
        )
        assert alike(ground.make(noun, name="Ore 1")) == [], noun
    one, other = (
        ground.make("Layout", name=name)["id"] for name in ("Round", "Branch")
    )
    ground.make("Place", name="Loop 1", layout_id=one)
    assert alike(ground.make("Place", name="Loop I", layout_id=other)) == []
    assert alike(ground.make("Place", name="Loop l", layout_id=one)) == ["Loop 1"]


def test_five_look_alikes_are_told_at_most_each_name_once(steward: Caller) -> None:
    for name in ("Van 11", "Van 1I", "Van I1", "Van lI", "Van l1", "Van 1|", "Van 11"):
        steward.made("/v1/vehicles", {"name": name})
    told = alike(steward.made("/v1/vehicles", {"name": "Van |1"}))
    assert len(told) == len(set(told)) == 5


def test_a_write_takes_as_many_statements_beside_a_hundred_look_alikes_as_beside_one(
    service: Service, steward: Caller
) -> None:
    counts = []
    for count in (1, MANY - 1):
        for number in range(count):
            figures = f"{count + number:07b}".replace("0", "I")
            steward.made("/v1/vehicles", {"name": f"Van {figures}"})
        with statements(service.database) as sent:
            assert alike(steward.made("/v1/vehicles", {"name": "Van lllllll"}))
        counts.append(len(sent))
    assert counts[0] == counts[1]


def test_what_is_brought_back_or_undone_tells_its_look_alikes(
    service: Service, steward: Caller
) -> None:
    record = steward.made("/v1/vehicles", {"name": "Coal 1"})
    path = f"/v1/vehicles/{record['id']}"
    assert steward.ask("DELETE", path, if_match="*").status_code == 204
    steward.made("/v1/vehicles", {"name": CYRILLIC})
    back = steward.ask("POST", f"/v1/deleted-records/{record['id']}/restore")
    assert alike(back.json()) == [CYRILLIC]
    assert (
        steward.ask("PATCH", path, {"name": "Ore 1"}, if_match="*").status_code == 200
    )
    change = steward.read(f"/v1/history?limit=1&record_id={record['id']}")["items"][0]
    undone = steward.ask("POST", f"/v1/history/{change['id']}/undo")
    assert alike(undone.json()) == [CYRILLIC]
    service.clock.move(timedelta(minutes=1))
    again = steward.ask("POST", f"/v1/history/{undone.json()['changes'][0]['id']}/undo")
    assert "look_alikes" not in again.json()


def test_an_undo_of_a_hundred_records_looks_for_look_alikes_in_as_many_statements_as_one_of_one(
    service: Service, steward: Caller
) -> None:
    counts = []
    for number, count in enumerate((1, MANY)):
        steward.made("/v1/vehicles", {"name": f"Coal {number}O0"})
        lines = "".join(f"Coal {number}{row:02d}\n" for row in range(count))
        preview = previewed(steward, f"Name\n{lines}")
        action = imported(steward, preview).json()["taken"]["action_id"]
        gone = steward.ask("POST", f"/v1/actions/{action}/undo").json()
        with statements(service.database) as sent:
            back = steward.ask("POST", f"/v1/actions/{gone['action_id']}/undo")
        assert alike(back.json()) == [f"Coal {number}O0"]
        counts.append(
            len([one for one in sent if one.startswith("SELECT") and "LIMIT" in one])
        )
    assert counts[0] == counts[1]


def notes(caller: Caller, preview: dict[str, Any]) -> list[list[str]]:
    """Return of each row what is said of look-alikes."""
    return [
        [
            note["message"]
            for note in row.get("notes", [])
            if note["code"] == "look_alike"
        ]
        for row in rows(caller, preview)
    ]


def test_rows_of_a_list_are_told_of_look_alikes_on_record_and_in_the_list(
    service: Service, steward: Caller
) -> None:
    service.club("Another Model Railway Club").made(
        "/v1/vehicles", {"name": "Brake van l"}
    )
    steward.made("/v1/vehicles", {"name": "Coal 1"})
    gone = steward.made("/v1/vehicles", {"name": "Ore I"})
    assert (
        steward.ask("DELETE", f"/v1/vehicles/{gone['id']}", if_match="*").status_code
        == 204
    )
    preview = previewed(
        steward,
        f"Name,Kind\n{CYRILLIC},wagon\nBarn,wagon\nBam,wagon\nOre 1,wagon\nBrake van"
        " 1,wagon\n",
    )
    alphabet = (
        "one is written with letters of another alphabet (Cyrillic); check that you"
        " mean two"
    )
    assert notes(steward, preview) == [
        [
            (
                f"the name “{CYRILLIC}” looks like “Coal 1”, which is another vehicle here:"
                f" {alphabet}"
            )
        ],
        [
            (
                "the name “Barn” looks like “Bam”, in row 4: “rn” and “m” look the same;"
                " check that you mean two"
            )
        ],
        [
            (
                "the name “Bam” looks like “Barn”, in row 3: “m” and “rn” look the same;"
                " check that you mean two"
            )
        ],
        [],
        [],
    ]
    assert preview["counts"]["with_notes"] == 3
    assert imported(steward, preview).status_code == 200
    assert [len(one) for one in notes(steward, preview)] == [1, 1, 1, 0, 0]


def test_a_row_that_changes_a_name_is_not_held_against_the_name_it_takes_away(
    steward: Caller,
) -> None:
    made = steward.made("/v1/vehicles", {"name": "Wagon I", "number": "7"})
    preview = previewed(steward, "Number,Name\n7,Wagon 1\n8,Wagon l\n")
    changed, new = notes(steward, preview)
    assert rows(steward, preview)[0]["vehicle_id"] == made["id"]
    assert ["in row 3" in message for message in changed] == [True]
    assert ["in row 2" in message for message in new] == [True]


def test_a_row_at_fault_is_held_against_no_other(steward: Caller) -> None:
    preview = previewed(
        steward, "Name,Length over buffers (mm)\nWagon 1,80\nWagon I,nonsense\n"
    )
    assert [row["outcome"] for row in rows(steward, preview)] == ["create", "fault"]
    assert notes(steward, preview) == [[], []]


@pytest.mark.parametrize("others", [3, 30])
def test_a_long_list_is_told_of_look_alikes_as_a_short_one_is(
    steward: Caller, others: int
) -> None:
    steward.made("/v1/vehicles", {"name": "Coal 1"})
    plain = "".join(f"Plain {place}00,wagon\n" for place in range(others))
    preview = previewed(steward, f"Name,Kind\n{CYRILLIC},wagon\n{plain}")
    told, *of_others = notes(steward, preview)
    assert [message.split(",")[0] for message in told] == [
        f"the name “{CYRILLIC}” looks like “Coal 1”"
    ]
    assert of_others == [[]] * others
