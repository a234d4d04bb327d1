"""A change of some fields is a JSON merge patch (RFC 7396)."""

import json
from typing import Any

import pytest

from api.asking import faults, refusal
from api.ground import Ground, one_of
from standage.shapes.merge_patch import merged

RFC_7396_APPENDIX_A = [
    ('{"a":"b"}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"b"}', '{"b":"c"}', '{"a":"b","b":"c"}'),
    ('{"a":"b"}', '{"a":null}', "{}"),
    ('{"a":"b","b":"c"}', '{"a":null}', '{"b":"c"}'),
    ('{"a":["b"]}', '{"a":"c"}', '{"a":"c"}'),
    ('{"a":"c"}', '{"a":["b"]}', '{"a":["b"]}'),
    ('{"a":{"b":"c"}}', '{"a":{"b":"d","c":null}}', '{"a":{"b":"d"}}'),
    ('{"a":[{"b":"c"}]}', '{"a":[1]}', '{"a":[1]}'),
    ('["a","b"]', '["c","d"]', '["c","d"]'),
    ('{"a":"b"}', '["c"]', '["c"]'),
    ('{"a":"foo"}', "null", "null"),
    ('{"a":"foo"}', '"bar"', '"bar"'),
    ('{"e":null}', '{"a":1}', '{"e":null,"a":1}'),
    ("[1,2]", '{"a":"b","c":null}', '{"a":"b"}'),
    ("{}", '{"a":{"bb":{"ccc":null}}}', '{"a":{"bb":{}}}'),
]
"""Original, patch, result. **Source** RFC 7396, appendix A, whole."""


@pytest.mark.parametrize(("original", "patch", "result"), RFC_7396_APPENDIX_A)
def test_the_standards_own_examples_come_out_as_it_says(
    original: str, patch: str, result: str
) -> None:
    target = json.loads(original)
    assert merged(target, json.loads(patch)) == json.loads(result)
    assert target == json.loads(original), "the original was changed"


def patched(
    ground: Ground, about: dict[str, Any], patch: dict[str, Any]
) -> dict[str, Any]:
    path = one_of("Vehicle", ground.make("Vehicle", **about))
    response = ground.steward.ask(
        "PATCH", path, patch, if_match="*", content_type="application/merge-patch+json"
    )
    assert response.status_code == 200, response.text
    assert ground.steward.read(path) == response.json()
    changed: dict[str, Any] = response.json()
    return changed


def test_what_a_patch_does_not_name_stays(ground: Ground) -> None:
    about = {
        "name": "Ore wagon",
        "mass_g": 31.5,
        "front_coupling": {"reach_mm": 2.0, "play_mm": 0.5},
    }
    changed = patched(ground, about, {"front_coupling": {"reach_mm": 2.5}})
    assert (changed["name"], changed["mass_g"]) == ("Ore wagon", 31.5)
    assert changed["front_coupling"] == {"reach_mm": 2.5, "play_mm": 0.5}


def test_null_takes_a_field_away_at_any_depth(ground: Ground) -> None:
    about = {
        "mass_g": 31.5,
        "notes": "Squeaks.",
        "front_coupling": {"reach_mm": 2.0, "play_mm": 0.5},
    }
    changed = patched(
        ground,
        about,
        {"mass_g": None, "notes": None, "front_coupling": {"play_mm": None}},
    )
    assert "mass_g" not in changed
    assert changed.get("notes", "") == ""
    assert changed["front_coupling"] == {"reach_mm": 2.0}


def test_null_may_take_away_what_is_not_there(ground: Ground) -> None:
    changed = patched(
        ground,
        {},
        {"mass_g": None, "notes": None, "count": None, "rear_coupling": None},
    )
    assert not {"mass_g", "rear_coupling"} & set(changed)


def test_a_list_is_replaced_whole(ground: Ground) -> None:
    changed = patched(
        ground, {"bridging_axles_mm": [20.0, 60.0]}, {"bridging_axles_mm": [30.0]}
    )
    assert changed["bridging_axles_mm"] == [30.0]


def test_an_empty_patch_is_a_change_that_changes_nothing(ground: Ground) -> None:
    vehicle = ground.make("Vehicle")
    response = ground.steward.ask("PATCH", one_of("Vehicle", vehicle), {}, if_match="*")
    assert (response.status_code, response.json()["version"]) == (200, 2)
    apart = {"version": 2, "updated_at": response.json()["updated_at"]}
    assert response.json() == vehicle | apart


def test_what_comes_out_of_a_patch_must_be_as_sound_as_what_is_put(
    ground: Ground,
) -> None:
    path = one_of(
        "Vehicle", ground.make("Vehicle", length_mm=100.0, rigid_wheelbase_mm=40.0)
    )
    patch = {"bogie_centres_mm": 60.0, "rigid_wheelbase_mm": 41.0}
    assert faults(ground.steward.ask("PATCH", path, patch, if_match="*")) == {
        "/rigid_wheelbase_mm": "one_or_the_other"
    }
    assert faults(ground.steward.ask("PATCH", path, {"name": None}, if_match="*")) == {
        "/name": "missing"
    }
    assert ground.steward.read(path)["version"] == 1


def test_null_for_a_name_that_is_not_known_is_refused_at_any_depth(
    ground: Ground,
) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    patch = {
        "bogus": None,
        "front_coupling": {"nonsense": None},
        "bodies": [{"length_mm": 9, "odd": 1}],
        "width_mm": 0,
    }
    found = faults(ground.steward.ask("PATCH", path, patch, if_match="*"))
    assert found == {
        "/bogus": "unknown_field",
        "/front_coupling/nonsense": "unknown_field",
        "/bodies": "too_few",
        "/bodies/0/odd": "unknown_field",
        "/width_mm": "too_small",
    }


@pytest.mark.parametrize("raw", [b"null", b"[]", b'"text"', b"1", b"true"])
def test_a_patch_must_be_an_object(ground: Ground, raw: bytes) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    assert faults(ground.steward.send("PATCH", path, raw, if_match="*")) == {
        "": "wrong_type"
    }


def test_put_takes_away_what_it_leaves_out(ground: Ground) -> None:
    vehicle = ground.make("Vehicle", mass_g=31.5, notes="Squeaks.")
    path = one_of("Vehicle", vehicle)
    response = ground.steward.ask("PUT", path, {"name": "Plain wagon"}, if_match="*")
    assert response.status_code == 200
    assert response.json()["name"] == "Plain wagon"
    assert not {"mass_g", "length_mm", "width_mm"} & set(response.json())


def test_a_nested_patch_has_an_end(ground: Ground) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    for levels in (61, 500, 900, 980, 5000):
        raw = b'{"front_coupling":' * levels + b"1" + b"}" * levels
        refusal(ground.steward.send("PATCH", path, raw, if_match="*"), 400, "malformed")
