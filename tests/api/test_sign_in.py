"""Signing in with a name and a passphrase: who does, who does not, and that nobody
learns who there is.
"""

import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Event, Lock

import pytest
from sqlalchemy import select

from api.asking import (
    PASSPHRASE,
    QUICK,
    Caller,
    Clock,
    Service,
    as_sorrel,
    faults,
    refusal,
    serving,
    signing_in,
)
from api.ground import Ground
from standage.api.asking.hash_queue import AT_ONCE, MOST_WAITING
from standage.registry.database.engine import Database
from standage.registry.database.tables import metadata
from standage.registry.people.hashing import Hasher
from standage.settings import Settings
from support.patience import PATIENCE_S, until

NOBODY = "01932000-0000-7000-8000-00000000dead"


class CountingHasher(Hasher):
    """A quick hasher that counts what it is asked, and how much of that at one moment;
    once held, it waits.
    """

    def __init__(self) -> None:
        super().__init__(memory_kib=8, passes=1)
        self._lock = Lock()
        self.go_on = Event()
        self.go_on.set()
        self.done = 0
        self.at_once = 0
        self.most_at_once = 0

    def verify(self, hashed: str | None, passphrase: str) -> bool:
        with self._lock:
            self.done += 1
            self.at_once += 1
            self.most_at_once = max(self.most_at_once, self.at_once)
        try:
            self.go_on.wait(PATIENCE_S)
            return super().verify(hashed, passphrase)
        finally:
            with self._lock:
                self.at_once -= 1


def test_whoever_signs_in_is_their_member(steward: Caller, sorrel: Caller) -> None:
    response = signing_in(sorrel, label="kitchen tablet")
    assert response.status_code == 201
    session = response.json()
    assert session["session"].startswith("sts_")
    assert len(session["session"]) >= len("sts_") + 128 / 6
    assert (session["member_id"], session["label"]) == (
        sorrel.member_id,
        "kitchen tablet",
    )
    assert response.headers["cache-control"] == "no-store"
    caller = steward.signed_in("Sorrel")
    assert (
        caller.made("/v1/vehicles", {"name": "Ore wagon"})["owner_id"]
        == sorrel.member_id
    )
    assert (
        caller.ask("POST", "/v1/layouts", {"name": "Staithe Lane"}).status_code == 201
    )
    refusal(caller.ask("GET", "/v1/tokens"), 403, "forbidden")


@pytest.mark.parametrize("name", ["sorrel", "SORREL", "Sorrel", "sORREL"])
def test_letter_case_of_a_name_does_not_matter(sorrel: Caller, name: str) -> None:
    assert signing_in(sorrel, sign_in_name=name).status_code == 201


@pytest.mark.parametrize(
    "passphrase",
    [PASSPHRASE.upper(), PASSPHRASE + " ", PASSPHRASE[:-1], "x", "x" * 200],
)
def test_another_passphrase_lets_nobody_in(sorrel: Caller, passphrase: str) -> None:
    refusal(signing_in(sorrel, passphrase=passphrase), 401, "sign_in_failed")


def test_a_passphrase_is_the_same_however_a_keyboard_composes_it(
    steward: Caller,
) -> None:
    composed, decomposed = (
        "caf\u00e9 by the water tower",
        "cafe\u0301 by the water tower",
    )
    steward.invited(steward.member_id, "Robin", passphrase=composed)
    assert (
        signing_in(steward, sign_in_name="Robin", passphrase=decomposed).status_code
        == 201
    )


def test_whatever_is_wrong_the_answer_is_the_same(
    service: Service, steward: Caller, sorrel: Caller
) -> None:
    other = service.club("Millpond Society")
    gone = Ground(steward).make("Member", name="Yarrow")
    steward.invited(gone["id"], "Yarrow")
    assert (
        steward.ask("DELETE", f"/v1/members/{gone['id']}", if_match="*").status_code
        == 204
    )
    answers = [
        signing_in(sorrel, **wrong)
        for wrong in (
            {"passphrase": "not the one at all"},
            {"sign_in_name": "Nobody"},
            {"sign_in_name": "Yarrow"},
            {"club_id": other.club_id},
            {"club_id": NOBODY},
            {"club_id": "no-id"},
            {"sign_in_name": "Robin Vale"},
        )
    ]
    told = []
    for answer in answers:
        problem = refusal(answer, 401, "sign_in_failed")
        headers = {
            name: value
            for name, value in answer.headers.items()
            if name != "x-request-id"
        }
        told.append((problem | {"request_id": ""}, headers, len(answer.content)))
    assert all(one == told[0] for one in told)


@pytest.fixture
def hasher() -> CountingHasher:
    return CountingHasher()


@pytest.fixture
def counted(database: Database, hasher: CountingHasher) -> Iterator[Service]:
    with serving(database, Clock(), hasher=hasher) as running:
        yield running


def test_an_unknown_name_costs_as_many_hashes_as_a_wrong_passphrase(
    counted: Service, hasher: CountingHasher
) -> None:
    steward = counted.club()
    member = Ground(steward).make("Member")
    steward.invited(member["id"], "Sorrel")
    before = hasher.done
    costs = []
    for wrong in (
        {"passphrase": "not the one at all"},
        {"sign_in_name": "Nobody"},
        {"club_id": NOBODY},
    ):
        refusal(signing_in(steward, **wrong), 401, "sign_in_failed")
        costs.append(hasher.done - before)
        before = hasher.done
    assert costs == [1, 1, 1]


def test_the_hash_of_nobody_costs_what_the_others_cost() -> None:
    """**Source** the parameters of argon2id stand in the hash itself (PHC string
    format).
    """
    hasher = Hasher()
    told = hasher.hash(PASSPHRASE).split("$")
    assert told[1:4] == ["argon2id", "v=19", "m=19456,t=2,p=1"]
    assert (
        hasher._of_nobody.split("$")[:4] == told[:4]
    )  # there is no other way to see what nobody's costs
    assert [len(part) for part in hasher._of_nobody.split("$")] == [
        len(part) for part in told
    ]
    assert not hasher.verify(None, PASSPHRASE)


def test_two_passphrases_are_hashed_at_a_time_and_few_wait(
    counted: Service, hasher: CountingHasher
) -> None:
    """Nobody's hash ends before all who are too many have been told so."""
    too_many = 6
    many = AT_ONCE + MOST_WAITING + too_many
    steward = counted.club()
    hasher.go_on.clear()
    with ThreadPoolExecutor(many) as threads:
        asked = [threads.submit(signing_in, steward) for _ in range(many)]
        try:
            until(
                lambda: (
                    hasher.at_once == AT_ONCE
                    and sum(one.done() for one in asked) == too_many
                )
            )
            refused = [one.result() for one in asked if one.done()]
            assert counted.stranger().ask("GET", "/health/live").status_code == 200
        finally:
            hasher.go_on.set()
        answers = [one.result(PATIENCE_S) for one in asked]
    assert hasher.most_at_once == AT_ONCE
    for answer in refused:
        refusal(answer, 503, "busy")
        assert int(answer.headers["retry-after"]) >= 1
    assert (
        sorted(answer.status_code for answer in answers)
        == [401] * (many - too_many) + [503] * too_many
    )


def test_sign_in_without_a_body_that_fits_says_what_is_missing(
    service: Service,
) -> None:
    assert faults(service.stranger().ask("POST", "/v1/sessions", {})) == {
        "/club_id": "missing",
        "/sign_in_name": "missing",
        "/passphrase": "missing",
    }


@pytest.mark.parametrize("field", ["passphrase", "present_passphrase"])
def test_a_fault_repeats_no_secret(steward: Caller, field: str) -> None:
    response = steward.ask(
        "POST", "/v1/passphrase", {"passphrase": PASSPHRASE, field: 12345678987}
    )
    assert faults(response)[f"/{field}"] == "wrong_type"
    assert "12345678987" not in response.text


def test_a_secret_is_kept_nowhere(
    service: Service, steward: Caller, sorrel: Caller
) -> None:
    caller = steward.signed_in("Sorrel")
    visitor = steward.visiting(Ground(steward).make("Layout")["id"])
    member_id = Ground(steward).make("Member")["id"]
    invitation = steward.made(
        "/v1/invitations",
        {"member_id": member_id, "expires_at": "2026-05-03T10:00:00Z"},
    )
    secrets = [PASSPHRASE, caller.token, visitor.token, invitation["invitation"]]
    with service.database.read() as connection:
        kept = json.dumps(
            [
                str(row)
                for table in metadata.sorted_tables
                for row in connection.execute(select(table))
            ],
            default=str,
        )
    assert [
        secret
        for secret in secrets
        if secret is None or secret in kept or secret[4:] in kept
    ] == []


def test_signing_in_twice_with_one_key_shows_no_second_secret(sorrel: Caller) -> None:
    stranger = Caller(http=sorrel.http)
    first = stranger.ask(
        "POST", "/v1/sessions", as_sorrel(sorrel), idempotency_key="k1"
    )
    assert first.status_code == 201
    refusal(
        stranger.ask("POST", "/v1/sessions", as_sorrel(sorrel), idempotency_key="k1"),
        409,
        "already_shown",
    )
    wrong = as_sorrel(sorrel, passphrase="not the one at all")
    refusal(
        stranger.ask("POST", "/v1/sessions", wrong, idempotency_key="k1"),
        401,
        "sign_in_failed",
    )
    other = as_sorrel(sorrel, label="another")
    refusal(
        stranger.ask("POST", "/v1/sessions", other, idempotency_key="k1"),
        422,
        "idempotency_key_reused",
    )


@pytest.fixture
def limited(database: Database) -> Iterator[Service]:
    with serving(
        database, Clock(), Settings(rate_limits="on"), hasher=QUICK
    ) as running:
        yield running


@pytest.mark.parametrize("name", ["Sorrel", "Nobody"])
def test_attempts_for_a_name_are_counted_by_all_processes_together(
    database: Database, name: str
) -> None:
    """Two services on one database stand for two processes; a name that nobody bears is
    counted all the same.
    """
    settings = Settings(rate_limits="on")
    with (
        serving(database, Clock(), settings) as one,
        serving(database, Clock(), settings) as other,
    ):
        steward = one.club()
        steward.invited(Ground(steward).make("Member")["id"], "Sorrel")
        wrong = {"sign_in_name": name, "passphrase": "not the one at all"}
        for turn in range(10):
            caller = (one, other)[turn % 2].stranger()
            refusal(
                caller.ask("POST", "/v1/sessions", as_sorrel(steward, **wrong)),
                401,
                "sign_in_failed",
            )
        for service in (one, other):
            refused = service.stranger().ask(
                "POST", "/v1/sessions", as_sorrel(steward, **wrong)
            )
            refusal(refused, 429, "too_many_requests")
            assert 0 < int(refused.headers["retry-after"]) <= 15 * 60
        right = other.stranger().ask(
            "POST", "/v1/sessions", as_sorrel(steward, sign_in_name=name)
        )
        refusal(right, 429, "too_many_requests")
        other.clock.move(timedelta(minutes=15))
        again = other.stranger().ask(
            "POST", "/v1/sessions", as_sorrel(steward, sign_in_name=name)
        )
        assert again.status_code == (201 if name == "Sorrel" else 401)


def test_whoever_gets_in_begins_to_count_anew(limited: Service) -> None:
    steward = limited.club()
    steward.invited(Ground(steward).make("Member")["id"], "Sorrel")
    for _ in range(2):
        for _ in range(5):
            assert (
                signing_in(steward, passphrase="not the one at all").status_code == 401
            )
        assert signing_in(steward).status_code == 201
