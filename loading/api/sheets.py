"""The wire forms of the pull sheet and the tier sheets; the dataclasses are the selectors'."""

from typing import Any

from rest_framework import serializers

from loading.api.road import StrappingSerializer


class VaultPlaceSerializer(serializers.Serializer[Any]):
    lane = serializers.CharField()
    depth = serializers.IntegerField(help_text="1 is nearest the aisle.")
    level = serializers.IntegerField(help_text="1 stands on the floor.")


class PieceInVaultSerializer(serializers.Serializer[Any]):
    tag = serializers.CharField()
    name = serializers.CharField()
    leaves = serializers.BooleanField()


class LookSerializer(serializers.Serializer[Any]):
    """A piece that may not ride, or only with care."""

    tag = serializers.CharField()
    group = serializers.CharField(source="caution.said")
    verdict = serializers.CharField(source="caution.verdict")
    what_to_do = serializers.CharField(source="caution.advice")


class PullLineSerializer(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    step = serializers.IntegerField(help_text="The step's number in the plan, from 1.")
    do = serializers.ChoiceField(choices=["move", "pull", "fetch", "clear", "store"])
    vault = serializers.CharField(allow_null=True)
    ours = serializers.BooleanField(help_text="False for another customer's vault.")
    at = VaultPlaceSerializer(allow_null=True)
    to = VaultPlaceSerializer(allow_null=True)
    moved_for = serializers.CharField(allow_null=True)
    tag = serializers.CharField(allow_null=True)
    name = serializers.CharField(allow_null=True)
    contents = PieceInVaultSerializer(many=True)
    off_dock_step = serializers.IntegerField(allow_null=True)
    place = serializers.CharField(allow_null=True, help_text="Where a loose piece stands.")
    done = serializers.BooleanField()
    looks = LookSerializer(many=True)


class PullSheetSerializer(serializers.Serializer[Any]):
    load = serializers.CharField()
    truck = serializers.CharField()
    version = serializers.IntegerField()
    vault_spots = serializers.IntegerField()
    lines = PullLineSerializer(many=True)


class TierLineSerializer(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    step = serializers.IntegerField(allow_null=True)
    kind = serializers.ChoiceField(choices=["piece", "fill"])
    key = serializers.CharField(help_text="A tag, or the name of a fill.")
    name = serializers.CharField()
    posture = serializers.CharField(allow_null=True)
    level = serializers.CharField(allow_null=True)
    weight_g = serializers.IntegerField()
    at_mm = serializers.ListField(child=serializers.IntegerField())
    size_mm = serializers.ListField(child=serializers.IntegerField())
    left_mm = serializers.IntegerField()
    right_mm = serializers.IntegerField()
    rests_on = serializers.ListField(child=serializers.CharField())
    on_deck = serializers.BooleanField()
    inside = serializers.CharField(allow_null=True)
    stop = serializers.IntegerField(allow_null=True)
    fragile = serializers.BooleanField()
    estimated = serializers.BooleanField()
    pads = serializers.IntegerField(allow_null=True)
    done = serializers.BooleanField()


class TierStrapsSerializer(serializers.Serializer[Any]):
    """The straps or load bars behind a tier, none where no rule asks for one, and what to tie."""

    strapping = StrappingSerializer(allow_null=True)
    limit_g = serializers.IntegerField(help_text="Working load limit of each.")
    ties = serializers.ListField(child=serializers.CharField(), help_text="Tags of tall pieces.")


class TierSheetSerializer(serializers.Serializer[Any]):
    tier = serializers.IntegerField()
    tiers = serializers.IntegerField()
    from_mm = serializers.IntegerField()
    to_mm = serializers.IntegerField()
    depth_mm = serializers.IntegerField()
    weight_g = serializers.IntegerField()
    pieces = serializers.IntegerField()
    pads = serializers.IntegerField()
    closed_step = serializers.IntegerField(allow_null=True)
    lines = TierLineSerializer(many=True)
    straps = TierStrapsSerializer(allow_null=True)
