"""Tokens let in whom they should, as long as they should, and are kept only as a
hash.
"""

from datetime import datetime, timedelta, timezone
from typing import Any

import msgspec
import pytest
from sqlalchemy import select

from standage.registry.database.engine import Database
from standage.registry.database.tables import clubs, metadata
from standage.registry.people.clubs import found_club
from standage.registry.people.credentials import issue_token, principal_for
from standage.registry.records.bodies import MemberBody, TokenBody
from standage.registry.records.kinds import CLUBS, MEMBERS, TOKENS
from standage.registry.records.record import ANY_VERSION, Principal, Record
from standage.registry.writing.store import Reading
from standage.shapes.faults import Faulty
from support.clubs import NOW, Club


def issued(club: Club, **fields: Any) -> tuple[Record, str]:
    body = TokenBody(
        **{"label": "Hall", "member_id": club.steward_id, "scopes": ("read",), **fields}
    )
    with club.writing() as writing:
        return issue_token(writing, club.permit, body)


def who(club: Club, text: str, *, at: datetime = NOW) -> Principal | None:
    with club.reading() as reading:
        return principal_for(reading, text, at)


def test_a_token_lets_its_member_in_with_the_members_role_and_its_own_scopes(
    club: Club,
) -> None:
    keeper = club.make(MEMBERS, MemberBody(name="Kit Marsh", role="layout_keeper"))
    token, text = issued(club, member_id=keeper.id)
    assert who(club, text) == Principal(
        club_id=club.club_id,
        member_id=keeper.id,
        role="layout_keeper",
        token_id=token.id,
        scopes=frozenset({"read"}),
    )


def test_a_token_is_prefixed_long_and_never_twice_the_same(club: Club) -> None:
    texts = {issued(club)[1] for _ in range(20)}
    assert len(texts) == 20
    assert all(
        text.startswith("stg_") and len(text) >= len("stg_") + 128 / 6 for text in texts
    )


def test_a_tokens_text_is_kept_nowhere(club: Club) -> None:
    _, text = issued(club)
    with club.database.read() as connection:
        for table in metadata.sorted_tables:
            for row in connection.execute(select(table)):
                assert text not in str(row)
                assert text.removeprefix("stg_") not in str(row)


def test_a_token_works_until_the_moment_it_expires(club: Club) -> None:
    end = datetime(2026, 5, 1, 12, 30, tzinfo=timezone(timedelta(hours=2)))
    token, text = issued(club, expires_at=end)
    assert who(club, text, at=end - timedelta(microseconds=1)) is not None
    assert who(club, text, at=end) is None
    with club.reading() as reading:
        kept = reading.get(TOKENS, club.club_id, token.id)
    assert msgspec.to_builtins(kept.body)["expires_at"] == "2026-05-01T10:30:00Z"


def test_a_revoked_token_lets_nobody_in(club: Club) -> None:
    token, text = issued(club)
    with club.writing() as writing:
        writing.remove(TOKENS, club.permit, token.id, if_match=ANY_VERSION)
    assert who(club, text) is None


def test_the_tokens_of_a_deleted_member_let_nobody_in(club: Club) -> None:
    kit = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    _, text = issued(club, member_id=kit.id)
    with club.writing() as writing:
        writing.remove(MEMBERS, club.permit, kit.id, if_match=ANY_VERSION)
    assert who(club, text) is None


def test_the_tokens_of_a_deleted_club_let_nobody_in(club: Club) -> None:
    with club.database.write() as connection:
        connection.execute(clubs.update().values(deleted_at=NOW))
    assert who(club, club.token) is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "stg_",
        "stg_x",
        "\x00",
        "stg_" + "é" * 30,
        "stg_\ud800" + "a" * 30,
        "a" * 9999,
    ],
)
def test_what_is_no_token_lets_nobody_in(club: Club, text: str) -> None:
    assert who(club, text) is None


def test_a_token_that_is_off_by_one_letter_or_in_other_letter_case_lets_nobody_in(
    club: Club,
) -> None:
    other = "a" if club.token[-1] != "a" else "b"
    assert who(club, club.token[:-1] + other) is None
    assert who(club, club.token.swapcase()) is None
    assert who(club, f"{club.token}\n") is None


def test_a_founded_club_has_a_steward_who_can_get_in(database: Database) -> None:
    founded = found_club(database, "Upland Light Railway Society", "Ash Fenner", NOW)
    with database.read() as connection:
        reading = Reading(connection)
        principal = principal_for(reading, founded.token, NOW)
        assert principal is not None
        assert (principal.club_id, principal.member_id, principal.role) == (
            *founded[:2],
            "steward",
        )
        assert principal.scopes == {"read", "write"}
        assert (
            CLUBS.title(reading.get(CLUBS, founded.club_id, founded.club_id).body)
            == "Upland Light Railway Society"
        )
        assert (
            MEMBERS.title(reading.get(MEMBERS, founded.club_id, founded.member_id).body)
            == "Ash Fenner"
        )
        for kind, record_id in (
            (CLUBS, founded.club_id),
            (MEMBERS, founded.member_id),
            (TOKENS, principal.token_id),
        ):
            assert [
                row.action for row in reading.changes(kind, founded.club_id, record_id)
            ] == ["create"]


@pytest.mark.parametrize(
    ("name", "steward"),
    [("", "Ash"), ("Club", ""), ("two\nlines", "Ash"), ("x" * 121, "Ash")],
)
def test_a_club_is_not_founded_by_a_name_that_cannot_be_one(
    database: Database, name: str, steward: str
) -> None:
    with pytest.raises(Faulty):
        found_club(database, name, steward, NOW)
    with database.read() as connection:
        assert connection.execute(select(clubs)).all() == []
