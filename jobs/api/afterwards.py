"""What is left to do in a warehouse when trucks have gone, and saying that it is done."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.exceptions import ValidationError
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import ViewSet

from inventory.api.serializers import BranchQuery, VaultSerializer
from inventory.api.views.branched import body, branch_for, lane_for, person
from inventory.models import Branch, Item, Vault
from inventory.permissions import branches_where
from jobs.folding.after import WAS, AfterKind
from jobs.models import Event
from jobs.selectors.afterwards import branch_afterwards
from jobs.services.afterwards import (
    Told,
    equipment_came_back,
    piece_put,
    vault_mended,
    vault_stowed,
    vault_swept,
)
from jobs.services.taking_back import after_take_back
from loading.ledger import Equipment
from loading.models import Load

MOST = 100_000
KINDS: Final = tuple(kind.value for kind in AfterKind)


class SweptSerializer(serializers.Serializer[Any]):
    vault = serializers.CharField(max_length=20)
    mend = serializers.CharField(max_length=200, allow_blank=True, default="")


class MendedSerializer(serializers.Serializer[Any]):
    vault = serializers.CharField(max_length=20)


class StowedSerializer(serializers.Serializer[Any]):
    vault = serializers.CharField(max_length=20)
    lane = serializers.CharField(max_length=20)


class PutSerializer(serializers.Serializer[Any]):
    item = serializers.IntegerField(min_value=1, max_value=2**63 - 1)
    place = serializers.CharField(max_length=40)


class CameBackSerializer(serializers.Serializer[Any]):
    load = serializers.CharField(max_length=40)
    equipment = serializers.ChoiceField(choices=[one.value for one in Equipment])
    home = serializers.IntegerField(min_value=0, max_value=MOST, default=0)
    wash = serializers.IntegerField(min_value=0, max_value=MOST, default=0)
    lost = serializers.IntegerField(min_value=0, max_value=MOST, default=0)
    note = serializers.CharField(max_length=200, allow_blank=True, default="")


class TakenBackSerializer(serializers.Serializer[Any]):
    event = serializers.UUIDField()


class AfterWriteSerializer(serializers.Serializer[Any]):
    """Something that is done, under a UUID of the sender's own, so that it may be sent twice."""

    uuid = serializers.UUIDField()
    branch = serializers.SlugField(help_text="The branch's code.")
    kind = serializers.ChoiceField(choices=KINDS)
    happened_at = serializers.DateTimeField(required=False)
    payload = serializers.DictField(
        help_text="`vault_swept`: vault, mend (what is to be mended, or nothing); `vault_mended`: "
        "vault; `vault_stowed`: vault, lane; `piece_put`: item, place; `equipment_came_back`: load,"
        " equipment, home, wash, lost, note (why lost); `taken_back`: event (its uuid)."
    )


class AfterEventSerializer(serializers.Serializer[Event]):
    uuid = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=KINDS)
    payload = serializers.SerializerMethodField()
    actor = serializers.CharField(source="actor.username", allow_null=True, default=None)
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()

    def get_payload(self, event: Event) -> dict[str, Any]:
        return {name: value for name, value in event.payload.items() if name != WAS}


class AfterDoneSerializer(AfterEventSerializer):
    uuid = serializers.UUIDField(source="event.uuid")
    kind = serializers.ChoiceField(source="event.kind", choices=KINDS)
    actor = serializers.CharField(source="event.actor.username", allow_null=True, default=None)
    happened_at = serializers.DateTimeField(source="event.happened_at")
    recorded_at = serializers.DateTimeField(source="event.recorded_at")
    taken_back = serializers.BooleanField()
    may_be_taken_back = serializers.BooleanField()

    def get_payload(self, done: Any) -> dict[str, Any]:
        return super().get_payload(done.event)


class LeftoverSerializer(serializers.Serializer[Item]):
    item = serializers.IntegerField(source="pk")
    tag = serializers.CharField(allow_null=True)
    name = serializers.CharField()
    shipment = serializers.CharField(source="shipment.reference")


class OnGoodsSerializer(serializers.Serializer[Any]):
    load = serializers.CharField(source="load.reference")
    equipment = serializers.ChoiceField(choices=[one.value for one in Equipment])
    count = serializers.IntegerField()


class AfterwardsSerializer(serializers.Serializer[Any]):
    """`stow`: vaults that wait for a lane; `put`: pieces that stand on the dock floor."""

    branch = serializers.CharField(source="branch.code")
    sweep = VaultSerializer(many=True)
    mend = VaultSerializer(many=True)
    stow = VaultSerializer(many=True)
    put = LeftoverSerializer(many=True)
    equipment = OnGoodsSerializer(many=True)
    done = AfterDoneSerializer(many=True)


class AfterwardsViewSet(ViewSet):
    """Vaults to sweep, to mend and to stow, leftovers to put away, equipment to bring back."""

    permission_classes = (IsAuthenticated,)

    @extend_schema(parameters=[BranchQuery], responses=AfterwardsSerializer(many=True))
    def list(self, request: Request) -> Response:
        """What is left to do at each branch, and what was done of it lately."""
        asked = BranchQuery(data=request.query_params)
        asked.is_valid(raise_exception=True)
        branches = branches_where(user=person(request), action="inventory.read")
        if code := asked.validated_data.get("branch"):
            branches = branches.filter(code=code)
        work = [branch_afterwards(branch=branch) for branch in branches.order_by("code")]
        return Response(AfterwardsSerializer(work, many=True).data)

    @extend_schema(request=AfterWriteSerializer, responses={201: AfterEventSerializer})
    def create(self, request: Request) -> Response:
        """Say that something is done, or that it was said by mistake."""
        sent = body(request, AfterWriteSerializer)
        branch = branch_for(request, sent["branch"], "inventory.write")
        form, done = _DOING[AfterKind(sent["kind"])]
        payload = form(data=sent["payload"])
        if not payload.is_valid():
            raise ValidationError({"payload": payload.errors})
        told = Told(sent["uuid"], person(request), timezone.now(), sent.get("happened_at"))
        event = done(branch, payload.validated_data, told)
        return Response(AfterEventSerializer(event).data, status=status.HTTP_201_CREATED)


def _swept(branch: Branch, said: Mapping[str, Any], told: Told) -> Event:
    return vault_swept(vault=_vault(branch, said["vault"]), mend=said["mend"], told=told)


def _mended(branch: Branch, said: Mapping[str, Any], told: Told) -> Event:
    return vault_mended(vault=_vault(branch, said["vault"]), told=told)


def _stowed(branch: Branch, said: Mapping[str, Any], told: Told) -> Event:
    lane = lane_for(branch, said["lane"])
    return vault_stowed(vault=_vault(branch, said["vault"]), lane=lane, told=told)


def _put(branch: Branch, said: Mapping[str, Any], told: Told) -> Event:
    items = Item.objects.filter(shipment__branch=branch).select_related("shipment__branch")
    item = items.filter(pk=said["item"]).first()
    if item is None:
        fault = _("the branch has no piece %(item)s") % {"item": said["item"]}
        raise ValidationError({"payload": {"item": fault}})
    return piece_put(item=item, place=said["place"], told=told)


def _came_back(branch: Branch, said: Mapping[str, Any], told: Told) -> Event:
    load = Load.objects.filter(branch=branch, reference=said["load"]).first()
    if load is None:
        fault = _("the branch has no load %(load)s") % {"load": said["load"]}
        raise ValidationError({"payload": {"load": fault}})
    return equipment_came_back(
        load=load,
        equipment=Equipment(said["equipment"]),
        home=said["home"],
        wash=said["wash"],
        lost=said["lost"],
        reason=said["note"].strip(),
        told=told,
    )


def _taken_back(branch: Branch, said: Mapping[str, Any], told: Told) -> Event:
    return after_take_back(branch=branch, event=said["event"], told=told)


def _vault(branch: Branch, code: str) -> Vault:
    vault = Vault.objects.filter(branch=branch, code=code).select_related("branch").first()
    if vault is None:
        fault = _("the branch has no vault %(code)s") % {"code": code}
        raise ValidationError({"payload": {"vault": fault}})
    return vault


_Doing = Callable[[Branch, Mapping[str, Any], Told], Event]
_DOING: Final[Mapping[AfterKind, tuple[type[serializers.Serializer[Any]], _Doing]]] = {
    AfterKind.VAULT_SWEPT: (SweptSerializer, _swept),
    AfterKind.VAULT_MENDED: (MendedSerializer, _mended),
    AfterKind.VAULT_STOWED: (StowedSerializer, _stowed),
    AfterKind.PIECE_PUT: (PutSerializer, _put),
    AfterKind.EQUIPMENT_CAME_BACK: (CameBackSerializer, _came_back),
    AfterKind.TAKEN_BACK: (TakenBackSerializer, _taken_back),
}
"""What each kind takes, and what it does."""
