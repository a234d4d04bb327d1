"""What is kept of what was reckoned: bounded, by club, and never longer than it holds."""

from collections import OrderedDict
from random import Random
from threading import Thread

from standage.questions.derived import Derived, Key

KILOBYTE = 1024


def key(name: str, club: str = "ours") -> Key:
    return Key(club_id=club, of="check", beneath="quay", content=name)


def test_what_is_kept_is_given_again_under_the_same_key_only() -> None:
    derived = Derived()
    derived.keep(key("draft 1"), "first", size_bytes=5)
    assert derived.get(key("draft 1")) == "first"
    others = [
        key("draft 2"),
        key("draft 1", club="theirs"),
        key("draft 1")._replace(of="drawing"),
        key("draft 1")._replace(beneath="tarn"),
        key("draft 1")._replace(inputs="other stock"),
        key("draft 1")._replace(reckoning=2),
    ]
    assert [derived.get(one) for one in others] == [None] * len(others)


def test_it_is_bounded_and_what_was_longest_unused_goes_first() -> None:
    most_bytes, size_bytes = 40 * KILOBYTE, 3 * KILOBYTE
    derived, model = Derived(most_bytes=most_bytes), OrderedDict[str, int]()
    chance = Random(7)
    for step in range(2_000):
        name = str(chance.randrange(40))
        if chance.random() < 0.5:
            derived.keep(key(name), step, size_bytes=size_bytes)
            model.pop(name, None)
            model[name] = step
        elif derived.get(key(name)) is not None:
            model.move_to_end(name)
        assert derived.size_bytes <= most_bytes
    kept = [name for name in model if derived.get(key(name)) is not None]
    assert kept == list(model)[-len(kept) :]
    assert len(kept) == 11  # of 3 kB and 600 bytes of key in 40 kB
    assert all(derived.get(key(name)) == model[name] for name in kept)


def test_what_would_take_all_the_room_is_not_kept() -> None:
    derived = Derived(most_bytes=10 * KILOBYTE)
    derived.keep(key("small"), "small", size_bytes=KILOBYTE)
    derived.keep(key("large"), "large", size_bytes=9 * KILOBYTE)
    assert derived.get(key("large")) is None
    assert derived.get(key("small")) == "small"


def test_after_ten_minutes_it_is_gone_however_often_it_was_asked_for() -> None:
    now = [0.0]
    derived = Derived(clock_s=lambda: now[0])
    derived.keep(key("draft"), "kept", size_bytes=4)
    for _ in range(10):
        assert derived.get(key("draft")) == "kept"
        now[0] += 60.0
    now[0] += 1.0
    assert derived.get(key("draft")) is None
    assert derived.size_bytes == 0


def test_one_club_is_forgotten_and_no_other() -> None:
    derived = Derived()
    for club in ("ours", "theirs"):
        derived.keep(key("draft", club=club), club, size_bytes=4)
    derived.forget_club("ours")
    assert derived.get(key("draft")) is None
    assert derived.get(key("draft", club="theirs")) == "theirs"


def test_many_threads_keep_its_count_right() -> None:
    derived = Derived(most_bytes=60 * KILOBYTE)

    def work(seed: int) -> None:
        chance = Random(seed)
        for _ in range(500):
            name = str(chance.randrange(60))
            if derived.get(key(name)) not in {None, name}:
                raise AssertionError(name)
            derived.keep(key(name), name, size_bytes=chance.randrange(4 * KILOBYTE))

    threads = [Thread(target=work, args=(seed,)) for seed in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert 0 < derived.size_bytes <= 60 * KILOBYTE
    derived.forget_club("ours")
    assert derived.size_bytes == 0


def test_a_process_that_only_reckons_hands_on_what_it_found_and_keeps_nothing() -> None:
    there, here = Derived(), Derived()
    with there.handing_on() as learned:
        there.keep(key("draft 1"), "found", size_bytes=5)
    assert there.get(key("draft 1")) is None
    for one in learned:
        here.keep(one.key, one.value, size_bytes=one.size_bytes)
    assert here.get(key("draft 1")) == "found"
    there.keep(key("draft 1"), "kept", size_bytes=5)
    assert there.get(key("draft 1")) == "kept"
