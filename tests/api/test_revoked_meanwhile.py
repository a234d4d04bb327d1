"""Whoever loses a right in the very moment of a write finishes it before the right is
gone, or not at all.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from queue import Empty, Queue
from threading import Barrier, Event, Thread
from typing import Any

import httpx
import msgspec
import pytest

from api.asking import Caller, Clock, Service, refusal, serving
from api.ground import Ground
from standage.registry.database.engine import Database
from standage.registry.people.credentials import held_principal, principal_for
from standage.registry.people.sessions import end_sessions
from standage.registry.records.bodies import MemberBody, TokenBody
from standage.registry.records.kinds import MEMBERS, TOKENS
from standage.registry.records.reading import Reading
from standage.registry.records.record import ANY_VERSION, Permit, Principal
from standage.registry.writing.store import Writing
from support.patience import PATIENCE_S

BLOCKED_S = 0.1


@dataclass
class WatchedClock(Clock):
    """A clock that tells how often it was looked at: first for whether the token has
    expired, then for the moment.
    """

    looks: Queue[None] = field(default_factory=Queue)

    def __call__(self) -> datetime:
        self.looks.put(None)
        return self.now

    def wait_for_looks(self, count: int) -> None:
        for _ in range(count):
            self.looks.get(timeout=PATIENCE_S)


@pytest.fixture
def watched(database: Database) -> Iterator[Service]:
    with serving(database, WatchedClock()) as running:
        yield running


@contextmanager
def meanwhile(job: Callable[[], httpx.Response]) -> Iterator[Queue[httpx.Response]]:
    """Do ``job`` in a thread of its own, and wait for its end."""
    answers: Queue[httpx.Response] = Queue()
    thread = Thread(target=lambda: answers.put(job()))
    thread.start()
    try:
        yield answers
    finally:
        thread.join(PATIENCE_S)


def nothing_yet(answers: Queue[httpx.Response]) -> bool:
    """Tell whether no answer comes for a while; show the one that does."""
    try:
        raise AssertionError(answers.get(timeout=BLOCKED_S).text)
    except Empty:
        return True


def forget_looks(service: Service) -> WatchedClock:
    clock = service.clock
    assert isinstance(clock, WatchedClock)
    while not clock.looks.empty():
        clock.looks.get()
    return clock


def revoke(writing: Writing, by: Permit, caller: Caller, principal: Principal) -> None:
    writing.remove(TOKENS, by, principal.token_id, if_match=ANY_VERSION)


def narrow(writing: Writing, by: Permit, caller: Caller, principal: Principal) -> None:
    reading = TokenBody(
        label="only to look", member_id=caller.member_id, scopes=("read",)
    )
    writing.change(
        TOKENS, by, principal.token_id, lambda _: reading, if_match=ANY_VERSION
    )


def demote(writing: Writing, by: Permit, caller: Caller, principal: Principal) -> None:
    plain = MemberBody(name="Sam Reed", role="member")
    writing.change(MEMBERS, by, caller.member_id, lambda _: plain, if_match=ANY_VERSION)


def see_off(writing: Writing, by: Permit, caller: Caller, principal: Principal) -> None:
    writing.remove(MEMBERS, by, caller.member_id, if_match=ANY_VERSION)


def sign_out(
    writing: Writing, by: Permit, caller: Caller, principal: Principal
) -> None:
    writing.take_turn(principal.club_id)
    end_sessions(writing.connection, caller.member_id)


LOSSES: dict[str, tuple[Callable[..., None], int, str]] = {
    "the token is revoked": (revoke, 401, "unauthenticated"),
    "the token may only read": (narrow, 403, "forbidden"),
    "the member is a keeper no more": (demote, 403, "forbidden"),
    "the member has left": (see_off, 401, "unauthenticated"),
    "the session has ended": (sign_out, 401, "unauthenticated"),
}


def known(database: Database, caller: Caller, now: datetime) -> Principal:
    with database.read() as connection:
        principal = principal_for(Reading(connection), caller.token or "", now)
    assert principal is not None
    return principal


@pytest.mark.parametrize("how", LOSSES)
def test_a_write_that_was_let_in_is_refused_once_the_right_is_gone(
    watched: Service, how: str
) -> None:
    """The request has been looked at and let in; then the loss is committed; only then
    its own transaction begins.
    """
    lose, status, code = LOSSES[how]
    steward = watched.club()
    keeper = steward.with_member("layout_keeper")
    if "session" in how:
        keeper, _ = Ground(steward).session_of(keeper.member_id)
    by = Permit(
        principal=known(watched.database, steward, watched.clock.now), whose="club"
    )
    principal = known(watched.database, keeper, watched.clock.now)
    clock = forget_looks(watched)
    lost = Event()

    def write() -> httpx.Response:
        lost.wait(PATIENCE_S)
        return keeper.ask("POST", "/v1/layouts", {"name": "Staithe Lane"})

    with meanwhile(write) as answers, watched.database.write() as connection:
        lose(Writing(connection, clock.now), by, keeper, principal)
        lost.set()
        clock.wait_for_looks(2)
        assert nothing_yet(answers)
    refusal(answers.get(timeout=PATIENCE_S), status, code)
    assert steward.read("/v1/layouts")["items"] == []


@pytest.mark.parametrize(
    "how",
    [
        "DELETE token",
        "PATCH member",
        "DELETE member",
        "POST session",
        "POST passphrase",
    ],
)
def test_a_right_is_taken_back_only_after_the_write_that_leans_on_it(
    watched: Service, how: str
) -> None:
    steward = watched.club()
    keeper = steward.with_member("layout_keeper")
    principal = known(watched.database, keeper, watched.clock.now)
    method, what = how.split()
    if method == "POST":
        keeper, _ = Ground(steward).session_of(keeper.member_id)
        principal = known(watched.database, keeper, watched.clock.now)
    member = f"/v1/members/{keeper.member_id}"
    path = {
        "token": f"/v1/tokens/{principal.token_id}",
        "member": member,
        "session": f"{member}/sign-out",
        "passphrase": f"{member}/passphrase-reset",
    }[what]
    body: Any = {"role": "member"} if method == "PATCH" else None
    held = Event()

    def take_back() -> httpx.Response:
        held.wait(PATIENCE_S)
        return steward.ask(method, path, body, if_match="*")

    with meanwhile(take_back) as answers:
        with watched.database.write() as connection:
            assert (
                held_principal(Writing(connection, watched.clock.now), principal)
                == principal
            )
            held.set()
            assert nothing_yet(answers)
        assert answers.get(timeout=PATIENCE_S).is_success


def test_who_loses_a_right_and_writes_at_the_same_moment_lock_nobody_out(
    watched: Service,
) -> None:
    """Stewards that change members, tokens and the club while their own tokens are
    renewed: nobody ends as busy.
    """
    steward = watched.club()
    others = [
        steward.with_member("steward", f"Steward {number}") for number in range(3)
    ]
    ids = [known(watched.database, one, watched.clock.now).token_id for one in others]

    start = Barrier(3)

    def rounds(number: int) -> list[int]:
        me, next_id, next_member = (
            others[number],
            ids[number - 1],
            others[number - 1].member_id,
        )
        found = []
        for turn in range(4):
            start.wait(PATIENCE_S)
            found.append(
                me.ask(
                    "PATCH",
                    f"/v1/tokens/{next_id}",
                    {"label": f"turn {turn}"},
                    if_match="*",
                ).status_code
            )
            start.wait(PATIENCE_S)
            contact = {"contact": f"turn {turn}"}
            found.append(
                me.ask(
                    "PATCH", f"/v1/members/{next_member}", contact, if_match="*"
                ).status_code
            )
            found.append(
                me.ask(
                    "POST", "/v1/vehicles", {"name": "Van", "owner_id": next_member}
                ).status_code
            )
            found.append(
                me.ask(
                    "PATCH", "/v1/club", {"notes": f"turn {turn}"}, if_match="*"
                ).status_code
            )
        return found

    results: Queue[list[int]] = Queue()
    threads = [
        Thread(target=lambda number=number: results.put(rounds(number)))
        for number in range(3)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_S)
    statuses = [status for _ in threads for status in results.get(timeout=1)]
    assert len(statuses) == 3 * 4 * 4
    assert set(statuses) == {200, 201}


def test_a_principal_is_held_as_they_are_now(watched: Service) -> None:
    steward = watched.club()
    keeper = steward.with_member("layout_keeper")
    principal = known(watched.database, keeper, watched.clock.now)
    assert steward.ask(
        "PATCH", f"/v1/members/{keeper.member_id}", {"role": "steward"}, if_match="*"
    ).is_success
    with watched.database.write() as connection:
        held = held_principal(Writing(connection, watched.clock.now), principal)
    assert held == msgspec.structs.replace(principal, role="steward")
