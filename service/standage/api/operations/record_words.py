"""How each sort of record is spoken of, and at which address it stands."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from standage.api.operations.typical_couplings import (
    TypicalCouplingType,
    typical_coupling_types,
)
from standage.api.web.call import Call
from standage.registry.records.kinds import CLUBS, KINDS, Kind


@dataclass(frozen=True, kw_only=True)
class Beside:
    """What a list shows beside the records where its query asks for it by ``name``:
    nothing that is on record.
    """

    name: str
    about: str
    type: type
    shown: Callable[[], Sequence[Any]]


@dataclass(frozen=True, kw_only=True)
class Words:
    """How a sort of record is spoken of in the document, and where it stands."""

    tag: str
    noun: str
    """As in an operation's id: Vehicle."""
    plural: str
    about: str
    singleton: bool = False
    also_alone: bool = False
    """Whether it also stands at an address that does not name what it lies beneath."""
    beside: Beside | None = None
    last_part: str = ""
    """Of the address of one of which there is no other beside it."""


WORDS: Mapping[str, Words] = {
    "clubs": Words(
        tag="Club",
        noun="Club",
        plural="Clubs",
        about="The club that the token belongs to.",
        singleton=True,
    ),
    "members": Words(
        tag="Club",
        noun="Member",
        plural="Members",
        about="A member of the club: a name, a role, one contact at most.",
    ),
    "tokens": Words(
        tag="Club",
        noun="Token",
        plural="Tokens",
        about=(
            "A token lets a program act for a member, within its scopes, until it"
            " expires or is deleted. Its secret is shown once, when it is created."
        ),
    ),
    "invitations": Words(
        tag="Signing in",
        noun="Invitation",
        plural="Invitations",
        about=(
            "An invitation lets a member who has no passphrase yet set one, once, until"
            " it expires or is deleted. Its secret is shown once, when it is made; hand"
            " it to the member."
        ),
    ),
    "coupling-types": Words(
        tag="Stock",
        noun="CouplingType",
        plural="CouplingTypes",
        about=(
            "A type of coupling supplies the reach, projection and play of every"
            " vehicle end that names it."
        ),
        beside=Beside(
            name="typical",
            about=(
                "The typical couplings of the trade with their figures and synonyms,"
                " which are on no record."
            ),
            type=TypicalCouplingType,
            shown=typical_coupling_types,
        ),
    ),
    "vehicles": Words(
        tag="Stock",
        noun="Vehicle",
        plural="Vehicles",
        about=(
            "A vehicle, or several alike, with the figures that are known. Leave out"
            " what nobody measured: the answers say what they would need."
        ),
    ),
    "trains": Words(
        tag="Stock",
        noun="Train",
        plural="Trains",
        about="Vehicles and rakes on record in order from the head of the train.",
    ),
    "rakes": Words(
        tag="Stock",
        noun="Rake",
        plural="Rakes",
        about=(
            "A rake (cut): vehicles on record that stay together. Trains are made up of"
            " rakes as of single vehicles; its length measured whole overrules the sum"
            " of its vehicles."
        ),
    ),
    "modules": Words(
        tag="Modules",
        noun="Module",
        plural="Modules",
        about=(
            "A module: a board with track on it, and the ends at which it is joined to"
            " others. Leave out what nobody measured."
        ),
    ),
    "standards": Words(
        tag="Modules",
        noun="Standard",
        plural="Standards",
        about=(
            "A club's own standard: rules that modules and trains keep to, and waivers"
            " that let one off, with a reason."
        ),
    ),
    "layouts": Words(
        tag="Layouts",
        noun="Layout",
        plural="Layouts",
        about="A layout; its places and yards lie beneath it.",
    ),
    "places": Words(
        tag="Layouts",
        noun="Place",
        plural="Places",
        about=(
            "A place where trains stand, with its lengths as surveyed with a tape along"
            " the middle of the track."
        ),
    ),
    "yards": Words(
        tag="Layouts",
        noun="Yard",
        plural="Yards",
        about=(
            "A yard of a layout: a fan of sidings worked from a headshunt, each measured"
            " or a place of the layout. Shunting questions name it by its id."
        ),
        also_alone=True,
    ),
    "layout-plans": Words(
        tag="Layouts",
        noun="LayoutPlan",
        plural="LayoutPlans",
        about=(
            "The track plan of a layout, as a draft. Modules in it are on record: a"
            " revision of each one's plan counts, the newest unless it says which."
        ),
        last_part="plan",
    ),
    "module-plans": Words(
        tag="Modules",
        noun="ModulePlan",
        plural="ModulePlans",
        about="The track plan of a module, as a draft.",
        last_part="plan",
    ),
    "share-links": Words(
        tag="Layouts",
        noun="ShareLink",
        plural="ShareLinks",
        about=(
            "A share link lets whoever has its secret read one layout with its places"
            " and yards, and ask the inline questions, until it expires or is deleted."
            " It shows nothing else of the club. Its secret is shown once, when it is"
            " made, and is sent as a token."
        ),
    ),
}


def paths(kind: Kind[Any], *, alone: bool = False) -> tuple[str, str]:
    """Return the paths of the list and of one record; ``alone`` are those that do not
    name what it lies beneath.
    """
    if WORDS[kind.name].singleton:
        return "/v1/club", "/v1/club"
    above = (
        ""
        if kind.parent is None or alone
        else f"/{kind.parent}/{{{id_name(KINDS[kind.parent])}}}"
    )
    if WORDS[kind.name].last_part:
        sole = f"/v1{above}/{WORDS[kind.name].last_part}"
        return sole, sole
    listed = f"/v1{above}/{kind.name}"
    return listed, f"{listed}/{{{id_name(kind)}}}"


def id_name(kind: Kind[Any]) -> str:
    """Return the name of the parameter and field that holds such a record's id."""
    return f"{kind.one.replace(' ', '_')}_id"


def record_id(kind: Kind[Any], call: Call) -> str:
    """Return the id of the record that an address names; the club is its own."""
    if kind is CLUBS:
        return call.club_id
    return call.path[id_name(kind)]


def parent_id(kind: Kind[Any], call: Call) -> str | None:
    """Return the id of what the address says it lies beneath; None where the address
    says nothing of that.
    """
    if kind.parent is None:
        return None
    above = id_name(KINDS[kind.parent])
    return call.path.get(above)


def list_path(kind: Kind[Any], call: Call) -> str:
    """Return the path of the list that a request is about."""
    is_alone = parent_id(kind, call) is None
    listed, _ = paths(kind, alone=is_alone)
    return listed.format(**call.path)


@dataclass(frozen=True, kw_only=True)
class Address:
    """Where a sort of record stands, and how its operations are called there."""

    listed: str
    single: str
    noun: str
    plural: str
    alone: bool
    """Whether it does not name what the records lie beneath."""


def addresses(kind: Kind[Any]) -> Iterable[Address]:
    """Yield every address at which records of that kind stand."""
    words = WORDS[kind.name]
    listed, single = paths(kind)
    yield Address(
        listed=listed, single=single, noun=words.noun, plural=words.plural, alone=False
    )
    if words.also_alone:
        listed, single = paths(kind, alone=True)
        noun, plural = f"Club{words.noun}", f"Club{words.plural}"
        yield Address(
            listed=listed, single=single, noun=noun, plural=plural, alone=True
        )
