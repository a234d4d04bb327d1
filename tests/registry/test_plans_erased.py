"""A member's name leaves the plans of the modules that are or were theirs, and their own
document has them; other people's plans stay as they are.
"""

from datetime import timedelta
from typing import Any

import msgspec
import pytest
from sqlalchemy import select

from standage.exchange.json_parts import parts
from standage.railway.track.pieces.plain_pieces import Straight
from standage.railway.track.plans.plan import ModulePlan, Plan, PlannedPlace
from standage.registry.database.engine import Database
from standage.registry.database.tables import history, revisions
from standage.registry.forgetting.erasing import Erasing
from standage.registry.forgetting.purging import purge
from standage.registry.moving.club_arrival import arrive
from standage.registry.moving.club_document import written
from standage.registry.records.bodies import LayoutBody, MemberBody, ModuleBody
from standage.registry.records.kinds import (
    LAYOUT_PLANS,
    LAYOUTS,
    MEMBERS,
    MODULE_PLANS,
    MODULES,
)
from standage.registry.records.reading import Reading
from standage.registry.records.record import ANY_VERSION, Permit, Record
from standage.registry.writing.revising import save_revision
from support.clubs import DAY, NOW, Club, new_club

LATER = NOW + timedelta(hours=1)
NAME = "Quillfeather"


def plan(**about: Any) -> ModulePlan:
    road = f"{NAME}'s road"
    return ModulePlan(
        pieces={road: Straight(length_mm=300.0), "T2": Straight(length_mm=300.0)},
        joins=((f"{road}.b", "T2.a"),),
        places=(PlannedPlace(name=road, on=(road,)),),
        **about,
    )


@pytest.fixture
def member(club: Club) -> Record:
    return club.make(MEMBERS, MemberBody(name=NAME))


def module_of(club: Club, owner_id: str) -> Record:
    return club.make(MODULES, ModuleBody(name="Board", owner_id=owner_id))


def planned(club: Club, module: Record, body: ModulePlan | None = None) -> Record:
    return club.make(MODULE_PLANS, body or plan(), parent_id=module.id)


def save(club: Club, draft: Record, *, permit: Permit | None = None) -> None:
    by = permit or club.permit
    with club.writing() as writing:
        held = writing.hold_one(MODULE_PLANS, by, draft.id)
        save_revision(writing, MODULE_PLANS, by, held, remark=f"by {NAME}")


def erase(database: Database, club: Club, member: Record, at: Any = LATER) -> None:
    with database.write() as connection:
        Erasing(connection, at).erase_member(club.permit, member.id)


def everywhere(database: Database) -> str:
    with database.read() as connection:
        tables = (history, revisions, MODULE_PLANS.table, LAYOUT_PLANS.table)
        return "".join(str(connection.execute(select(table)).all()) for table in tables)


def test_the_name_leaves_drafts_revisions_and_history_of_their_modules(
    club: Club, database: Database, member: Record
) -> None:
    draft = planned(club, module_of(club, member.id))
    save(club, draft, permit=club.member_permit(member))
    with club.writing() as writing:
        writing.change(
            MODULE_PLANS,
            club.permit,
            draft.id,
            lambda _: plan(name=f"Plan of {NAME}"),
            if_match=ANY_VERSION,
        )
    erase(database, club, member)
    assert NAME not in everywhere(database)
    with club.reading() as reading:
        now = reading.get(MODULE_PLANS, club.club_id, draft.id)
        told = reading.changes(MODULE_PLANS, club.club_id, draft.id)
    assert now.body == ModulePlan(
        name="Plan of *",
        pieces={"*'s road": Straight(length_mm=300.0), "T2": Straight(length_mm=300.0)},
        joins=(("*'s road.b", "T2.a"),),
        places=(PlannedPlace(name="*'s road", on=("*'s road",)),),
    )
    assert [one.action for one in told] == ["create", "update", "erase"]


def test_what_others_wrote_of_their_own_modules_and_of_layouts_stays(
    club: Club, database: Database, member: Record
) -> None:
    other = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    draft = planned(club, module_of(club, other.id))
    layout = club.make(LAYOUTS, LayoutBody(name="Quay"))
    whole = club.make(LAYOUT_PLANS, Plan(name=f"{NAME}'s plan"), parent_id=layout.id)
    save(club, draft)
    erase(database, club, member)
    with club.reading() as reading:
        assert reading.get(MODULE_PLANS, club.club_id, draft.id) == draft
        assert reading.get(LAYOUT_PLANS, club.club_id, whole.id) == whole


def test_it_leaves_the_history_of_a_module_that_was_given_away(
    club: Club, database: Database, member: Record
) -> None:
    other = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    module = module_of(club, member.id)
    draft = planned(club, module)
    with club.writing() as writing:
        writing.change(
            MODULES,
            club.permit,
            module.id,
            lambda record: msgspec.structs.replace(record.body, owner_id=other.id),
            if_match=ANY_VERSION,
        )
    erase(database, club, member)
    with database.read() as connection:
        told = select(history).where(history.c.record_id == draft.id)
        assert NAME not in str(connection.execute(told).all())


def test_it_leaves_the_history_of_plans_that_are_gone_for_good(
    club: Club, database: Database, member: Record
) -> None:
    module = module_of(club, member.id)
    planned(club, module)
    with club.writing() as writing:
        writing.remove(MODULES, club.permit, module.id, if_match=ANY_VERSION)
    with database.write() as connection:
        purge(Erasing(connection, NOW + 31 * DAY))
    assert NAME in everywhere(database)
    erase(database, club, member, NOW + 32 * DAY)
    assert NAME not in everywhere(database)


def document_of(club: Club, member_id: str | None = None) -> dict[str, Any]:
    with club.reading() as reading:
        raw = b"".join(written(reading, club.club_id, member_id=member_id))
    document: dict[str, Any] = msgspec.json.decode(raw)
    return document


def test_a_members_own_document_has_the_plans_of_their_modules(
    club: Club, member: Record
) -> None:
    own = planned(club, module_of(club, member.id))
    other = planned(club, module_of(club, club.steward_id))
    for draft in (own, other):
        save(club, draft)
    document = document_of(club, member.id)
    kept = {one["id"]: one for one in document["records"]}
    assert (own.id in kept, other.id in kept) == (True, False)
    assert [(one["record_id"], "body" in one) for one in document["revisions"]] == [
        (own.id, True)
    ]
    told = [one for one in document["history"] if one["kind"] == MODULE_PLANS.name]
    assert [(one["record_id"], "after" in one) for one in told] == [(own.id, True)]


def test_a_clubs_document_carries_plans_both_ways(
    sqlite_database: Database, postgresql_database: Database
) -> None:
    club = new_club(sqlite_database)
    module = module_of(club, club.steward_id)
    save(club, planned(club, module))
    laid = {"west": {"module_id": module.id}}
    layout = club.make(LAYOUTS, LayoutBody(name="Quay"))
    whole = msgspec.convert({"modules": laid}, Plan)
    club.make(LAYOUT_PLANS, whole, parent_id=layout.id)
    document = document_of(club)
    arrive(postgresql_database, parts([msgspec.json.encode(document)]), LATER)
    with postgresql_database.read() as connection:
        there = b"".join(written(Reading(connection), club.club_id))
    come = msgspec.json.decode(there)
    kinds = (LAYOUT_PLANS.name, MODULE_PLANS.name)
    for of in (document, come):
        of["records"] = [one for one in of["records"] if one["kind"] in kinds]
    assert come["records"] == document["records"]
    assert come["revisions"] == document["revisions"]
    assert len(come["records"]) == 2
