"""A request sent twice under one Idempotency-Key is done once, and answered alike."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from threading import Event, Thread

import msgspec
import pytest
from sqlalchemy import Connection, Select, delete, event, func, select

from standage.registry.database.engine import Database, open_database
from standage.registry.database.tables import idempotency
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import VEHICLES
from standage.registry.writing.answers import (
    KEPT_FOR,
    KeyedRequest,
    StoredAnswer,
    claim,
    forget_old_answers,
    settle,
)
from standage.registry.writing.store import Writing
from standage.shapes.refusals import AlreadyShown, Busy, KeyInProgress, KeyReused
from support.clubs import NOW, Club, new_club
from support.patience import PATIENCE_S

ANSWER = StoredAnswer(
    status=201,
    headers={"Location": "/v1/vehicles/1", "ETag": '"v1"'},
    body=b'{"name":"\xc3\xa9"}',
)


@pytest.fixture
def request_once(club: Club) -> KeyedRequest:
    return KeyedRequest(
        principal=club.permit.principal,
        path="/v1/vehicles",
        key="k-1",
        payload_sha256="aa",
    )


@contextmanager
def settled(
    club: Club, request: KeyedRequest, *, secret: bool = False
) -> Iterator[None]:
    with club.writing() as writing:
        assert claim(writing, request) is None
        settle(writing, request, ANSWER, secret=secret)
    yield


def test_a_repeated_request_has_the_first_answer_to_the_byte(
    club: Club, request_once: KeyedRequest
) -> None:
    with (
        settled(club, request_once),
        club.writing(NOW + timedelta(hours=71)) as writing,
    ):
        assert claim(writing, request_once) == ANSWER
        assert claim(writing, request_once) == ANSWER


def test_a_key_that_comes_with_another_payload_is_refused(
    club: Club, request_once: KeyedRequest
) -> None:
    other = msgspec.structs.replace(request_once, payload_sha256="bb")
    with (
        settled(club, request_once),
        pytest.raises(KeyReused),
        club.writing() as writing,
    ):
        claim(writing, other)


def test_a_key_is_one_principals_on_one_path(
    database: Database, club: Club, request_once: KeyedRequest
) -> None:
    other_club = new_club(database, "Upland Light Railway Society")
    others = [
        msgspec.structs.replace(request_once, path="/v1/trains"),
        msgspec.structs.replace(request_once, key="K-1"),
        msgspec.structs.replace(request_once, principal=other_club.permit.principal),
        msgspec.structs.replace(
            request_once,
            principal=msgspec.structs.replace(
                request_once.principal, member_id=other_club.steward_id
            ),
        ),
    ]
    with settled(club, request_once):
        for other in others:
            with club.writing() as writing:
                assert claim(writing, other) is None


def test_another_token_of_the_same_member_has_the_same_answer(
    club: Club, request_once: KeyedRequest
) -> None:
    principal = msgspec.structs.replace(request_once.principal, token_id="another")
    with settled(club, request_once), club.writing() as writing:
        assert (
            claim(writing, msgspec.structs.replace(request_once, principal=principal))
            == ANSWER
        )


def test_a_key_counts_as_new_after_three_days(
    club: Club, request_once: KeyedRequest
) -> None:
    again = msgspec.structs.replace(request_once, payload_sha256="bb")
    with settled(club, request_once), club.writing(NOW + KEPT_FOR) as writing:
        assert claim(writing, again) is None


def test_a_request_that_failed_leaves_its_key_free(
    club: Club, request_once: KeyedRequest
) -> None:
    def claim_and_fail() -> None:
        with club.writing() as writing:
            claim(writing, request_once)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        claim_and_fail()
    with club.writing() as writing:
        assert (
            claim(writing, msgspec.structs.replace(request_once, payload_sha256="bb"))
            is None
        )


def test_a_secret_is_shown_once_and_not_kept(
    club: Club, request_once: KeyedRequest
) -> None:
    with (
        settled(club, request_once, secret=True),
        pytest.raises(AlreadyShown),
        club.writing() as writing,
    ):
        claim(writing, request_once)
    with club.database.read() as connection:
        assert connection.execute(
            select(idempotency.c.body, idempotency.c.headers)
        ).one() == (b"", "{}")


def test_old_answers_are_forgotten_and_fresh_ones_kept(
    club: Club, request_once: KeyedRequest
) -> None:
    fresh = msgspec.structs.replace(request_once, key="k-2")
    with settled(club, request_once), club.writing(NOW + timedelta(hours=1)) as writing:
        claim(writing, fresh)
        settle(writing, fresh, ANSWER)
    with club.writing(NOW + KEPT_FOR) as writing:
        assert forget_old_answers(writing) == 1
        assert claim(writing, fresh) == ANSWER


def test_requests_at_the_same_moment_under_one_key_make_one_record(
    club: Club, request_once: KeyedRequest
) -> None:
    answers: list[StoredAnswer] = []

    def send() -> None:
        with club.writing() as writing:
            answer = claim(writing, request_once)
            if answer is None:
                made = writing.create(VEHICLES, club.permit, VehicleBody(name="Once"))
                answer = StoredAnswer(status=201, headers={}, body=made.id.encode())
                settle(writing, request_once, answer)
        answers.append(answer)

    threads = [Thread(target=send) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with club.reading() as reading:
        made = reading.page(VEHICLES, club.club_id)
    assert len(made) == 1
    assert [answer.body.decode() for answer in answers] == [made[0].id] * 8


def test_a_request_that_takes_too_long_is_not_waited_for_for_ever(
    club: Club, request_once: KeyedRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("standage.registry.database.engine.WRITE_WAIT_S", 0.2)
    monkeypatch.setattr(
        "standage.registry.database.engine._POSTGRESQL_SETTINGS",
        "SET lock_timeout = '200ms'",
    )
    claimed, let_go = Event(), Event()

    def slow() -> None:
        with club.writing() as writing:
            claim(writing, request_once)
            claimed.set()
            let_go.wait(timeout=PATIENCE_S)

    first = Thread(target=slow)
    first.start()
    assert claimed.wait(timeout=PATIENCE_S)
    impatient = open_database(club.database.url)
    refusal = (
        Busy if club.database.dialect == "sqlite" else KeyInProgress
    )  # SQLite's writers queue before they begin
    with pytest.raises(refusal), impatient.write() as connection:
        claim(Writing(connection, NOW), request_once)
    let_go.set()
    first.join()
    impatient.dispose()


def test_a_claim_that_was_never_settled_is_still_in_progress(
    club: Club, request_once: KeyedRequest
) -> None:
    with club.writing() as writing:
        claim(writing, request_once)
    with pytest.raises(KeyInProgress), club.writing() as writing:
        claim(writing, request_once)
    with club.database.read() as connection:
        assert connection.scalar(select(func.count()).select_from(idempotency)) == 1


def test_an_answer_that_is_forgotten_while_it_is_looked_up_leaves_its_key_free(
    club: Club, request_once: KeyedRequest
) -> None:
    asked: list[object] = []

    def forget(connection: Connection, statement: object, *_: object) -> None:
        if (
            isinstance(statement, Select)
            and statement.get_final_froms() == [idempotency]
            and not asked
        ):
            asked.append(statement)
            connection.execute(delete(idempotency))

    with settled(club, request_once), club.writing() as writing:
        event.listen(writing.connection, "before_execute", forget)
        assert claim(writing, request_once) is None
        settle(writing, request_once, ANSWER)
        assert claim(writing, request_once) == ANSWER
