"""Whose a record is, who may change it, and that a club never locks itself out."""

from datetime import timedelta
from typing import Any

import msgspec
import pytest

from standage.registry.people.credentials import issue_token
from standage.registry.records.bodies import (
    MemberBody,
    ModuleBody,
    RakeBody,
    RakeVehicle,
    TokenBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import (
    MEMBERS,
    MODULES,
    RAKES,
    TOKENS,
    TRAINS,
    VEHICLES,
    Kind,
)
from standage.registry.records.record import ANY_VERSION, Permit, Record
from standage.shapes.refusals import Forbidden, InUse
from support.clubs import MADE, NOW, Club, renamed


@pytest.fixture
def kit(club: Club) -> Permit:
    """Give the permit of a plain member, on their own records only."""
    return club.member_permit(club.make(MEMBERS, MemberBody(name="Kit Marsh")))


def owned_body(club: Club, kind: Kind[Any], owner_id: str | None) -> msgspec.Struct:
    if kind is VEHICLES:
        return VehicleBody(name="Van", owner_id=owner_id)
    if kind is MODULES:
        return ModuleBody(name="Oak end", owner_id=owner_id)
    vehicle = club.make_sample(VEHICLES)
    if kind is RAKES:
        return RakeBody(
            name="Set",
            owner_id=owner_id,
            vehicles=(RakeVehicle(vehicle_id=vehicle.id),),
        )
    return TrainBody(
        name="Goods", owner_id=owner_id, vehicles=(TrainVehicle(vehicle_id=vehicle.id),)
    )


def owner_of(record: Record) -> str | None:
    assert isinstance(record.body, VehicleBody | TrainBody | RakeBody | ModuleBody)
    return record.body.owner_id


OWNED = pytest.mark.parametrize(
    "kind", [VEHICLES, RAKES, TRAINS, MODULES], ids=lambda kind: kind.name
)


@OWNED
def test_whoever_records_stock_owns_it_unless_another_is_named(
    club: Club, kit: Permit, kind: Kind[Any]
) -> None:
    with club.writing() as writing:
        mine = (
            writing.create(kind, kit, owned_body(club, kind, None))
            if kind is VEHICLES
            else None
        )
    kits = kit.principal.member_id
    if mine is not None:
        assert owner_of(mine) == kits
    assert owner_of(club.make(kind, owned_body(club, kind, None))) == club.steward_id
    assert owner_of(club.make(kind, owned_body(club, kind, kits))) == kits


@OWNED
def test_a_member_makes_changes_and_deletes_their_own(
    club: Club, kit: Permit, kind: Kind[Any]
) -> None:
    body = owned_body(club, kind, None)
    with club.writing() as writing:
        made = writing.create(kind, kit, body)
    assert owner_of(made) == kit.principal.member_id
    with club.writing() as writing:
        writing.change(kind, kit, made.id, renamed("Mine"), if_match=ANY_VERSION)
        writing.remove(kind, kit, made.id, if_match=ANY_VERSION)


@OWNED
def test_a_member_touches_nobody_elses(
    club: Club, kit: Permit, kind: Kind[Any]
) -> None:
    body = owned_body(club, kind, club.steward_id)
    theirs = club.make(kind, body)
    with pytest.raises(Forbidden), club.writing() as writing:
        writing.create(kind, kit, body)
    with pytest.raises(Forbidden), club.writing() as writing:
        writing.change(kind, kit, theirs.id, renamed("Mine now"), if_match=ANY_VERSION)
    with pytest.raises(Forbidden), club.writing() as writing:
        writing.remove(kind, kit, theirs.id, if_match=ANY_VERSION)
    with club.reading() as reading:
        assert reading.get(kind, club.club_id, theirs.id) == theirs


@OWNED
def test_a_member_gives_nothing_away_but_a_steward_may(
    club: Club, kit: Permit, kind: Kind[Any]
) -> None:
    made = club.make(kind, owned_body(club, kind, kit.principal.member_id))

    def given_away(record: Record) -> msgspec.Struct:
        return msgspec.structs.replace(record.body, owner_id=club.steward_id)

    with pytest.raises(Forbidden), club.writing() as writing:
        writing.change(kind, kit, made.id, given_away, if_match=ANY_VERSION)
    with club.writing() as writing:
        changed = writing.change(
            kind, club.permit, made.id, given_away, if_match=ANY_VERSION
        )
    assert owner_of(changed) == club.steward_id


@OWNED
def test_a_change_that_leaves_the_owner_out_keeps_the_owner(
    club: Club, kit: Permit, kind: Kind[Any]
) -> None:
    made = club.make(kind, owned_body(club, kind, kit.principal.member_id))

    def without_owner(record: Record) -> msgspec.Struct:
        return msgspec.structs.replace(record.body, owner_id=None)

    for permit in (kit, club.permit):
        with club.writing() as writing:
            changed = writing.change(
                kind, permit, made.id, without_owner, if_match=ANY_VERSION
            )
        assert owner_of(changed) == kit.principal.member_id


@pytest.mark.parametrize(
    "kind", [kind for kind in MADE if not kind.rights.owned], ids=lambda kind: kind.name
)
def test_what_nobody_owns_is_not_written_with_a_permit_for_ones_own(
    club: Club, kit: Permit, kind: Kind[Any]
) -> None:
    made = club.make_sample(kind)
    with pytest.raises(Forbidden), club.writing() as writing:
        writing.create(kind, kit, made.body, parent_id=made.parent_id)
    with pytest.raises(Forbidden), club.writing() as writing:
        writing.change(kind, kit, made.id, renamed("Mine now"), if_match=ANY_VERSION)
    with pytest.raises(Forbidden), club.writing() as writing:
        writing.remove(kind, kit, made.id, if_match=ANY_VERSION)


def demoted(record: Record) -> msgspec.Struct:
    return msgspec.structs.replace(record.body, role="layout_keeper")


def first_token(club: Club) -> str:
    return club.permit.principal.token_id


def second_steward(
    club: Club, *, scopes: Any = ("read", "write"), expires_at: Any = None
) -> Record:
    """Make another steward with a token."""
    steward = club.make(MEMBERS, MemberBody(name="Ash Fenner", role="steward"))
    with club.writing() as writing:
        body = TokenBody(
            label="Own", member_id=steward.id, scopes=scopes, expires_at=expires_at
        )
        issue_token(writing, club.permit, body)
    return steward


def test_the_last_steward_is_neither_demoted_nor_deleted(club: Club) -> None:
    with pytest.raises(InUse, match="must keep a steward"), club.writing() as writing:
        writing.change(
            MEMBERS, club.permit, club.steward_id, demoted, if_match=ANY_VERSION
        )
    with pytest.raises(InUse, match="must keep a steward"), club.writing() as writing:
        writing.remove(MEMBERS, club.permit, club.steward_id, if_match=ANY_VERSION)
    with club.writing() as writing:
        writing.change(
            MEMBERS,
            club.permit,
            club.steward_id,
            renamed("Robin Vale-Marsh"),
            if_match=ANY_VERSION,
        )


def test_a_steward_may_go_once_another_can_get_in(club: Club) -> None:
    second_steward(club)
    with club.writing() as writing:
        writing.change(
            MEMBERS, club.permit, club.steward_id, demoted, if_match=ANY_VERSION
        )
        writing.remove(MEMBERS, club.permit, club.steward_id, if_match=ANY_VERSION)


def test_a_steward_who_cannot_get_in_does_not_count(club: Club) -> None:
    club.make(MEMBERS, MemberBody(name="Without a token", role="steward"))
    second_steward(club, scopes=("read",))
    second_steward(club, expires_at=NOW - timedelta(seconds=1))
    with pytest.raises(InUse), club.writing() as writing:
        writing.change(
            MEMBERS, club.permit, club.steward_id, demoted, if_match=ANY_VERSION
        )
    with pytest.raises(InUse), club.writing() as writing:
        writing.remove(MEMBERS, club.permit, club.steward_id, if_match=ANY_VERSION)


def test_the_last_token_that_lets_a_steward_in_is_neither_revoked_nor_weakened(
    club: Club,
) -> None:
    def read_only(record: Record) -> msgspec.Struct:
        return msgspec.structs.replace(record.body, scopes=("read",))

    def expired(record: Record) -> msgspec.Struct:
        return msgspec.structs.replace(record.body, expires_at=NOW)

    with pytest.raises(InUse), club.writing() as writing:
        writing.remove(TOKENS, club.permit, first_token(club), if_match=ANY_VERSION)
    for weakened in (read_only, expired):
        with pytest.raises(InUse), club.writing() as writing:
            writing.change(
                TOKENS, club.permit, first_token(club), weakened, if_match=ANY_VERSION
            )
    second_steward(club)
    with club.writing() as writing:
        writing.change(
            TOKENS, club.permit, first_token(club), read_only, if_match=ANY_VERSION
        )
        writing.remove(TOKENS, club.permit, first_token(club), if_match=ANY_VERSION)


def test_a_record_of_a_token_without_a_secret_lets_nobody_in(club: Club) -> None:
    body = TokenBody(
        label="No secret", member_id=club.steward_id, scopes=("read", "write")
    )
    club.make(TOKENS, body)
    with pytest.raises(InUse), club.writing() as writing:
        writing.remove(TOKENS, club.permit, first_token(club), if_match=ANY_VERSION)
