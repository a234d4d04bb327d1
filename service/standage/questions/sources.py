"""Where the values of a question come from, inline or on record: one value that holds
what resolves each sort of thing.
"""

from standage.questions.resolving.couplings import Couplings
from standage.questions.resolving.lookup import Lookup
from standage.questions.resolving.modules import Modules
from standage.questions.resolving.places import Places
from standage.questions.resolving.plans import PlanSources
from standage.questions.resolving.trains import Trains
from standage.questions.resolving.yards import Yards
from standage.registry.records.reading import Reading


class Sources:
    """What a caller may name, within one club and one snapshot.

    Without a ``reading`` (a stranger who may ask with everything inline) every id is
    unknown.
    """

    def __init__(self, reading: Reading | None, club_id: str) -> None:
        self.records = Lookup(reading, club_id)
        self.couplings = Couplings(self.records)
        self.trains = Trains(self.records, self.couplings)
        self.plans = PlanSources(self.records)
        self.places = Places(self.records, self.plans, self.couplings)
        self.yards = Yards(self.records)
        self.modules = Modules(self.records)
