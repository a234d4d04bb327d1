"""Two JSON schemas side by side: what was taken or understood under the one and is not
under the other.
"""

from collections.abc import Iterator, Mapping
from math import inf
from typing import Any, Literal

Schema = Mapping[str, Any]
Way = Literal["sent", "received"]

_LOWER_BOUNDS = (
    "minimum",
    "exclusiveMinimum",
    "minLength",
    "minItems",
    "minProperties",
)
_UPPER_BOUNDS = (
    "maximum",
    "exclusiveMaximum",
    "maxLength",
    "maxItems",
    "maxProperties",
)
_WORDS = {
    "title",
    "description",
    "examples",
    "example",
    "default",
    "deprecated",
    "readOnly",
    "writeOnly",
}
_JUDGED = {
    *(
        "$ref",
        "type",
        "enum",
        "const",
        "properties",
        "required",
        "additionalProperties",
        "items",
        "prefixItems",
    ),
    *(
        "anyOf",
        "oneOf",
        "discriminator",
        "pattern",
        "format",
        *_LOWER_BOUNDS,
        *_UPPER_BOUNDS,
        *_WORDS,
    ),
}


def resolved(schema: Schema, document: Mapping[str, Any]) -> dict[str, Any]:
    """Return ``schema`` with a ``$ref`` at its top followed, what stands beside the
    ``$ref`` added, and with the parts that it is made of put together.
    """
    found = dict(schema)
    while "$ref" in found:
        target: Any = document
        for part in found.pop("$ref").removeprefix("#/").split("/"):
            target = target[part.replace("~1", "/").replace("~0", "~")]
        found = {**target, **found}
    return _put_together(found, document) if "allOf" in found else found


def _put_together(schema: Schema, document: Mapping[str, Any]) -> dict[str, Any]:
    """Return an object with the fields of its parts; what it says of all others that
    may come stands where an object of one part has it.
    """
    found = dict(schema)
    parts = [resolved(part, document) for part in found.pop("allOf")]
    own = {"type": "object", "properties": {}, "required": [], **found}
    for part in reversed(parts):
        own["properties"] = {**part.get("properties", {}), **own["properties"]}
        own["required"] = [*part.get("required", ()), *own["required"]]
    if "unevaluatedProperties" in own:
        own["additionalProperties"] = own.pop("unevaluatedProperties")
    return own


def alternatives(schema: Schema, document: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return ``schema`` as a list of schemas without ``$ref``, ``anyOf``, ``oneOf`` or
    a list of types at the top.
    """
    found = resolved(schema, document)
    for union in ("anyOf", "oneOf"):
        if union in found:
            beside = {
                key: value
                for key, value in found.items()
                if key not in {union, "discriminator"}
            }
            return [
                part
                for option in found[union]
                for part in alternatives({**beside, **option}, document)
            ]
    if isinstance(found.get("type"), list):
        return [{**found, "type": one} for one in found["type"]]
    return [_typed(found)]


def _typed(schema: dict[str, Any]) -> dict[str, Any]:
    """Return a choice with the type that its values have, said or not."""
    values = schema.get("enum", ())
    if values and "type" not in schema and all(isinstance(one, str) for one in values):
        return {**schema, "type": "string"}
    return schema


def without_null(schema: Schema, document: Mapping[str, Any]) -> dict[str, Any]:
    """Return ``schema`` without the possibility of null."""
    return {
        "anyOf": [
            one for one in alternatives(schema, document) if one.get("type") != "null"
        ]
    }


def _tags(schema: Schema) -> frozenset[str]:
    return frozenset(schema.get("discriminator", {}).get("mapping", ()))


class Comparison:
    """Compares schemas of a released and a present document, in one way of travel.

    In an answer a choice of words may have grown, and so may the kinds of a union that
    a word tells apart: a client shows or passes over what it does not know.
    """

    def __init__(
        self, *, released: Mapping[str, Any], present: Mapping[str, Any], way: Way
    ) -> None:
        self._released = released
        self._present = present
        self._way = way
        self._under_way: set[tuple[str, str]] = set()

    def breaks(self, then: Schema, now: Schema, where: str) -> Iterator[str]:
        """Yield what breaks between the two schemas; a pair met inside itself is
        compared once.
        """
        pair = (str(then), str(now))
        if pair in self._under_way:
            return
        self._under_way.add(pair)
        older, newer = (
            alternatives(then, self._released),
            alternatives(self._known(then, now), self._present),
        )
        if self._way == "sent":
            for one in older:
                yield from self._nearest(
                    [(other, list(self._single(one, other, where))) for other in newer],
                    one,
                    where,
                )
        else:
            for one in newer:
                yield from self._nearest(
                    [(other, list(self._single(other, one, where))) for other in older],
                    one,
                    where,
                )
        self._under_way.discard(pair)

    def _known(self, then: Schema, now: Schema) -> Schema:
        """Return ``now`` without the kinds of a tagged union that an answer has only
        now.
        """
        before, after = (
            _tags(resolved(then, self._released)),
            _tags(resolved(now, self._present)),
        )
        if self._way == "sent" or not before < after:
            return now
        found = resolved(now, self._present)
        mapping = found["discriminator"]["mapping"]
        known = [{"$ref": mapping[tag]} for tag in sorted(before)]
        return {"anyOf": known}

    def _nearest(
        self, trials: list[tuple[Schema, list[str]]], one: Schema, where: str
    ) -> list[str]:
        """Return nothing if a trial went through, else the faults of the only one of
        its kind, else one line.
        """
        if any(not faults for _, faults in trials):
            return []
        of_its_kind = [
            faults for other, faults in trials if other.get("type") == one.get("type")
        ]
        if len(of_its_kind) == 1:
            return of_its_kind[0]
        label = one.get("title") or one.get("type") or "anything"
        return [
            (
                f"{where}: {label} is"
                f" {'no longer taken' if self._way == 'sent' else 'a new possibility'}"
            )
        ]

    def _single(self, then: Schema, now: Schema, where: str) -> Iterator[str]:
        given, wanted = (then, now) if self._way == "sent" else (now, then)
        if wanted.get("type", given.get("type")) not in (
            given.get("type"),
            _wider(given.get("type")),
        ):
            yield (
                f"{where}: {then.get('type', 'anything')} became"
                f" {now.get('type', 'anything')}"
            )
            return
        if given.get("type") == "null":
            return
        if self._way == "sent" or not _may_have_grown(then, now):
            yield from _values(given, wanted, where)
        yield from _texts(then, now, where, way=self._way)
        if self._way == "sent":
            yield from _bounds(then, now, where)
        yield from self._properties(then, now, where)
        yield from self._members(then, now, where)
        for keyword in sorted((set(then) | set(now)) - _JUDGED):
            if then.get(keyword) != now.get(keyword):
                yield f"{where}: {keyword} changed, which this comparison cannot judge"

    def _properties(self, then: Schema, now: Schema, where: str) -> Iterator[str]:
        before, after = then.get("properties", {}), now.get("properties", {})
        must_before, must_after = (
            set(then.get("required", [])),
            set(now.get("required", [])),
        )
        for name in before:
            if name in after:
                yield from self.breaks(before[name], after[name], f"{where}/{name}")
            else:
                yield f"{where}/{name}: gone"
        if self._way == "sent":
            yield from (
                f"{where}/{name}: now required"
                for name in sorted(must_after - must_before)
            )
        else:
            yield from (
                f"{where}/{name}: no longer sure to be there"
                for name in sorted(must_before - must_after)
            )

    def _members(self, then: Schema, now: Schema, where: str) -> Iterator[str]:
        for keyword, label in (("items", "[]"), ("additionalProperties", "/*")):
            before, after = then.get(keyword, True), now.get(keyword, True)
            if isinstance(before, Mapping) and isinstance(after, Mapping):
                yield from self.breaks(before, after, f"{where}{label}")
            elif (
                self._way == "sent"
                and (after is False or isinstance(after, Mapping))
                and after != before
            ):
                yield f"{where}{label}: {keyword} became narrower"
            elif self._way == "received" and isinstance(before, Mapping):
                yield f"{where}{label}: {keyword} is no longer of a known kind"
        before, after = then.get("prefixItems", []), now.get("prefixItems", [])
        if len(before) != len(after):
            yield f"{where}: {len(before)} places became {len(after)}"
        for place, (one, other) in enumerate(zip(before, after, strict=False)):
            yield from self.breaks(one, other, f"{where}[{place}]")


def _may_have_grown(then: Schema, now: Schema) -> bool:
    """Tell whether both are choices of words: one word alone is a tag, and stays."""
    before, after = then.get("enum", ()), now.get("enum", ())
    return len(before) > 1 and set(map(str, before)) <= set(map(str, after))


def _wider(kind: str | None) -> str | None:
    return "number" if kind == "integer" else kind


def _values(given: Schema, wanted: Schema, where: str) -> Iterator[str]:
    """Yield what is wrong where not every value that may be given is a wanted one."""
    could, may = (
        schema.get("enum", [schema["const"]] if "const" in schema else None)
        for schema in (given, wanted)
    )
    if may is None:
        return
    if could is None:
        yield f"{where}: any value against only {', '.join(map(str, may))}"
    else:
        yield from (
            f"{where}: value {value!r} on one side only"
            for value in could
            if value not in may
        )


def _texts(then: Schema, now: Schema, where: str, *, way: Way) -> Iterator[str]:
    before, after = then.get("format"), now.get("format")
    if before != after and (after is not None if way == "sent" else before is not None):
        yield f"{where}: format {before} became {after}"
    pattern, wanted = _pattern(then), _pattern(now)
    if way == "sent" and wanted not in (None, pattern):
        yield f"{where}: pattern {pattern} became {wanted}"


def _pattern(schema: Schema) -> str | None:
    """Return a pattern as the document's own dialect (ECMA-262) has it.

    There ``$`` is the end of the text and nothing else, whatever Python takes it for.
    """
    pattern = schema.get("pattern")
    return None if pattern is None else str(pattern).replace("(?!\\n)$", "$")


def _bounds(then: Schema, now: Schema, where: str) -> Iterator[str]:
    for bound in _LOWER_BOUNDS:
        if now.get(bound, -inf) > then.get(bound, -inf):
            yield f"{where}: {bound} {then.get(bound, 'none')} became {now[bound]}"
    for bound in _UPPER_BOUNDS:
        if now.get(bound, inf) < then.get(bound, inf):
            yield f"{where}: {bound} {then.get(bound, 'none')} became {now[bound]}"
