"""Clubs to test with: invented, with a steward, and one sound body for every sort of
record.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

import msgspec

from standage.railway.modules.standard_rules import BoardMass
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.plain_pieces import Straight
from standage.railway.track.plans.plan import ModulePlan, Plan
from standage.registry.database.engine import Database
from standage.registry.people.clubs import found_club
from standage.registry.people.credentials import principal_for
from standage.registry.records.bodies import (
    CouplingTypeBody,
    InvitationBody,
    LayoutBody,
    MemberBody,
    ModuleBody,
    PlaceBody,
    RakeBody,
    RakeVehicle,
    ShareLinkBody,
    StandardBody,
    TokenBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
    YardBody,
)
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    INVITATIONS,
    LAYOUT_PLANS,
    LAYOUTS,
    MEMBERS,
    MODULE_PLANS,
    MODULES,
    PLACES,
    RAKES,
    SHARE_LINKS,
    STANDARDS,
    TOKENS,
    TRAINS,
    VEHICLES,
    YARDS,
    Kind,
)
from standage.registry.records.record import Permit, Principal, Record
from standage.registry.records.yard_roads import YardSiding
from standage.registry.writing.store import Reading, Writing

PIECES: dict[str, AnyPiece] = {"T1": Straight(length_mm=400.0)}
NOW = datetime(2026, 5, 1, 10, 0, tzinfo=UTC)
DAY = timedelta(days=1)
MADE = (
    *(
        MEMBERS,
        TOKENS,
        INVITATIONS,
        COUPLING_TYPES,
        VEHICLES,
        RAKES,
        TRAINS,
        MODULES,
        STANDARDS,
        LAYOUTS,
        PLACES,
        YARDS,
        LAYOUT_PLANS,
        MODULE_PLANS,
    ),
    SHARE_LINKS,
)
"""Every sort of record that a club makes, the club itself aside."""


@dataclass(frozen=True, kw_only=True)
class Club:
    """A club in a database, with its steward's token and permit."""

    database: Database
    token: str
    permit: Permit

    @property
    def club_id(self) -> str:
        return self.permit.principal.club_id

    @property
    def steward_id(self) -> str:
        return self.permit.principal.member_id

    @contextmanager
    def writing(self, now: datetime = NOW) -> Iterator[Writing]:
        with self.database.write() as connection:
            yield Writing(connection, now)

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        with self.database.read() as connection:
            yield Reading(connection)

    def make(
        self, kind: Kind[Any], body: msgspec.Struct, *, parent_id: str | None = None
    ) -> Record:
        with self.writing() as writing:
            return writing.create(kind, self.permit, body, parent_id=parent_id)

    def member_permit(self, member: Record) -> Permit:
        """Return the permit of a plain member: on their own records only."""
        principal = Principal(
            club_id=self.club_id,
            member_id=member.id,
            role="member",
            token_id="0192f000-0000-7000-8000-000000000000",
            scopes=frozenset({"read", "write"}),
        )
        return Permit(principal=principal, whose="own")

    def sample(self, kind: Kind[Any], name: str) -> tuple[msgspec.Struct, str | None]:
        """Return a sound body of that kind by that name, and the parent to put it
        beneath.
        """
        if kind in {TRAINS, RAKES}:
            vehicle = self.make(VEHICLES, VehicleBody(name=f"{name}'s only vehicle"))
            if kind is TRAINS:
                return (
                    TrainBody(
                        name=name, vehicles=(TrainVehicle(vehicle_id=vehicle.id),)
                    ),
                    None,
                )
            return (
                RakeBody(name=name, vehicles=(RakeVehicle(vehicle_id=vehicle.id),)),
                None,
            )
        if kind.parent is None:
            alone: dict[str, msgspec.Struct] = {
                MEMBERS.name: MemberBody(name=name),
                TOKENS.name: TokenBody(
                    label=name, member_id=self.steward_id, scopes=("read",)
                ),
                INVITATIONS.name: InvitationBody(
                    label=name, member_id=self.steward_id, expires_at=NOW + DAY
                ),
                COUPLING_TYPES.name: CouplingTypeBody(name=name, reach_mm=3.0),
                VEHICLES.name: VehicleBody(name=name, kind="wagon"),
                MODULES.name: ModuleBody(name=name, scale="N"),
                STANDARDS.name: StandardBody(
                    name=name, asks=(BoardMass(mass_g=25_000.0),)
                ),
                LAYOUTS.name: LayoutBody(name=name),
            }
            return alone[kind.name], None
        return self._sample_beneath(kind, name)

    def _sample_beneath(
        self, kind: Kind[Any], name: str
    ) -> tuple[msgspec.Struct, str | None]:
        if kind is MODULE_PLANS:
            module = self.make(MODULES, ModuleBody(name=f"{name}'s module"))
            return ModulePlan(name=name, pieces=PIECES), module.id
        layout = self.make(LAYOUTS, LayoutBody(name=f"{name}'s layout of {kind.name}"))
        if kind is LAYOUT_PLANS:
            return Plan(name=name, pieces=PIECES), layout.id
        if kind is PLACES:
            return (
                PlaceBody(name=name, kind="siding", usable_length_mm=900.0),
                layout.id,
            )
        if kind is SHARE_LINKS:
            return ShareLinkBody(label=name, expires_at=NOW + DAY), layout.id
        sidings = (YardSiding(name="Long", usable_length_mm=400.0),)
        return (
            YardBody(name=name, headshunt_usable_length_mm=300.0, sidings=sidings),
            layout.id,
        )

    def make_sample(self, kind: Kind[Any], name: str = "Sample") -> Record:
        body, parent_id = self.sample(kind, name)
        return self.make(kind, body, parent_id=parent_id)


def new_club(
    database: Database, name: str = "Harbour Bridge Model Railway Club"
) -> Club:
    """Found a club with a steward called Robin Vale."""
    founded = found_club(database, name, "Robin Vale", NOW)
    with database.read() as connection:
        principal = principal_for(Reading(connection), founded.token, NOW)
    assert principal is not None
    return Club(
        database=database,
        token=founded.token,
        permit=Permit(principal=principal, whose="club"),
    )


def renamed(name: str) -> Any:
    """Return the change that gives a record another name."""

    def new(record: Record) -> msgspec.Struct:
        labelled = isinstance(record.body, TokenBody | InvitationBody | ShareLinkBody)
        field = "label" if labelled else "name"
        return msgspec.structs.replace(record.body, **{field: name})

    return new
