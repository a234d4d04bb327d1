"""Modules with their ends, and the standards they are held to: on record."""

from standage.questions.resolving.lookup import Lookup
from standage.questions.resolving.recorded import body_of
from standage.railway.modules.boards import ModuleEnd
from standage.registry.records.bodies import ModuleBody, StandardBody
from standage.registry.records.kinds import MODULES, STANDARDS
from standage.shapes.faults import Fault, Faulty


class Modules:
    """Resolves modules and standards."""

    def __init__(self, records: Lookup) -> None:
        self._records = records

    def end(
        self, module_id: str, end: str, pointer: str
    ) -> tuple[ModuleBody, ModuleEnd]:
        """Return a module on record and its end of that name; raises ``Faulty`` where
        there is none.
        """
        record = self._records.named(MODULES, module_id, f"{pointer}/module_id")
        module = body_of(record, ModuleBody)
        for one in module.ends:
            if one.name.casefold() == end.casefold():
                return module, one
        names = ", ".join(one.name for one in module.ends) or "none on record"
        message = f"{module.name} has no such end; its ends: {names}"
        pointer = f"{pointer}/end"
        raise Faulty(
            [
                Fault(
                    code="no_such_end",
                    message=message,
                    pointer=pointer,
                )
            ]
        )

    def standard_at(self, standard_id: str) -> StandardBody:
        """Return the standard that an address names; raises ``Absent`` where there is
        none.
        """
        return body_of(self._records.at(STANDARDS, standard_id), StandardBody)

    def standard(self, standard_id: str, pointer: str) -> StandardBody:
        """Return the standard that a body names; raises ``Faulty`` where there is
        none.
        """
        record = self._records.named(STANDARDS, standard_id, pointer)
        return body_of(record, StandardBody)
