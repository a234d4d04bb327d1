"""What people sign in by: kept by member, gone with the member, shut by a restore, and
walked by its migration.
"""

from datetime import timedelta
from pathlib import Path

from sqlalchemy import func, select

from standage.registry.database import tables
from standage.registry.database.engine import Database, open_database
from standage.registry.database.migrate import downgrade, migrate
from standage.registry.moving.backup import back_up
from standage.registry.moving.restore import restore
from standage.registry.people.attempts import count_attempt, forget_old_attempts
from standage.registry.people.credentials import IDLE, NOTED_EVERY, issue, principal_for
from standage.registry.people.invitations import find_invitation
from standage.registry.people.sessions import (
    forget_ended_sessions,
    note_use,
    open_session,
    sessions_of,
)
from standage.registry.records.bodies import (
    InvitationBody,
    LayoutBody,
    MemberBody,
    ShareLinkBody,
)
from standage.registry.records.kinds import INVITATIONS, LAYOUTS, MEMBERS, SHARE_LINKS
from standage.registry.records.passphrases import Passphrase, keep, of_member
from standage.registry.records.record import ANY_VERSION
from support.clubs import DAY, NOW, Club, new_club

SIGN_INS = (tables.passphrases, tables.sessions)


def signed_in(club: Club, name: str = "Kit Marsh") -> tuple[str, str]:
    """Return a new member who has a passphrase and is signed in, and the session's
    secret.
    """
    member = club.make(MEMBERS, MemberBody(name=name))
    with club.writing() as writing:
        kept = Passphrase(member.id, club.club_id, name.casefold(), "$argon2id$x")
        keep(writing.connection, kept, values={"changed_at": NOW})
        _, secret = open_session(writing, club.club_id, member.id, label=None)
    return member.id, secret


def rows(database: Database) -> dict[str, int | None]:
    with database.read() as connection:
        return {
            table.name: connection.scalar(select(func.count()).select_from(table))
            for table in SIGN_INS
        }


def test_all_that_a_member_signs_in_by_goes_with_the_member(club: Club) -> None:
    member_id, _ = signed_in(club)
    other_id, _ = signed_in(club, "Ash Fenner")
    with club.writing() as writing:
        writing.remove(MEMBERS, club.permit, member_id, if_match=ANY_VERSION)
    assert rows(club.database) == {"passphrases": 1, "sessions": 1}
    with club.reading() as reading:
        assert of_member(reading.connection, club.club_id, member_id) is None
        assert of_member(reading.connection, club.club_id, other_id) is not None
        assert len(sessions_of(reading.connection, other_id, NOW)) == 1


def test_a_session_lasts_while_it_is_used(club: Club) -> None:
    member_id, secret = signed_in(club)
    with club.reading() as reading:
        fresh = principal_for(reading, secret, NOW + NOTED_EVERY - timedelta(seconds=1))
        due = principal_for(reading, secret, NOW + NOTED_EVERY)
        assert principal_for(reading, secret, NOW + IDLE) is None
    assert fresh is not None
    assert due is not None
    assert (fresh.member_id, fresh.bearer, fresh.to_be_noted, due.to_be_noted) == (
        member_id,
        "session",
        False,
        True,
    )
    with club.writing() as writing:
        note_use(writing.connection, [due.token_id], NOW + DAY)
    with club.reading() as reading:
        assert principal_for(reading, secret, NOW + IDLE) is not None
    with club.writing(NOW + DAY + IDLE) as writing:
        assert forget_ended_sessions(writing) == 1


def test_a_member_has_so_many_sessions_and_the_oldest_makes_way(club: Club) -> None:
    member_id, first = signed_in(club)
    for number in range(50):
        with club.writing(NOW + timedelta(seconds=number + 1)) as writing:
            open_session(writing, club.club_id, member_id, label=f"number {number}")
    with club.reading() as reading:
        found = sessions_of(reading.connection, member_id, NOW + DAY)
        assert principal_for(reading, first, NOW + DAY) is None
    assert [one.label for one in found] == [f"number {number}" for number in range(50)]


def test_attempts_are_forgotten_once_they_are_counted_no_longer(club: Club) -> None:
    with club.writing() as writing:
        count_attempt(writing.connection, "somebody", NOW, most=3)
    with club.writing(NOW + timedelta(minutes=14)) as writing:
        assert forget_old_attempts(writing) == 0
    with club.writing(NOW + timedelta(minutes=15)) as writing:
        assert forget_old_attempts(writing) == 1


def test_a_restore_shuts_sessions_invitations_links_and_passphrases(
    club: Club, tmp_path: Path
) -> None:
    member_id, session = signed_in(club)
    layout = club.make(LAYOUTS, LayoutBody(name="Staithe Lane"))
    guest = club.make(MEMBERS, MemberBody(name="Fern"))
    with club.writing() as writing:
        end = NOW + 20 * DAY
        link = ShareLinkBody(label="visitors", expires_at=end)
        _, shown = issue(writing, SHARE_LINKS, club.permit, link, parent_id=layout.id)
        _, invitation = issue(
            writing,
            INVITATIONS,
            club.permit,
            InvitationBody(member_id=guest.id, expires_at=end),
        )
    with club.reading() as reading:
        assert all(
            principal_for(reading, secret, NOW) is not None
            for secret in (session, shown)
        )
        assert find_invitation(reading.connection, invitation, NOW) is not None
    file = back_up(club.database, tmp_path / "club.backup", NOW).path
    elsewhere = open_database(f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}")
    restore(elsewhere, file, NOW)
    again = Club(database=elsewhere, token="", permit=club.permit)
    with again.reading() as reading:
        assert [principal_for(reading, secret, NOW) for secret in (session, shown)] == [
            None,
            None,
        ]
        assert find_invitation(reading.connection, invitation, NOW) is None
        assert of_member(reading.connection, club.club_id, member_id) is None
    elsewhere.dispose()


def test_the_migration_goes_down_and_up_again_over_people_who_are_signed_in(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    signed_in(club)
    club.make_sample(INVITATIONS)
    link = club.make_sample(SHARE_LINKS)
    downgrade(bare_database, "0005")
    migrate(bare_database)
    assert rows(bare_database) == {"passphrases": 0, "sessions": 0}
    with club.reading() as reading:
        assert len(reading.page(MEMBERS, club.club_id)) == 2
        assert reading.changes(SHARE_LINKS, club.club_id, link.id) == []
        assert principal_for(reading, club.token, NOW) is not None
    signed_in(club, "Ash Fenner")
