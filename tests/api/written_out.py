"""Who may do what, written out by hand: what the table in the service is held
against.
"""

from standage.app import operations

ROLES = ("member", "layout_keeper", "steward")
WRITTEN_OUT = """
getClub              club  club  club  read
replaceClub          -     -     club  write
updateClub           -     -     club  write
listMembers          club  club  club  read
createMember         -     -     club  write
getMember            club  club  club  read
replaceMember        -     -     club  write
updateMember         -     -     club  write
deleteMember         -     -     club  write
listTokens           -     -     club  read
createToken          -     -     club  write
getToken             -     -     club  read
replaceToken         -     -     club  write
updateToken          -     -     club  write
deleteToken          -     -     club  write
listCouplingTypes    club  club  club  read
createCouplingType   -     club  club  write
getCouplingType      club  club  club  read
replaceCouplingType  -     club  club  write
updateCouplingType   -     club  club  write
deleteCouplingType   -     club  club  write
listVehicles         club  club  club  read
createVehicle        own   own   club  write
getVehicle           club  club  club  read
replaceVehicle       own   own   club  write
updateVehicle        own   own   club  write
deleteVehicle        own   own   club  write
takeVehicleOut       own   own   club  write
listTrains           club  club  club  read
createTrain          own   club  club  write
getTrain             club  club  club  read
replaceTrain         own   club  club  write
updateTrain          own   club  club  write
deleteTrain          own   club  club  write
listRakes            club  club  club  read
createRake           own   club  club  write
getRake              club  club  club  read
replaceRake          own   club  club  write
updateRake           own   club  club  write
deleteRake           own   club  club  write
listModules          club  club  club  read
createModule         own   own   club  write
getModule            club  club  club  read
replaceModule        own   own   club  write
updateModule         own   own   club  write
deleteModule         own   own   club  write
listStandards        club  club  club  read
createStandard       -     club  club  write
getStandard          club  club  club  read
replaceStandard      -     club  club  write
updateStandard       -     club  club  write
deleteStandard       -     club  club  write
listLayouts          club  club  club  read
createLayout         -     club  club  write
getLayout            club  club  club  read  layout
replaceLayout        -     club  club  write
updateLayout         -     club  club  write
deleteLayout         -     club  club  write
listPlaces           club  club  club  read  layout
createPlace          -     club  club  write
getPlace             club  club  club  read  layout
replacePlace         -     club  club  write
updatePlace          -     club  club  write
deletePlace          -     club  club  write
listYards            club  club  club  read  layout
createYard           -     club  club  write
getYard              club  club  club  read  layout
replaceYard          -     club  club  write
updateYard           -     club  club  write
deleteYard           -     club  club  write
listClubYards        club  club  club  read
createClubYard       -     club  club  write
getClubYard          club  club  club  read
replaceClubYard      -     club  club  write
updateClubYard       -     club  club  write
deleteClubYard       -     club  club  write
readLength           club  club  club  read  layout
readPoints           club  club  club  read  layout
getYardDrawing       club  club  club  read  layout
getClubYardDrawing   club  club  club  read
getStandardReport    club  club  club  read
getPlaceTrainFit     club  club  club  read
getVehicleCurve      club  club  club  read
getTrainCurve        club  club  club  read
getPlaceLongestTrain club  club  club  read
getLayoutLimits      club  club  club  read  layout
getLayoutFits        club  club  club  read
getLayoutFitsDrawing club  club  club  read
getLayoutFitsSheetCsv club club  club  read
getLayoutPlanBlockedMoves club club club read
getLayoutFill        club  club  club  read
getUnsuitableStock   club  club  club  read
listChanges          club  club  club  read
getChange            club  club  club  read
undoChange           own   club  club  write
undoAction           own   club  club  write
listRefusedChanges   own   club  club  read
listDeletedRecords   club  club  club  read
getDeletedRecord     club  club  club  read
restoreDeletedRecord own   club  club  write
createStockImport    own   own   club  write
listStockImports     own   own   club  read
getStockImport       own   own   club  read
getStockImportRows   own   own   club  read
getStockImportRejects own  own   club  read
getStockListCsv club club club read
getStockListXlsx club club club read
getStockTemplateCsv club club club read
getStockSampleCsv club club club read
getStockTemplateXlsx club club club read
getStockSampleXlsx club club club read
checkPlanSheet club club club read
writePlanSheetCsv club club club read
writePlanSheetXlsx club club club read
getPlanTemplateCsv club club club read
getPlanMeasuredCsv club club club read
getPlanTemplateXlsx club club club read
exportClub - - club read
getMemberData own own club read
replaceStockImportMapping own own club write
commitStockImport    own   own   club  write
undoStockImport      own   own   club  write
listInvitations      -     -     club  read
createInvitation     -     -     club  write
getInvitation        -     -     club  read
deleteInvitation     -     -     club  write
acceptInvitation     own   own   own   write  -       anybody
createSession        own   own   own   write  -       anybody
listSessions         own   own   own   read
getSession           own   own   own   read
deleteSession        own   own   own   write
signOut              own   own   own   write  -       session
signOutMember        -     -     club  write
setPassphrase        own   own   own   write
resetPassphrase      -     -     club  write
getLayoutPlan        club  club  club  read  layout
replaceLayoutPlan    -     club  club  write
updateLayoutPlan     -     club  club  write
deleteLayoutPlan     -     club  club  write
listLayoutPlanRevisions   club  club  club  read
createLayoutPlanRevision  -     club  club  write
getLayoutPlanRevision     club  club  club  read
getLayoutPlanAlteration        club  club  club  read
getLayoutPlanAlterationDrawing club  club  club  read
checkLayoutPlanAlteration             club  club  club  read
checkLayoutPlan           club  club  club  read  layout
getLayoutPlanDrawing      club  club  club  read  layout
getLayoutPlanMaterials        club  club  club  read  layout
getLayoutPlanMaterialsDrawing club  club  club  read  layout
getLayoutPlanMaterialsCsv     club  club  club  read  layout
getLayoutPlanSheetCsv     club  club  club  read  layout
getLayoutPlanSheetXlsx    club  club  club  read  layout
checkLayoutPlanSheet      -     club  club  write
replaceLayoutPlanSheet    -     club  club  write
getModulePlan        club  club  club  read
replaceModulePlan    own   own   club  write
updateModulePlan     own   own   club  write
deleteModulePlan     own   own   club  write
listModulePlanRevisions   club  club  club  read
createModulePlanRevision  own   own   club  write
getModulePlanRevision     club  club  club  read
checkModulePlan           club  club  club  read
getModulePlanDrawing      club  club  club  read
getModulePlanMaterials        club  club  club  read
getModulePlanMaterialsDrawing club  club  club  read
getModulePlanMaterialsCsv     club  club  club  read
getModulePlanSheetCsv     club  club  club  read
getModulePlanSheetXlsx    club  club  club  read
checkModulePlanSheet      own   own   club  write
replaceModulePlanSheet    own   own   club  write
listShareLinks       -     club  club  read
createShareLink      -     club  club  write
getShareLink         -     club  club  read
deleteShareLink      -     club  club  write
eraseMember          own   own   club  write
"""
"""Whose records each role may touch, and the scope that a token needs; then, where they
are not "-" and "credential", whose a visitor with a share link may read, and what it is
asked with. A club's members see all that is the club's, members change their own stock,
layout keepers plan, stewards do everything, and of themselves all do. Whoever erases
themselves is nobody afterwards: that row stays the last."""

INLINE = "club club club read layout"
"""Who may ask an inline question, whichever it is: whatever it names is looked up with
the right of whoever asks.
"""
INLINE_ROWS = [
    f"{one.id} {INLINE}"
    for one in operations()
    if one.method == "POST" and one.path.startswith("/v1/checks/")
]
USUAL = ("-", "-", "-", "-", "-", "credential")
EXPECTED = {
    row.split()[0]: [*row.split()[1:], *USUAL[len(row.split()) - 1 :]]
    for row in (*INLINE_ROWS, *WRITTEN_OUT.strip().splitlines())
}
MEMBER, KEEPER, STEWARD, SCOPE, VISITOR, ASKED_BY = range(6)
WALKED = {name: row for name, row in EXPECTED.items() if row[ASKED_BY] != "anybody"}
