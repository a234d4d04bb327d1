"""Who may do what: the one table of role, operation and whose object. What has no row
is refused.

``own`` is the caller's own records, ``club`` all records of the caller's club,
``layout`` one layout and what lies beneath it; another club's records are never in
reach of any row. A program's token can do what its member may, within the token's
scopes; a session can do all that its member may. A visitor is whoever holds a share
link, and asks about its layout only.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from standage.api.web.problems import Rejected
from standage.questions.catalogue import every_question
from standage.questions.question import Who
from standage.registry.records.record import Part, Permit, Principal, Scope, Whose


@dataclass(frozen=True, slots=True)
class Row:
    """What each part may do with one operation, and the scope that a token needs for
    it.

    ``asked_by`` says with what it is asked: with anything that lets somebody in, with a
    session only, or by anybody.
    """

    member: Whose | None
    layout_keeper: Whose | None
    steward: Whose | None
    scope: Scope
    visitor: Whose | None = None
    asked_by: Literal["credential", "session", "anybody"] = "credential"

    def whose(self, part: Part) -> Whose | None:
        """Return whose objects that part may touch, or None."""
        return {
            "member": self.member,
            "layout_keeper": self.layout_keeper,
            "steward": self.steward,
            "visitor": self.visitor,
        }[part]


_EVERYBODY_READS = Row("club", "club", "club", "read")
_OWN_READS = Row("own", "own", "club", "read")
_VISITORS_TOO = Row("club", "club", "club", "read", visitor="layout")
_OWN_STOCK = Row("own", "own", "club", "write")
_TRAINS = Row("own", "club", "club", "write")
_PLANS = Row(None, "club", "club", "write")
_UNDO = Row("own", "club", "club", "write")
"""Whether a caller may undo something at all; each change asks for the right to make
such a change besides.
"""
_STEWARDS_READ = Row(None, None, "club", "read")
_STEWARDS_WRITE = Row(None, None, "club", "write")
_PLANNERS_READ = Row(None, "club", "club", "read")
_PLANNERS_READ_ALL = Row("own", "club", "club", "read")
_OWN_READ = Row("own", "own", "own", "read")
_OWN_WRITE = Row("own", "own", "own", "write")
_OWN_SESSION = Row("own", "own", "own", "write", asked_by="session")
_ANYBODY = Row("own", "own", "own", "write", asked_by="anybody")

_OF_QUESTIONS: dict[Who, Row] = {
    "visitors_too": _VISITORS_TOO,
    "club": _EVERYBODY_READS,
}
RIGHTS: dict[str, Row] = {
    **{one.id: _OF_QUESTIONS[one.who] for one in every_question()},
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
    "listInvitations": _STEWARDS_READ,
    "createInvitation": _STEWARDS_WRITE,
    "getInvitation": _STEWARDS_READ,
    "deleteInvitation": _STEWARDS_WRITE,
    "acceptInvitation": _ANYBODY,
    "createSession": _ANYBODY,
    "listSessions": _OWN_READ,
    "getSession": _OWN_READ,
    "deleteSession": _OWN_WRITE,
    "signOut": _OWN_SESSION,
    "signOutMember": _STEWARDS_WRITE,
    "setPassphrase": _OWN_WRITE,
    "resetPassphrase": _STEWARDS_WRITE,
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
    "takeVehicleOut": _OWN_STOCK,
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
    "getLayout": _VISITORS_TOO,
    "replaceLayout": _PLANS,
    "updateLayout": _PLANS,
    "deleteLayout": _PLANS,
    "listPlaces": _VISITORS_TOO,
    "createPlace": _PLANS,
    "getPlace": _VISITORS_TOO,
    "replacePlace": _PLANS,
    "updatePlace": _PLANS,
    "deletePlace": _PLANS,
    "listYards": _VISITORS_TOO,
    "createYard": _PLANS,
    "getYard": _VISITORS_TOO,
    "replaceYard": _PLANS,
    "updateYard": _PLANS,
    "deleteYard": _PLANS,
    "listClubYards": _EVERYBODY_READS,
    "createClubYard": _PLANS,
    "getClubYard": _EVERYBODY_READS,
    "replaceClubYard": _PLANS,
    "updateClubYard": _PLANS,
    "deleteClubYard": _PLANS,
    "getLayoutPlan": _VISITORS_TOO,
    "replaceLayoutPlan": _PLANS,
    "updateLayoutPlan": _PLANS,
    "deleteLayoutPlan": _PLANS,
    "listLayoutPlanRevisions": _EVERYBODY_READS,
    "createLayoutPlanRevision": _PLANS,
    "getLayoutPlanRevision": _EVERYBODY_READS,
    "getLayoutPlanSheetCsv": _VISITORS_TOO,
    "getLayoutPlanSheetXlsx": _VISITORS_TOO,
    "checkLayoutPlanSheet": _PLANS,
    "replaceLayoutPlanSheet": _PLANS,
    "getModulePlan": _EVERYBODY_READS,
    "replaceModulePlan": _OWN_STOCK,
    "updateModulePlan": _OWN_STOCK,
    "deleteModulePlan": _OWN_STOCK,
    "listModulePlanRevisions": _EVERYBODY_READS,
    "createModulePlanRevision": _OWN_STOCK,
    "getModulePlanRevision": _EVERYBODY_READS,
    "getModulePlanSheetCsv": _EVERYBODY_READS,
    "getModulePlanSheetXlsx": _EVERYBODY_READS,
    "checkModulePlanSheet": _OWN_STOCK,
    "replaceModulePlanSheet": _OWN_STOCK,
    "listShareLinks": _PLANNERS_READ,
    "createShareLink": _PLANS,
    "getShareLink": _PLANNERS_READ,
    "deleteShareLink": _PLANS,
    "getYardDrawing": _VISITORS_TOO,
    "getClubYardDrawing": _EVERYBODY_READS,
    "listChanges": _EVERYBODY_READS,
    "getChange": _EVERYBODY_READS,
    "undoChange": _UNDO,
    "undoAction": _UNDO,
    "listRefusedChanges": _PLANNERS_READ_ALL,
    "listDeletedRecords": _EVERYBODY_READS,
    "getDeletedRecord": _EVERYBODY_READS,
    "restoreDeletedRecord": _UNDO,
    "createStockImport": _OWN_STOCK,
    "listStockImports": _OWN_READS,
    "getStockImport": _OWN_READS,
    "getStockImportRows": _OWN_READS,
    "replaceStockImportMapping": _OWN_STOCK,
    "commitStockImport": _OWN_STOCK,
    "undoStockImport": _OWN_STOCK,
    "getStockImportRejects": _OWN_READS,
    "getStockListCsv": _EVERYBODY_READS,
    "getStockListXlsx": _EVERYBODY_READS,
    "getStockTemplateCsv": _EVERYBODY_READS,
    "getStockSampleCsv": _EVERYBODY_READS,
    "getStockTemplateXlsx": _EVERYBODY_READS,
    "getStockSampleXlsx": _EVERYBODY_READS,
    "checkPlanSheet": _EVERYBODY_READS,
    "writePlanSheetCsv": _EVERYBODY_READS,
    "writePlanSheetXlsx": _EVERYBODY_READS,
    "getPlanTemplateCsv": _EVERYBODY_READS,
    "getPlanMeasuredCsv": _EVERYBODY_READS,
    "getPlanTemplateXlsx": _EVERYBODY_READS,
    "exportClub": _STEWARDS_READ,
    "getMemberData": _OWN_READS,
    "eraseMember": Row("own", "own", "club", "write"),
}


def permit(operation_id: str, principal: Principal) -> Permit:
    """Return what ``principal`` may touch with that operation; raises ``Rejected``
    (forbidden) where nothing.
    """
    row = RIGHTS.get(operation_id)
    whose = row.whose(principal.role) if row is not None else None
    if row is None or whose is None:
        raise Rejected(
            "forbidden", f"{_WHO[principal.role]} may not do this; {_who(row)}."
        )
    if row.scope not in principal.scopes:
        raise Rejected(
            "forbidden",
            f"This token may not {row.scope}; it needs the scope '{row.scope}'.",
        )
    if row.asked_by == "session" and principal.bearer != "session":
        raise Rejected(
            "forbidden",
            "A token is no session; nobody signed in with it. Delete the token"
            " instead.",
        )
    return Permit(principal=principal, whose=whose)


_WHO: Mapping[Part, str] = {
    "member": "A member",
    "layout_keeper": "A layout keeper",
    "steward": "A steward",
    "visitor": "Whoever holds a share link",
}


def _who(row: Row | None) -> str:
    if row is None or row.steward is None:
        return "nobody may"
    if row.member is not None:
        return "ask somebody of the club"
    if row.layout_keeper is None:
        return "ask a steward"
    return "ask a layout keeper or a steward"
