"""Every operation, for every role and every sort of token, against what is written out here."""

from dataclasses import replace
from datetime import timedelta

import pytest

from api.asking import Caller, Service, refusal
from api.ground import OPERATIONS, OWNED, Ground, Request, noun_in
from standage.api.operations import Speaks
from standage.api.rights import RIGHTS
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
getLayout            club  club  club  read
replaceLayout        -     club  club  write
updateLayout         -     club  club  write
deleteLayout         -     club  club  write
listPlaces           club  club  club  read
createPlace          -     club  club  write
getPlace             club  club  club  read
replacePlace         -     club  club  write
updatePlace          -     club  club  write
deletePlace          -     club  club  write
listYards            club  club  club  read
createYard           -     club  club  write
getYard              club  club  club  read
replaceYard          -     club  club  write
updateYard           -     club  club  write
deleteYard           -     club  club  write
listClubYards        club  club  club  read
createClubYard       -     club  club  write
getClubYard          club  club  club  read
replaceClubYard      -     club  club  write
updateClubYard       -     club  club  write
deleteClubYard       -     club  club  write
checkTrainFit        club  club  club  read
checkCurve           club  club  club  read
checkPassing         club  club  club  read
checkCapacity        club  club  club  read
checkGradient        club  club  club  read
checkHaulage         club  club  club  read
readLength           club  club  club  read
readPoints           club  club  club  read
checkShuntingPlan    club  club  club  read
drawShuntingPlan     club  club  club  read
dealShuntingPuzzle   club  club  club  read
drawShuntingPuzzle   club  club  club  read
checkEveryTrain      club  club  club  read
getYardDrawing       club  club  club  read
getClubYardDrawing   club  club  club  read
checkModuleJoin      club  club  club  read
getStandardReport    club  club  club  read
getPlaceTrainFit     club  club  club  read
getVehicleCurve      club  club  club  read
getTrainCurve        club  club  club  read
checkLongestTrain    club  club  club  read
checkWishList        club  club  club  read
checkRoadAllocation  club  club  club  read
checkFill            club  club  club  read
checkParts           club  club  club  read
getPlaceLongestTrain club  club  club  read
getLayoutLimits      club  club  club  read
getLayoutFits        club  club  club  read
getLayoutFill        club  club  club  read
getUnsuitableStock   club  club  club  read
listChanges          club  club  club  read
getChange            club  club  club  read
undoChange           own   club  club  write
undoAction           own   club  club  write
listDeletedRecords   club  club  club  read
getDeletedRecord     club  club  club  read
restoreDeletedRecord own   club  club  write
createStockImport    own   own   club  write
getStockImport       own   own   club  read
getStockImportRows   own   own   club  read
getStockImportRejects own  own   club  read
replaceStockImportMapping own own club write
commitStockImport    own   own   club  write
undoStockImport      own   own   club  write
"""
"""Whose records each role may touch, and the scope that a token needs. A club's members see all that is the club's,
members change their own stock, layout keepers plan, stewards do everything."""

EXPECTED = {row.split()[0]: row.split()[1:] for row in WRITTEN_OUT.strip().splitlines()}


def test_every_operation_has_a_row_and_every_row_an_operation() -> None:
    known = {one.id for one in operations() if not isinstance(one.act, Speaks)}
    assert set(RIGHTS) == known
    assert set(EXPECTED) == known


def test_the_table_says_what_is_written_out_here() -> None:
    told = {
        name: [row.whose("member") or "-", row.whose("layout_keeper") or "-", row.whose("steward") or "-", row.scope]
        for name, row in RIGHTS.items()
    }
    assert told == EXPECTED


def succeeded(request: Request, caller: Caller) -> bool:
    """Send a sound request; return whether it was let through. A refusal must be that it is forbidden."""
    response = request.by(caller)
    if response.is_success:
        return True
    refusal(response, 403, "forbidden")
    return False


@pytest.mark.parametrize("role", ROLES)
def test_a_role_may_do_what_its_rows_say_and_no_more(ground: Ground, role: str) -> None:
    caller = ground.steward.with_member(role)
    column = ROLES.index(role)
    told, wanted = {}, {}
    for name, row in EXPECTED.items():
        told[name] = succeeded(ground.request(name, owner_id=caller.member_id), caller)
        wanted[name] = row[column] != "-"
    assert told == wanted


@pytest.mark.parametrize("role", ROLES)
def test_what_is_anothers_can_be_changed_by_whom_the_rows_say_so(ground: Ground, role: str) -> None:
    caller = ground.steward.with_member(role)
    other = ground.make("Member")
    told, wanted = {}, {}
    for name, row in EXPECTED.items():
        if row[3] == "write" and noun_in(name) in OWNED:
            told[name] = succeeded(ground.request(name, owner_id=other["id"]), caller)
            wanted[name] = row[ROLES.index(role)] == "club"
    assert told == wanted
    assert len(told) == 16


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("scope", ["read", "write"])
def test_a_token_does_no_more_than_its_scopes(ground: Ground, role: str, scope: str) -> None:
    member = ground.steward.with_member(role)
    caller = ground.steward.with_token(member_id=member.member_id, scopes=[scope])
    told, wanted = {}, {}
    for name, row in EXPECTED.items():
        told[name] = succeeded(ground.request(name, owner_id=caller.member_id), caller)
        wanted[name] = row[ROLES.index(role)] != "-" and row[3] == scope
    assert told == wanted


@pytest.mark.parametrize("how", ["none", "expired", "revoked", "of a member who left", "of nobody"])
def test_whoever_is_nobody_may_do_nothing(service: Service, ground: Ground, how: str) -> None:
    caller = nobody(service, ground.steward, how)
    let_in = []
    for name in OPERATIONS:
        response = ground.request(name).by(caller)
        if response.status_code != 401:
            let_in.append(name)
        refusal(response, 401, "unauthenticated")
    assert let_in == []


def nobody(service: Service, steward: Caller, how: str) -> Caller:
    if how == "none":
        return service.stranger()
    if how == "of nobody":
        return replace(steward, token="stg_" + "x" * 32)
    if how == "expired":
        caller = steward.with_token(expires_at=(service.clock.now + timedelta(minutes=1)).isoformat())
        service.clock.move(timedelta(minutes=1))
        return caller
    if how == "of a member who left":
        caller = steward.with_member("steward", "Sam Reed")
        assert steward.ask("DELETE", f"/v1/members/{caller.member_id}", if_match="*").status_code == 204
        return caller
    issued = steward.made("/v1/tokens", {"label": "x", "member_id": steward.member_id, "scopes": ["read", "write"]})
    assert steward.ask("DELETE", f"/v1/tokens/{issued['id']}", if_match="*").status_code == 204
    return replace(steward, token=issued["token"])


def test_a_role_counts_from_the_moment_it_is_given(ground: Ground) -> None:
    member = ground.steward.with_member("member")
    request = ground.request("createLayout")
    assert not succeeded(request, member)
    path = f"/v1/members/{member.member_id}"
    assert ground.steward.ask("PATCH", path, {"role": "layout_keeper"}, if_match="*").status_code == 200
    assert succeeded(request, member)
    assert ground.steward.ask("PATCH", path, {"role": "member"}, if_match="*").status_code == 200
    assert not succeeded(ground.request("createLayout"), member)


def test_a_member_cannot_give_their_own_stock_away_nor_take_anothers(ground: Ground) -> None:
    member = ground.steward.with_member("member")
    mine = ground.make("Vehicle", owner_id=member.member_id)
    theirs = ground.make("Vehicle")
    give = member.ask("PATCH", f"/v1/vehicles/{mine['id']}", {"owner_id": ground.steward.member_id}, if_match="*")
    take = member.ask("PATCH", f"/v1/vehicles/{theirs['id']}", {"owner_id": member.member_id}, if_match="*")
    refusal(give, 403, "forbidden")
    refusal(take, 403, "forbidden")


def test_a_member_makes_up_a_train_of_anothers_vehicles(ground: Ground) -> None:
    member = ground.steward.with_member("member")
    vehicle = ground.make("Vehicle")
    train = member.made("/v1/trains", {"name": "Night goods", "vehicles": [{"vehicle_id": vehicle["id"]}]})
    assert train["owner_id"] == member.member_id


def test_the_last_way_in_is_kept(service: Service, steward: Caller) -> None:
    path = f"/v1/members/{steward.member_id}"
    refusal(steward.ask("PATCH", path, {"role": "member"}, if_match="*"), 409, "in_use")
    refusal(steward.ask("DELETE", path, if_match="*"), 409, "in_use")
    token = steward.read("/v1/tokens")["items"][0]
    refusal(steward.ask("DELETE", f"/v1/tokens/{token['id']}", if_match="*"), 409, "in_use")
    refusal(steward.ask("PATCH", f"/v1/tokens/{token['id']}", {"scopes": ["read"]}, if_match="*"), 409, "in_use")
    past = {"expires_at": service.clock.now.isoformat()}
    refusal(steward.ask("PATCH", f"/v1/tokens/{token['id']}", past, if_match="*"), 409, "in_use")
    steward.with_member("steward", "Hazel Marsh")
    assert steward.ask("PATCH", path, {"role": "member"}, if_match="*").status_code == 200
