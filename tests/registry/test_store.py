"""The write path: versions, the order of refusals, history, names, what goes with
what.
"""

from datetime import timedelta
from typing import Any

import msgspec
import pytest

from standage.registry.records.bodies import (
    ClubBody,
    LayoutBody,
    MemberBody,
    PlaceBody,
    TrainBody,
    VehicleBody,
)
from standage.registry.records.kinds import (
    CLUBS,
    KINDS,
    LAYOUTS,
    MEMBERS,
    PLACES,
    TOKENS,
    VEHICLES,
    Kind,
)
from standage.registry.records.record import ANY_VERSION, UNCONDITIONAL, IfMatch, Record
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Absent, Forbidden, Stale, Unconditional
from support.clubs import MADE, NOW, Club, renamed

NOBODY = "01932000-0000-7000-8000-00000000dead"
EVERY_MADE_KIND = pytest.mark.parametrize("kind", MADE, ids=lambda kind: kind.name)


def seen(record: Record) -> IfMatch:
    return IfMatch(given=True, tags=frozenset({record.etag}))


@EVERY_MADE_KIND
def test_what_was_created_is_read_back_equal(club: Club, kind: Kind[Any]) -> None:
    made = club.make_sample(kind)
    with club.reading() as reading:
        found = reading.get(kind, club.club_id, made.id)
    assert found == made
    assert (found.version, found.created_at, found.updated_at) == (1, NOW, NOW)


@EVERY_MADE_KIND
def test_a_change_makes_the_next_version_and_keeps_the_day_of_creation(
    club: Club, kind: Kind[Any]
) -> None:
    made = club.make_sample(kind)
    later = NOW + timedelta(hours=1)
    with club.writing(later) as writing:
        changed = writing.change(
            kind, club.permit, made.id, renamed("Another"), if_match=seen(made)
        )
    with club.reading() as reading:
        found = reading.get(kind, club.club_id, made.id)
    assert found == changed
    assert (found.version, found.created_at, found.updated_at) == (2, NOW, later)
    assert kind.title(found.body) == "Another"
    assert found.etag != made.etag


@EVERY_MADE_KIND
def test_what_was_deleted_is_absent_and_cannot_be_changed_or_deleted_again(
    club: Club, kind: Kind[Any]
) -> None:
    made = club.make_sample(kind)
    with club.writing() as writing:
        writing.remove(kind, club.permit, made.id, if_match=seen(made))
    with club.reading() as reading:
        with pytest.raises(Absent):
            reading.get(kind, club.club_id, made.id)
        assert reading.many(kind, club.club_id, [made.id]) == {}
    with pytest.raises(Absent), club.writing() as writing:
        writing.change(
            kind, club.permit, made.id, renamed("Back again"), if_match=ANY_VERSION
        )
    with pytest.raises(Absent), club.writing() as writing:
        writing.remove(kind, club.permit, made.id, if_match=ANY_VERSION)


@EVERY_MADE_KIND
def test_every_write_leaves_one_history_row_with_who_when_old_and_new(
    club: Club, kind: Kind[Any]
) -> None:
    made = club.make_sample(kind)
    with club.writing(NOW + timedelta(hours=1)) as writing:
        changed = writing.change(
            kind, club.permit, made.id, renamed("Another"), if_match=seen(made)
        )
    with club.writing(NOW + timedelta(hours=2)) as writing:
        writing.remove(kind, club.permit, made.id, if_match=seen(changed))
    with club.reading() as reading:
        rows = reading.changes(kind, club.club_id, made.id)
    first, second = (
        msgspec.json.encode(record.body).decode() for record in (made, changed)
    )
    assert [(row.action, row.version, row.before, row.after) for row in rows] == [
        ("create", 1, None, first),
        ("update", 2, first, second),
        ("delete", 3, second, None),
    ]
    assert [row.at - NOW for row in rows] == [
        timedelta(hours=hours) for hours in range(3)
    ]
    who = club.permit.principal
    assert {(row.member_id, row.token_id) for row in rows} == {
        (who.member_id, who.token_id)
    }


def test_the_club_itself_is_changed_like_any_record_but_never_deleted(
    club: Club,
) -> None:
    with club.writing() as writing:
        writing.change(
            CLUBS,
            club.permit,
            club.club_id,
            renamed("Renamed Club"),
            if_match=ANY_VERSION,
        )
    with club.reading() as reading:
        assert reading.get(CLUBS, club.club_id, club.club_id).body == ClubBody(
            name="Renamed Club"
        )
        assert [
            row.action for row in reading.changes(CLUBS, club.club_id, club.club_id)
        ] == ["create", "update"]
    with (
        pytest.raises(ValueError, match="cannot be deleted"),
        club.writing() as writing,
    ):
        writing.remove(CLUBS, club.permit, club.club_id, if_match=ANY_VERSION)


def test_an_equal_body_is_a_change_like_any_other(club: Club) -> None:
    made = club.make_sample(VEHICLES)
    with club.writing() as writing:
        changed = writing.change(
            VEHICLES,
            club.permit,
            made.id,
            lambda record: record.body,
            if_match=seen(made),
        )
    assert changed.version == 2
    with club.reading() as reading:
        assert len(reading.changes(VEHICLES, club.club_id, made.id)) == 2


def test_a_refused_change_writes_nothing(club: Club) -> None:
    made = club.make_sample(VEHICLES)
    old = IfMatch(given=True, tags=frozenset({'"v0"'}))
    with pytest.raises(Stale), club.writing() as writing:
        writing.change(
            VEHICLES, club.permit, made.id, renamed("Too late"), if_match=old
        )
    with club.reading() as reading:
        assert reading.get(VEHICLES, club.club_id, made.id) == made
        assert len(reading.changes(VEHICLES, club.club_id, made.id)) == 1


def test_any_of_several_tags_will_do(club: Club) -> None:
    made = club.make_sample(VEHICLES)
    several = IfMatch(given=True, tags=frozenset({'"v7"', made.etag}))
    with club.writing() as writing:
        assert (
            writing.change(
                VEHICLES, club.permit, made.id, renamed("Seen"), if_match=several
            ).version
            == 2
        )


def faulty(_record: Record) -> Any:
    raise Faulty([Fault(code="any", message="any", pointer="/name")])


def test_refusals_of_a_change_come_in_the_promised_order(club: Club) -> None:
    made = club.make_sample(VEHICLES)
    stranger = club.member_permit(club.make(MEMBERS, MemberBody(name="Kit Marsh")))
    stale = IfMatch(given=True, tags=frozenset())
    invalid = renamed_to_unknown_owner
    tries: list[tuple[type[Exception], str, Any, Any, IfMatch]] = [
        (Absent, NOBODY, stranger, faulty, UNCONDITIONAL),
        (Forbidden, made.id, stranger, faulty, UNCONDITIONAL),
        (Faulty, made.id, club.permit, faulty, UNCONDITIONAL),
        (Faulty, made.id, club.permit, invalid, UNCONDITIONAL),
        (Faulty, made.id, club.permit, invalid, stale),
        (Unconditional, made.id, club.permit, renamed("Good"), UNCONDITIONAL),
        (Stale, made.id, club.permit, renamed("Good"), stale),
    ]
    for refusal, record_id, permit, new, if_match in tries:
        with pytest.raises(refusal), club.writing() as writing:
            writing.change(VEHICLES, permit, record_id, new, if_match=if_match)


def renamed_to_unknown_owner(record: Record) -> Any:
    return msgspec.structs.replace(record.body, owner_id=NOBODY)


def test_refusals_of_a_deletion_come_in_the_promised_order(club: Club) -> None:
    made = club.make_sample(VEHICLES)
    stranger = club.member_permit(club.make(MEMBERS, MemberBody(name="Kit Marsh")))
    stale = IfMatch(given=True, tags=frozenset())
    tries: list[tuple[type[Exception], str, Any, IfMatch]] = [
        (Absent, NOBODY, stranger, UNCONDITIONAL),
        (Forbidden, made.id, stranger, UNCONDITIONAL),
        (Unconditional, made.id, club.permit, UNCONDITIONAL),
        (Stale, made.id, club.permit, stale),
    ]
    for refusal, record_id, permit, if_match in tries:
        with pytest.raises(refusal), club.writing() as writing:
            writing.remove(VEHICLES, permit, record_id, if_match=if_match)


@pytest.mark.parametrize(
    "record_id", ["", "x", "a\x00b", "\ud800", "1" * 5000, "'; DROP TABLE vehicles; --"]
)
def test_an_id_that_cannot_be_one_is_absent(club: Club, record_id: str) -> None:
    with club.reading() as reading:
        with pytest.raises(Absent):
            reading.get(VEHICLES, club.club_id, record_id)
        assert reading.many(VEHICLES, club.club_id, [record_id]) == {}


def test_a_place_is_found_beneath_its_own_layout_only(club: Club) -> None:
    place = club.make_sample(PLACES)
    elsewhere = club.make(LAYOUTS, LayoutBody(name="Elsewhere"))
    with club.reading() as reading:
        assert (
            reading.get(PLACES, club.club_id, place.id, parent_id=place.parent_id)
            == place
        )
        with pytest.raises(Absent):
            reading.get(PLACES, club.club_id, place.id, parent_id=elsewhere.id)
        assert reading.page(PLACES, club.club_id, parent_id=elsewhere.id) == []
        with pytest.raises(Absent):
            reading.page(PLACES, club.club_id, parent_id=NOBODY)
    with pytest.raises(Absent), club.writing() as writing:
        writing.remove(
            PLACES, club.permit, place.id, if_match=ANY_VERSION, parent_id=elsewhere.id
        )


def test_a_place_cannot_be_made_beneath_a_layout_that_is_not_there(club: Club) -> None:
    with pytest.raises(Absent):
        club.make(PLACES, PlaceBody(name="Up loop", kind="loop"), parent_id=NOBODY)


def test_a_change_of_a_place_leaves_its_layout_as_it_was(club: Club) -> None:
    place = club.make_sample(PLACES)
    with club.reading() as reading:
        layout = reading.get(LAYOUTS, club.club_id, str(place.parent_id))
    with club.writing(NOW + timedelta(hours=1)) as writing:
        writing.change(
            PLACES, club.permit, place.id, renamed("Down loop"), if_match=ANY_VERSION
        )
    with club.reading() as reading:
        assert reading.get(LAYOUTS, club.club_id, layout.id) == layout


@pytest.mark.parametrize(
    "kind", [kind for kind in MADE if kind.naming.unique], ids=lambda kind: kind.name
)
def test_a_name_that_must_be_the_only_one_is_refused_in_any_letter_case(
    club: Club, kind: Kind[Any]
) -> None:
    body, parent_id = club.sample(kind, "Größe  Nord")
    made = club.make(kind, body, parent_id=parent_id)
    again = msgspec.structs.replace(body, name="GRÖSSE NORD")
    with pytest.raises(Faulty) as refused:
        club.make(kind, again, parent_id=parent_id)
    assert [(fault.code, fault.pointer) for fault in refused.value.faults] == [
        ("name_taken", "/name")
    ]
    with club.writing() as writing:
        writing.change(
            kind, club.permit, made.id, lambda _: again, if_match=ANY_VERSION
        )
        writing.remove(kind, club.permit, made.id, if_match=ANY_VERSION)
    assert club.make(kind, again, parent_id=parent_id).version == 1


def test_places_of_two_layouts_may_share_a_name(club: Club) -> None:
    parents = [
        club.make(LAYOUTS, LayoutBody(name=name)).id for name in ("North", "South")
    ]
    body = PlaceBody(name="Up loop", kind="loop")
    made = [club.make(PLACES, body, parent_id=parent) for parent in parents]
    assert len({place.id for place in made}) == 2


def test_vehicles_of_one_club_may_share_a_name(club: Club) -> None:
    assert (
        club.make(VEHICLES, VehicleBody(name="Van")).id
        != club.make(VEHICLES, VehicleBody(name="Van")).id
    )


def test_a_tokens_member_stays_as_it_was(club: Club) -> None:
    token = club.make_sample(TOKENS)
    other = club.make(MEMBERS, MemberBody(name="Kit Marsh"))

    def moved(record: Record) -> msgspec.Struct:
        return msgspec.structs.replace(record.body, member_id=other.id)

    with pytest.raises(Faulty) as refused, club.writing() as writing:
        writing.change(TOKENS, club.permit, token.id, moved, if_match=ANY_VERSION)
    assert [(fault.code, fault.pointer) for fault in refused.value.faults] == [
        ("fixed", "/member_id")
    ]


def test_text_of_any_script_is_kept_as_it_was_sent(club: Club) -> None:
    name = "Зелёная роща 緑の森 🚂 e\u0301 \u202eabc"
    made = club.make(VEHICLES, VehicleBody(name=name, notes="a\nb\t'\"\\%_ $1 :x"))
    with club.reading() as reading:
        found = reading.get(VEHICLES, club.club_id, made.id)
    assert isinstance(found.body, VehicleBody)
    assert (found.body.name, found.body.notes) == (name, "a\nb\t'\"\\%_ $1 :x")


def test_every_kind_is_declared_once_and_by_its_own_name() -> None:
    assert {name: kind.name for name, kind in KINDS.items()} == {
        name: name for name in KINDS
    }
    assert {kind.name for kind in MADE} | {"clubs"} == set(KINDS)
    assert all(
        child in KINDS for kind in KINDS.values() for child in kind.life.cascades
    )


def test_deleting_a_layout_deletes_its_places_each_with_its_history(club: Club) -> None:
    layout = club.make(LAYOUTS, LayoutBody(name="Harbour"))
    names = ("Up loop", "Down loop")
    places = [
        club.make(PLACES, PlaceBody(name=name, kind="loop"), parent_id=layout.id)
        for name in names
    ]
    other = club.make_sample(PLACES)
    with club.writing() as writing:
        writing.remove(LAYOUTS, club.permit, layout.id, if_match=seen(layout))
    with club.reading() as reading:
        assert reading.many(
            PLACES, club.club_id, [place.id for place in [*places, other]]
        ) == {other.id: other}
        for place in places:
            rows = reading.changes(PLACES, club.club_id, place.id)
            assert [(row.action, row.version) for row in rows] == [
                ("create", 1),
                ("delete", 2),
            ]


def test_a_train_keeps_the_order_and_facing_of_its_vehicles(club: Club) -> None:
    ids = [club.make(VEHICLES, VehicleBody(name=name)).id for name in ("a", "b", "c")]
    body = msgspec.convert(
        {
            "name": "Goods",
            "vehicles": [
                {"vehicle_id": ids[2], "reversed": True},
                {"vehicle_id": ids[0]},
                {"vehicle_id": ids[1]},
            ],
            "measured_rakes": [
                {"first": 2, "last": 3, "length_mm": 250.5, "length_over": "buffers"}
            ],
        },
        TrainBody,
    )
    made = club.make(KINDS["trains"], body)
    with club.reading() as reading:
        found = reading.get(KINDS["trains"], club.club_id, made.id)
    assert found.body == msgspec.structs.replace(body, owner_id=club.steward_id)
