"""One descriptor for each sort of record."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any, TypeVar

import msgspec

from standage.railway.roads.places import PlaceKind
from standage.railway.stock.vehicles import VehicleKind
from standage.railway.terms.figures import IdOrName, Name
from standage.railway.terms.scales import ScaleName
from standage.railway.track.plans.plan import ModulePlan, Plan
from standage.registry.database import tables
from standage.registry.database.tables import name_key
from standage.registry.records.bodies import (
    ClubBody,
    CouplingTypeBody,
    InvitationBody,
    LayoutBody,
    MemberBody,
    ModuleBody,
    PlaceBody,
    RakeBody,
    ShareLinkBody,
    StandardBody,
    TokenBody,
    TrainBody,
    VehicleBody,
    YardBody,
)
from standage.registry.records.coupling_reaches import (
    swallowed_by_its_couplings,
    vehicles_it_swallows,
)
from standage.registry.records.kind import (
    Filter,
    Kind,
    Leaning,
    Life,
    Naming,
    Rights,
    Room,
    Summary,
)
from standage.registry.records.plan_summaries import PlanSummary, plan_summary
from standage.registry.records.record import Role
from standage.registry.records.references import (
    named_by_plan,
    named_by_standard,
    named_by_stock,
    named_by_token,
    named_by_vehicle,
    named_by_yard,
    owner_of,
)
from standage.registry.records.stock_counts import (
    fewer_than_in_use,
    more_than_its_trains_can_have,
    more_than_there_are,
    vehicles_in_rakes,
)
from standage.registry.records.stock_keys import stock_key_of


def _beginning(name_field: str = "name") -> dict[str, Filter]:
    return {f"{name_field}_begins": Filter(column="name_key", type=Name, begins=True)}


def _token_in_utc(body: TokenBody, _now: datetime) -> TokenBody:
    if body.expires_at is None:
        return body
    return msgspec.structs.replace(body, expires_at=body.expires_at.astimezone(UTC))


__all__ = ["KINDS", "Filter", "Kind"]

E = TypeVar("E", InvitationBody, ShareLinkBody)
USUAL_END = timedelta(days=14)
"""An invitation and a share link end then, where nobody says when."""


def _ended_in_utc(body: E, now: datetime) -> E:
    ends_at = body.expires_at
    if ends_at is None:
        ends_at = now + USUAL_END
    return msgspec.structs.replace(body, expires_at=ends_at.astimezone(UTC))


_OWNER = {"owner_id": Filter(column="owner_id", type=IdOrName)}

CLUBS = Kind(
    name="clubs",
    one="club",
    body=ClubBody,
    table=tables.clubs,
    life=Life(removable=False),
)
MEMBERS = Kind(
    name="members",
    one="member",
    body=MemberBody,
    table=tables.members,
    rights=Rights(way_in=True),
    filters={"role": Filter(column="role", type=Role), **_beginning()},
    life=Life(
        cascades={
            "tokens": "member_id",
            "invitations": "member_id",
            "share-links": "member_id",
        }
    ),
)
TOKENS = Kind(
    name="tokens",
    one="token",
    body=TokenBody,
    table=tables.tokens,
    naming=Naming(field="label"),
    rights=Rights(way_in=True),
    filters={
        "member_id": Filter(column="member_id", type=IdOrName),
        **_beginning("label"),
    },
    life=Life(kept=_token_in_utc, fixed=("member_id",), shown_once="token"),
    leaning=Leaning(on=named_by_token),
)
COUPLING_TYPES = Kind(
    name="coupling-types",
    one="coupling type",
    body=CouplingTypeBody,
    table=tables.coupling_types,
    naming=Naming(unique=True, leaned_on_as=lambda body: name_key(body.name)),
    filters=_beginning(),
    leaning=Leaning(outgrown=vehicles_it_swallows),
)
VEHICLES = Kind(
    name="vehicles",
    one="vehicle",
    body=VehicleBody,
    table=tables.vehicles,
    naming=Naming(looked_up_by=lambda body: {"stock_key": stock_key_of(body)}),
    rights=Rights(owned=True),
    filters={
        "kind": Filter(column="kind", type=VehicleKind),
        "scale": Filter(column="scale", type=ScaleName),
        **_OWNER,
        **_beginning(),
    },
    leaning=Leaning(
        on=named_by_vehicle,
        faults=swallowed_by_its_couplings,
        outgrown=fewer_than_in_use,
        through=("rakes",),
    ),
)
TRAINS = Kind(
    name="trains",
    one="train",
    body=TrainBody,
    table=tables.trains,
    rights=Rights(owned=True),
    filters={**_OWNER, **_beginning()},
    leaning=Leaning(
        on=named_by_stock, further=vehicles_in_rakes, faults=more_than_there_are
    ),
)
RAKES = Kind(
    name="rakes",
    one="rake",
    body=RakeBody,
    table=tables.rakes,
    rights=Rights(owned=True),
    filters={**_OWNER, **_beginning()},
    leaning=Leaning(
        on=named_by_stock,
        faults=more_than_there_are,
        outgrown=more_than_its_trains_can_have,
        sees_all=True,
    ),
)
MODULES = Kind(
    name="modules",
    one="module",
    body=ModuleBody,
    table=tables.modules,
    rights=Rights(owned=True),
    filters={"scale": Filter(column="scale", type=ScaleName), **_OWNER, **_beginning()},
    life=Life(cascades={"module-plans": "parent_id"}),
    leaning=Leaning(on=owner_of),
)
STANDARDS = Kind(
    name="standards",
    one="standard",
    body=StandardBody,
    table=tables.standards,
    naming=Naming(unique=True),
    filters=_beginning(),
    leaning=Leaning(on=named_by_standard),
)
LAYOUTS = Kind(
    name="layouts",
    one="layout",
    body=LayoutBody,
    table=tables.layouts,
    naming=Naming(unique=True),
    filters=_beginning(),
    life=Life(
        cascades={
            "places": "parent_id",
            "yards": "parent_id",
            "layout-plans": "parent_id",
            "share-links": "parent_id",
        }
    ),
)
PLACES = Kind(
    name="places",
    one="place",
    body=PlaceBody,
    table=tables.places,
    parent="layouts",
    naming=Naming(unique=True),
    filters={"kind": Filter(column="kind", type=PlaceKind), **_beginning()},
)
YARDS = Kind(
    name="yards",
    one="yard",
    body=YardBody,
    table=tables.yards,
    parent="layouts",
    naming=Naming(unique=True),
    filters=_beginning(),
    leaning=Leaning(on=named_by_yard),
)
PLAN_BYTES = 1024 * 1024
_PLAN_ROOM = Room(
    body_bytes=PLAN_BYTES,
    summary=Summary(type=PlanSummary, of=plan_summary),
    revised=True,
)
LAYOUT_PLANS = Kind(
    name="layout-plans",
    one="layout plan",
    body=Plan,
    table=tables.layout_plans,
    parent="layouts",
    naming=Naming(sole=True),
    leaning=Leaning(on=named_by_plan),
    room=_PLAN_ROOM,
)
MODULE_PLANS = Kind(
    name="module-plans",
    one="module plan",
    body=ModulePlan,
    table=tables.module_plans,
    parent="modules",
    naming=Naming(sole=True),
    rights=Rights(as_above=True),
    room=_PLAN_ROOM,
)

INVITATIONS = Kind(
    name="invitations",
    one="invitation",
    body=InvitationBody,
    table=tables.invitations,
    naming=Naming(field="label"),
    filters={
        "member_id": Filter(column="member_id", type=IdOrName),
        **_beginning("label"),
    },
    life=Life(kept=_ended_in_utc, changeable=False, shown_once="invitation"),
    leaning=Leaning(on=named_by_token),
)
SHARE_LINKS = Kind(
    name="share-links",
    one="share link",
    body=ShareLinkBody,
    table=tables.share_links,
    parent="layouts",
    naming=Naming(field="label"),
    filters=_beginning("label"),
    life=Life(kept=_ended_in_utc, changeable=False, shown_once="link"),
)

KINDS: Mapping[str, Kind[Any]] = {
    kind.name: kind
    for kind in (
        CLUBS,
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
        SHARE_LINKS,
    )
}

GONE_FOR_GOOD = frozenset(kind.name for kind in KINDS.values() if kind.life.shown_once)
"""The kinds whose records do not come back once they are deleted."""
