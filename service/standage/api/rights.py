"""Who may do what: the one table of role, operation and whose object. What has no row is refused.

``own`` is the caller's own records, ``club`` all records of the caller's club; another club's records are never in
reach of any row. A program's token can do what its member may, within the token's scopes.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from standage.api.problems import Rejected
from standage.registry.records import Permit, Principal, Role, Scope, Whose


@dataclass(frozen=True, slots=True)
class Row:
    """What each role may do with one operation, and the scope that a token needs for it."""

    member: Whose | None
    layout_keeper: Whose | None
    steward: Whose | None
    scope: Scope

    def whose(self, role: Role) -> Whose | None:
        """Return whose objects ``role`` may touch, or None."""
        return {"member": self.member, "layout_keeper": self.layout_keeper, "steward": self.steward}[role]


_EVERYBODY_READS = Row("club", "club", "club", "read")
_OWN_READS = Row("own", "own", "club", "read")
_OWN_STOCK = Row("own", "own", "club", "write")
_TRAINS = Row("own", "club", "club", "write")
_PLANS = Row(None, "club", "club", "write")
_UNDO = Row("own", "club", "club", "write")
"""Whether a caller may undo something at all; each change asks for the right to make such a change besides."""
_STEWARDS_READ = Row(None, None, "club", "read")
_STEWARDS_WRITE = Row(None, None, "club", "write")

RIGHTS: dict[str, Row] = {
    "getClub": _EVERYBODY_READS,
    "replaceClub": _STEWARDS_WRITE,
    "updateClub": _STEWARDS_WRITE,
    "listMembers": _EVERYBODY_READS,
    "createMember": _STEWARDS_WRITE,
    "getMember": _EVERYBODY_READS,
    "replaceMember": _STEWARDS_WRITE,
    "updateMember": _STEWARDS_WRITE,
    "deleteMember": _STEWARDS_WRITE,
    "listTokens": _STEWARDS_READ,
    "createToken": _STEWARDS_WRITE,
    "getToken": _STEWARDS_READ,
    "replaceToken": _STEWARDS_WRITE,
    "updateToken": _STEWARDS_WRITE,
    "deleteToken": _STEWARDS_WRITE,
    "listCouplingTypes": _EVERYBODY_READS,
    "createCouplingType": _PLANS,
    "getCouplingType": _EVERYBODY_READS,
    "replaceCouplingType": _PLANS,
    "updateCouplingType": _PLANS,
    "deleteCouplingType": _PLANS,
    "listVehicles": _EVERYBODY_READS,
    "createVehicle": _OWN_STOCK,
    "getVehicle": _EVERYBODY_READS,
    "replaceVehicle": _OWN_STOCK,
    "updateVehicle": _OWN_STOCK,
    "deleteVehicle": _OWN_STOCK,
    "listTrains": _EVERYBODY_READS,
    "createTrain": _TRAINS,
    "getTrain": _EVERYBODY_READS,
    "replaceTrain": _TRAINS,
    "updateTrain": _TRAINS,
    "deleteTrain": _TRAINS,
    "listRakes": _EVERYBODY_READS,
    "createRake": _TRAINS,
    "getRake": _EVERYBODY_READS,
    "replaceRake": _TRAINS,
    "updateRake": _TRAINS,
    "deleteRake": _TRAINS,
    "listModules": _EVERYBODY_READS,
    "createModule": _OWN_STOCK,
    "getModule": _EVERYBODY_READS,
    "replaceModule": _OWN_STOCK,
    "updateModule": _OWN_STOCK,
    "deleteModule": _OWN_STOCK,
    "listStandards": _EVERYBODY_READS,
    "createStandard": _PLANS,
    "getStandard": _EVERYBODY_READS,
    "replaceStandard": _PLANS,
    "updateStandard": _PLANS,
    "deleteStandard": _PLANS,
    "listLayouts": _EVERYBODY_READS,
    "createLayout": _PLANS,
    "getLayout": _EVERYBODY_READS,
    "replaceLayout": _PLANS,
    "updateLayout": _PLANS,
    "deleteLayout": _PLANS,
    "listPlaces": _EVERYBODY_READS,
    "createPlace": _PLANS,
    "getPlace": _EVERYBODY_READS,
    "replacePlace": _PLANS,
    "updatePlace": _PLANS,
    "deletePlace": _PLANS,
    "listYards": _EVERYBODY_READS,
    "createYard": _PLANS,
    "getYard": _EVERYBODY_READS,
    "replaceYard": _PLANS,
    "updateYard": _PLANS,
    "deleteYard": _PLANS,
    "listClubYards": _EVERYBODY_READS,
    "createClubYard": _PLANS,
    "getClubYard": _EVERYBODY_READS,
    "replaceClubYard": _PLANS,
    "updateClubYard": _PLANS,
    "deleteClubYard": _PLANS,
    "checkTrainFit": _EVERYBODY_READS,
    "checkCurve": _EVERYBODY_READS,
    "checkPassing": _EVERYBODY_READS,
    "checkCapacity": _EVERYBODY_READS,
    "checkGradient": _EVERYBODY_READS,
    "checkHaulage": _EVERYBODY_READS,
    "readLength": _EVERYBODY_READS,
    "readPoints": _EVERYBODY_READS,
    "checkModuleJoin": _EVERYBODY_READS,
    "getStandardReport": _EVERYBODY_READS,
    "checkShuntingPlan": _EVERYBODY_READS,
    "drawShuntingPlan": _EVERYBODY_READS,
    "dealShuntingPuzzle": _EVERYBODY_READS,
    "drawShuntingPuzzle": _EVERYBODY_READS,
    "checkEveryTrain": _EVERYBODY_READS,
    "getPlaceTrainFit": _EVERYBODY_READS,
    "getYardDrawing": _EVERYBODY_READS,
    "getClubYardDrawing": _EVERYBODY_READS,
    "getVehicleCurve": _EVERYBODY_READS,
    "getTrainCurve": _EVERYBODY_READS,
    "checkLongestTrain": _EVERYBODY_READS,
    "checkWishList": _EVERYBODY_READS,
    "checkRoadAllocation": _EVERYBODY_READS,
    "checkFill": _EVERYBODY_READS,
    "checkParts": _EVERYBODY_READS,
    "getPlaceLongestTrain": _EVERYBODY_READS,
    "getLayoutLimits": _EVERYBODY_READS,
    "getLayoutFits": _EVERYBODY_READS,
    "getLayoutFill": _EVERYBODY_READS,
    "getUnsuitableStock": _EVERYBODY_READS,
    "listChanges": _EVERYBODY_READS,
    "getChange": _EVERYBODY_READS,
    "undoChange": _UNDO,
    "undoAction": _UNDO,
    "listDeletedRecords": _EVERYBODY_READS,
    "getDeletedRecord": _EVERYBODY_READS,
    "restoreDeletedRecord": _UNDO,
    "createStockImport": _OWN_STOCK,
    "getStockImport": _OWN_READS,
    "getStockImportRows": _OWN_READS,
    "replaceStockImportMapping": _OWN_STOCK,
    "commitStockImport": _OWN_STOCK,
    "undoStockImport": _OWN_STOCK,
    "getStockImportRejects": _OWN_READS,
}


def permit(operation_id: str, principal: Principal) -> Permit:
    """Return what ``principal`` may touch with that operation; raises ``Rejected`` (forbidden) where nothing."""
    row = RIGHTS.get(operation_id)
    whose = row.whose(principal.role) if row is not None else None
    if row is None or whose is None:
        raise Rejected("forbidden", f"A {principal.role.replace('_', ' ')} may not do this; {_who(row)}.")
    if row.scope not in principal.scopes:
        raise Rejected("forbidden", f"This token may not {row.scope}; it needs the scope '{row.scope}'.")
    return Permit(principal=principal, whose=whose)


def _who(row: Row | None) -> str:
    names = list(_names(row)) if row is not None else []
    return f"ask a {' or a '.join(names)}" if names else "nobody may"


def _names(row: Row) -> Iterator[str]:
    if row.layout_keeper is not None:
        yield "layout keeper"
    if row.steward is not None:
        yield "steward"
