"""How the inventory looks over HTTP: lengths in mm, weights in g, branches by their code."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.models import (
    Branch,
    Hold,
    ImportBatch,
    Item,
    ItemKind,
    ItemTag,
    Lane,
    Release,
    Shipment,
    Vault,
    VaultArrival,
)
from inventory.selectors import shipment_cautions

LARGEST_SMALL = 32_767


class BranchSerializer(serializers.ModelSerializer[Branch]):
    class Meta:
        model = Branch
        fields = ("code", "name", "time_zone")


class ShipmentSerializer(serializers.ModelSerializer[Shipment]):
    branch = serializers.CharField(source="branch.code", read_only=True)
    piece_count = serializers.IntegerField(read_only=True)
    vault_count = serializers.IntegerField(read_only=True)
    held = serializers.BooleanField(read_only=True)

    class Meta:
        model = Shipment
        fields = (
            *("id", "branch", "reference", "lot_number", "label_color", "shipper_name", "note"),
            *("piece_count", "vault_count", "held"),
        )


class LaneSerializer(serializers.ModelSerializer[Lane]):
    branch = serializers.CharField(source="branch.code", read_only=True)
    vault_count = serializers.IntegerField(read_only=True, default=0)

    class Meta:
        model = Lane
        fields = ("id", "branch", "name", "depth", "levels", "vault_count")


class LaneWriteSerializer(serializers.Serializer[Lane]):
    branch = serializers.CharField(max_length=20)
    name = serializers.CharField(max_length=20)
    depth = serializers.IntegerField(min_value=1, max_value=LARGEST_SMALL)
    levels = serializers.IntegerField(min_value=1, max_value=LARGEST_SMALL)


class VaultSerializer(serializers.ModelSerializer[Vault]):
    branch = serializers.CharField(source="branch.code", read_only=True)
    shipment = serializers.CharField(source="shipment.reference", read_only=True, allow_null=True)
    lane = serializers.CharField(source="lane.name", read_only=True, allow_null=True)

    class Meta:
        model = Vault
        fields = (
            *("id", "branch", "code", "shipment", "seal_number", "lane", "depth", "level"),
            *("upkeep", "upkeep_note"),
        )


class VaultStandsSerializer(serializers.Serializer[Vault]):
    """Where a vault stands; without `lane` it stands in none."""

    lane = serializers.CharField(max_length=20, allow_null=True)
    depth = serializers.IntegerField(
        min_value=1, max_value=LARGEST_SMALL, allow_null=True, default=None
    )
    level = serializers.IntegerField(
        min_value=1, max_value=LARGEST_SMALL, allow_null=True, default=None
    )


class TagSerializer(serializers.ModelSerializer[ItemTag]):
    class Meta:
        model = ItemTag
        fields = ("lot_number", "label_color", "number", "assigned_at", "replaced_at")


class TagReplaceSerializer(serializers.Serializer[ItemTag]):
    """A new tag; `uuid` is made where the tag was put on, so that it may be sent twice."""

    uuid = serializers.UUIDField()
    number = serializers.CharField(max_length=10)
    lot_number = serializers.CharField(max_length=40, required=False)
    label_color = serializers.CharField(max_length=20, required=False)


class KindSerializer(serializers.ModelSerializer[ItemKind]):
    class Meta:
        model = ItemKind
        fields = (
            *("code", "name", "words", "length_mm", "width_mm", "height_mm", "weight_g"),
            *("postures", "wrap", "bears_g", "level", "fragile", "carton", "soft", "openings"),
            *("handling", "pads", "storage_pads"),
        )


class KindConfirmSerializer(serializers.Serializer[Item]):
    kind = serializers.CharField(max_length=60)


class ItemSerializer(serializers.ModelSerializer[Item]):
    branch = serializers.CharField(source="shipment.branch.code", read_only=True)
    shipment = serializers.CharField(source="shipment.reference", read_only=True)
    kind = serializers.CharField(source="kind.code", read_only=True, allow_null=True)
    vault = serializers.CharField(source="vault.code", read_only=True, allow_null=True)
    loose_place = serializers.CharField(source="loose_place.name", read_only=True, allow_null=True)
    tag = serializers.CharField(read_only=True, allow_null=True)
    tags = TagSerializer(many=True, read_only=True)

    class Meta:
        model = Item
        fields = (
            *("id", "branch", "shipment", "tag", "tags", "name", "kind", "kind_confirmed"),
            *("length_mm", "width_mm", "height_mm", "size_from", "weight_g", "weight_from"),
            *("postures", "wrap", "bears_g", "level", "fragile", "carton", "soft", "openings"),
            *("stop", "set_name", "last_on", "handling", "pads", "storage_pads"),
            *("vault", "vault_position", "loose_place", "high_value", "left_at", "left_vault"),
        )


class ImportSerializer(serializers.ModelSerializer[ImportBatch]):
    branch = serializers.CharField(source="branch.code", read_only=True)
    shipment = serializers.CharField(source="shipment.reference", read_only=True)

    class Meta:
        model = ImportBatch
        fields = (
            *("id", "branch", "shipment", "form", "filename", "sha256", "imported_at"),
            *("lines", "guesses"),
        )


class CautionedPieceSerializer(serializers.Serializer[Any]):
    """A piece that may not ride, or only with care."""

    tag = serializers.CharField(allow_null=True)
    name = serializers.CharField()
    group = serializers.CharField(source="caution.group")
    verdict = serializers.CharField(source="caution.verdict", help_text="never, prepare, …")
    what_to_do = serializers.CharField(source="caution.what_to_do")


class ImportAnswerSerializer(ImportSerializer):
    """An import just asked for; `already_imported`: the same file went in before.

    `cautions`: the pieces whose names point to something that may not ride.
    """

    already_imported = serializers.SerializerMethodField()
    cautions = serializers.SerializerMethodField()

    class Meta:
        model = ImportBatch
        fields = (*ImportSerializer.Meta.fields, "already_imported", "cautions")

    @extend_schema_field(CautionedPieceSerializer(many=True))
    def get_cautions(self, batch: ImportBatch) -> Any:
        pieces = shipment_cautions(shipment=batch.shipment)
        return CautionedPieceSerializer(pieces, many=True).data

    def get_already_imported(self, _batch: ImportBatch) -> bool:
        return bool(self.context.get("already_imported"))


class ImportOrderSerializer(serializers.Serializer[ImportBatch]):
    """What goes with a file, in the address or beside it in a form."""

    branch = serializers.CharField(max_length=20)
    shipment = serializers.CharField(max_length=40)
    lot = serializers.CharField(max_length=40, default="")
    color = serializers.CharField(max_length=20, default="")
    filename = serializers.CharField(max_length=200, default="")


class ImportFormSerializer(ImportOrderSerializer):
    """The same as a form with the file in it."""

    file = serializers.FileField()


class ReleaseSerializer(serializers.ModelSerializer[Release]):
    """A release; without items the whole shipment leaves."""

    branch = serializers.CharField(source="shipment.branch.code", read_only=True)
    shipment = serializers.CharField(source="shipment.reference", read_only=True)
    items: serializers.PrimaryKeyRelatedField[Item] = serializers.PrimaryKeyRelatedField(
        many=True, read_only=True
    )
    identity_checked_by = serializers.CharField(
        source="identity_checked_by.username", read_only=True, allow_null=True
    )

    class Meta:
        model = Release
        fields = (
            *("id", "uuid", "branch", "shipment", "reference", "items", "receiver_name"),
            *("identity_checked_at", "identity_checked_by", "created_at"),
        )


class ReleaseWriteSerializer(serializers.Serializer[Release]):
    """A new release; `uuid` is the sender's, so that it may be sent twice. `items`: their ids."""

    uuid = serializers.UUIDField()
    branch = serializers.CharField(max_length=20)
    shipment = serializers.CharField(max_length=40)
    reference = serializers.CharField(max_length=40)
    receiver_name = serializers.CharField(max_length=100)
    items = serializers.ListField(
        child=serializers.IntegerField(min_value=1, max_value=2**63 - 1), default=list
    )


class ArrivalSerializer(serializers.ModelSerializer[VaultArrival]):
    branch = serializers.CharField(source="vault.branch.code", read_only=True)
    vault = serializers.CharField(source="vault.code", read_only=True)

    class Meta:
        model = VaultArrival
        fields = ("id", "branch", "vault", "expected_at", "stowed_at")


class ArrivalWriteSerializer(serializers.Serializer[VaultArrival]):
    """A vault that is expected; `id` is the sender's, so that it may be sent twice."""

    id = serializers.UUIDField()
    branch = serializers.CharField(max_length=20)
    vault = serializers.CharField(max_length=20)
    expected_at = serializers.DateTimeField()


class ArrivalStowSerializer(serializers.Serializer[VaultArrival]):
    lane = serializers.CharField(max_length=20)


class HoldSerializer(serializers.ModelSerializer[Hold]):
    branch = serializers.CharField(source="shipment.branch.code", read_only=True)
    shipment = serializers.CharField(source="shipment.reference", read_only=True)
    placed_by = serializers.CharField(source="placed_by.username", read_only=True, allow_null=True)
    lifted_by = serializers.CharField(source="lifted_by.username", read_only=True, allow_null=True)

    class Meta:
        model = Hold
        fields = (
            *("id", "uuid", "branch", "shipment", "kind", "reason", "placed_at", "placed_by"),
            *("lifted_at", "lifted_by"),
        )


class HoldWriteSerializer(serializers.Serializer[Hold]):
    """A new hold; `uuid` is the sender's, so that it may be sent twice."""

    uuid = serializers.UUIDField()
    branch = serializers.CharField(max_length=20)
    shipment = serializers.CharField(max_length=40)
    kind = serializers.ChoiceField(choices=Hold.Kind.choices)
    reason = serializers.CharField(max_length=200, default="", allow_blank=True)


class BranchQuery(serializers.Serializer[None]):
    """How a list is narrowed."""

    branch = serializers.CharField(max_length=20, required=False)


class ShipmentQuery(BranchQuery):
    shipment = serializers.CharField(
        max_length=40, required=False, help_text="the shipment's reference"
    )


class ItemQuery(ShipmentQuery):
    tag = serializers.CharField(
        max_length=10, required=False, help_text="a number, also of a replaced tag"
    )
    lot = serializers.CharField(max_length=40, required=False)
    color = serializers.CharField(max_length=20, required=False)
    words = serializers.CharField(
        max_length=100, required=False, help_text="words of its name or kind"
    )
    vault = serializers.CharField(max_length=20, required=False)
    unconfirmed = serializers.BooleanField(
        default=False, help_text="only pieces whose kind was guessed and not confirmed"
    )


class KindQuery(serializers.Serializer[None]):
    words = serializers.CharField(max_length=100, required=False)
