"""What a new edition of the OpenAPI document breaks for the callers of an older one.

``breaks`` walks both documents side by side. What a caller *sends* must still be taken,
so there nothing may be asked that was not asked before; what a caller *receives* must
still be understood, so there nothing may be missing or new in kind. A choice of words
is another matter: in answers it may grow, as the document says, and a caller must let
pass a word that it does not know. What this comparison cannot judge, it reports.

Names of schemas do not travel: a schema that is renamed, shared or written out is the
same for who sends and receives.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from contract import shapes

Document = Mapping[str, Any]
Way = shapes.Way

_OF_EVERY_ANSWER = frozenset({"X-Request-Id"})
"""Headers that the document promises for all answers at once, in its description."""
METHODS = ("get", "put", "post", "delete", "options", "head", "patch", "trace")


def breaks(released: Document, present: Document) -> list[str]:
    """Return one line for everything that worked against ``released`` and would not
    against ``present``.
    """
    now = dict(operations(present))
    found: list[str] = []
    for name, operation in operations(released):
        if name not in now:
            found.append(f"{name}: gone")
            continue
        pair = _Pair(
            name=name, then=operation, now=now[name], released=released, present=present
        )
        found += pair.breaks()
    return found


def operations(document: Document) -> Iterator[tuple[str, Document]]:
    """Yield each operation as ``GET /path``, with the parameters of its path joined to
    its own.
    """
    for path, item in document.get("paths", {}).items():
        for method in METHODS:
            if method in item:
                operation = dict(item[method])
                operation["parameters"] = [
                    *item.get("parameters", []),
                    *operation.get("parameters", []),
                ]
                operation.setdefault("security", document.get("security", []))
                yield f"{method.upper()} {path}", operation


def statuses(operation: Document, document: Document) -> set[str]:
    """Return every status that an operation tells of: those that it lists, and those of
    the problems that its ``default`` shows.
    """
    listed = dict(operation["responses"])
    otherwise = shapes.resolved(listed.pop("default", {}), document)
    shown = {
        str(shapes.resolved(example, document)["value"]["status"])
        for content in otherwise.get("content", {}).values()
        for example in content["examples"].values()
    }
    return set(listed) | shown


@dataclass(frozen=True, kw_only=True)
class _Pair:
    """One operation, then and now."""

    name: str
    then: Document
    now: Document
    released: Document
    present: Document

    def breaks(self) -> Iterator[str]:
        for line in (
            *self._identity(),
            *self._parameters(),
            *self._body(),
            *self._answers(),
        ):
            yield f"{self.name}: {line}"

    def _identity(self) -> Iterator[str]:
        if self.then.get("operationId") != self.now.get("operationId"):
            yield (
                "operationId changed, and with it the method of every generated client"
            )
        present = self.now["security"] or [{}]
        for accepted in self.then["security"] or [{}]:
            if not any(_asks_no_more(needed, accepted) for needed in present):
                yield f"security: {accepted or 'no credentials'} no longer suffices"

    def _parameters(self) -> Iterator[str]:
        then, now = (
            {
                (found["in"], found["name"]): found
                for found in (shapes.resolved(it, within) for it in side["parameters"])
            }
            for side, within in ((self.then, self.released), (self.now, self.present))
        )
        for (where, name), parameter in now.items():
            if parameter.get("required", False) and not then.get((where, name), {}).get(
                "required", False
            ):
                yield f"{where} parameter {name}: now required"
        for (where, name), parameter in then.items():
            if (where, name) not in now:
                yield f"{where} parameter {name}: gone, and unknown ones are refused"
            else:
                yield from self._schemas(
                    parameter, now[where, name], f"{where} parameter {name}", "sent"
                )

    def _body(self) -> Iterator[str]:
        then, now = (
            shapes.resolved(side.get("requestBody", {}), within)
            for side, within in ((self.then, self.released), (self.now, self.present))
        )
        if now.get("required", False) and not then.get("required", False):
            yield "body: now required"
        if then and not now:
            yield "body: no longer taken"
        elif then:
            yield from self._contents(
                self._without_refused_nulls(then), now, "body", "sent"
            )

    def _without_refused_nulls(self, body: Document) -> Document:
        """Return the body of a merge patch without the nulls that were never taken.

        A field that the whole record must have cannot be taken away: null was refused
        for it, whatever the document said.
        """
        needed = self._needed()
        contents = {
            media_type: {
                **content,
                "schema": self._never_null(content.get("schema", {}), needed),
            }
            for media_type, content in body.get("content", {}).items()
            if needed
        }
        return {**body, "content": contents} if contents else body

    def _needed(self) -> frozenset[str]:
        """Return the fields that the record at this address must have, as its
        replacement says.
        """
        method, path = self.name.split()
        whole = self.released["paths"][path].get("put", {})
        if method != "PATCH":
            return frozenset()
        body = shapes.resolved(whole.get("requestBody", {}), self.released)
        schemas = (
            content.get("schema", {}) for content in body.get("content", {}).values()
        )
        return frozenset(
            name
            for one in schemas
            for name in shapes.resolved(one, self.released).get("required", ())
        )

    def _never_null(self, schema: Document, needed: frozenset[str]) -> Document:
        found = shapes.resolved(schema, self.released)
        fields = {
            name: shapes.without_null(field, self.released) if name in needed else field
            for name, field in found.get("properties", {}).items()
        }
        return {**found, "properties": fields}

    def _answers(self) -> Iterator[str]:
        for status, then in self.then.get("responses", {}).items():
            now = self.now.get("responses", {}).get(status)
            if now is not None:
                then_found, now_found = (
                    shapes.resolved(then, self.released),
                    shapes.resolved(now, self.present),
                )
                yield from self._contents(then_found, now_found, status, "received")
                gone = set(then_found.get("headers", {})) - _OF_EVERY_ANSWER
                for header in gone - set(now_found.get("headers", {})):
                    yield f"{status} header {header}: gone"
            elif status < "4":
                yield f"{status}: no longer answered"

    def _contents(
        self, then: Document, now: Document, where: str, way: Way
    ) -> Iterator[str]:
        for media_type, content in then.get("content", {}).items():
            if media_type not in now.get("content", {}):
                yield f"{where}: {media_type} gone"
            else:
                yield from self._schemas(
                    content, now["content"][media_type], f"{where} {media_type}", way
                )

    def _schemas(
        self, then: Document, now: Document, where: str, way: Way
    ) -> Iterator[str]:
        comparison = shapes.Comparison(
            released=self.released, present=self.present, way=way
        )
        yield from comparison.breaks(
            then.get("schema", {}), now.get("schema", {}), where
        )


def _asks_no_more(
    needed: Mapping[str, list[str]], accepted: Mapping[str, list[str]]
) -> bool:
    return all(
        scheme in accepted and set(scopes) <= set(accepted[scheme])
        for scheme, scopes in needed.items()
    )
