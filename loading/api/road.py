"""The wire form of the road sheet; the dataclasses are the selector's. Weights in g."""

from enum import Enum
from typing import Any

from rest_framework import serializers

from loading.road.changes import Change
from loading.road.forces import Direction
from loading.road.gravity import Along
from loading.road.holding import Why
from loading.road.sheet import Caution
from loading.road.tier_forces import By
from loading.selectors.road_sheet import Kind


class WordField(serializers.ChoiceField):
    """A member of an enumeration, told by its value."""

    def __init__(self, kind: type[Enum], **options: Any) -> None:
        super().__init__(choices=[member.value for member in kind], **options)

    def to_representation(self, value: Any) -> Any:
        return super().to_representation(value.value if isinstance(value, Enum) else value)


class SupportLineSerializer(serializers.Serializer[Any]):
    name = serializers.CharField()
    gross_g = serializers.IntegerField(help_text="The truck's own weight included.")
    limit_g = serializers.IntegerField()
    is_over = serializers.BooleanField()


class MomentLineSerializer(serializers.Serializer[Any]):
    step = serializers.IntegerField(allow_null=True, help_text="The plan's step; null on the road.")
    after_stop = serializers.IntegerField(help_text="The stop just delivered; 0: departure.")
    load_g = serializers.IntegerField()
    supports = SupportLineSerializer(many=True)
    tier = serializers.IntegerField(allow_null=True, help_text="The tier that is whole then.")


class OverLimitSerializer(serializers.Serializer[Any]):
    kind = WordField(Kind)
    name = serializers.CharField()
    after_stop = serializers.IntegerField()
    actual_g = serializers.IntegerField()
    limit_g = serializers.IntegerField()
    over_g = serializers.IntegerField()


class GroupLineSerializer(serializers.Serializer[Any]):
    name = serializers.CharField(help_text="An axle or the first and last of a group, from 1.")
    span_mm = serializers.IntegerField()
    actual_g = serializers.IntegerField()
    allowed_g = serializers.IntegerField()
    passes = serializers.BooleanField()


class CentreLineSerializer(serializers.Serializer[Any]):
    at_mm = serializers.ListField(child=serializers.IntegerField())
    along_mm = serializers.IntegerField(help_text="Behind the middle of the length.")
    across_mm = serializers.IntegerField(help_text="Right of the middle of the width.")
    along = WordField(Along, help_text="Within 5 %, within 10 % of the length, or outside.")
    half_percent = serializers.IntegerField(help_text="Of the mass, in the heavier half.")
    limits_mm = serializers.ListField(
        child=serializers.IntegerField(), help_text="How far along, across, and how high it may be."
    )
    passes = serializers.ListField(
        child=serializers.BooleanField(), help_text="Those three, and 60 % in one half at most."
    )


class AdviceLineSerializer(serializers.Serializer[Any]):
    change = WordField(Change)
    what = serializers.ListField(child=serializers.CharField(), help_text="Tags, or two tiers.")
    excess_g = serializers.IntegerField(help_text="What is still over a limit after it.")


class TierForcesSerializer(serializers.Serializer[Any]):
    """Forward, rearward and sideways: what friction leaves of the accelerations of 49 CFR
    393.102(a), as weights, and what holds the tier against it."""

    tier = serializers.IntegerField()
    weight_g = serializers.IntegerField()
    breaking_g = serializers.ListField(
        child=serializers.IntegerField(), help_text="Of 0.8, 0.5 and 0.5 g, for breaking strength."
    )
    working_g = serializers.ListField(
        child=serializers.IntegerField(),
        help_text="Of 0.435, 0.5 and 0.25 g, for working load limits.",
    )
    held = serializers.ListField(child=WordField(By))
    voids_mm = serializers.ListField(
        child=serializers.IntegerField(), help_text="How far its pieces may go along and across."
    )


class StrappingSerializer(serializers.Serializer[Any]):
    after_stop = serializers.IntegerField()
    tier = serializers.IntegerField()
    why = WordField(Why)
    tags = serializers.ListField(child=serializers.CharField())
    weight_g = serializers.IntegerField()
    force_g = serializers.IntegerField(help_text="What friction leaves of 0.5 g, as a weight.")
    required_g = serializers.IntegerField(help_text="Aggregate working load limit.")
    straps = serializers.IntegerField()
    mats_do = serializers.BooleanField(help_text="Friction mats under the pieces do as well.")
    heights_mm = serializers.ListField(child=serializers.IntegerField())
    at_mm = serializers.IntegerField(help_text="Behind the nose.")


class TipperSerializer(serializers.Serializer[Any]):
    tag = serializers.CharField()
    tier = serializers.IntegerField()
    direction = WordField(Direction)


class RoadSheetSerializer(serializers.Serializer[Any]):
    """A planning aid: local codes, the vehicle's plates, a scale and a qualified person decide."""

    load = serializers.CharField()
    truck = serializers.CharField()
    version = serializers.IntegerField()
    payload_g = serializers.IntegerField()
    load_g = serializers.IntegerField()
    gross_g = serializers.IntegerField()
    passes = serializers.BooleanField(help_text="Nothing is over a limit on the road.")
    over = OverLimitSerializer(many=True)
    moments = MomentLineSerializer(many=True)
    loading = MomentLineSerializer(many=True)
    by_tier = MomentLineSerializer(many=True)
    groups = GroupLineSerializer(many=True)
    centre = CentreLineSerializer(allow_null=True)
    advice = AdviceLineSerializer(many=True)
    mends = serializers.BooleanField(help_text="The advice ends all that is over a limit.")
    forces = TierForcesSerializer(many=True)
    strappings = StrappingSerializer(many=True)
    tippers = TipperSerializer(many=True)
    void_along_mm = serializers.IntegerField()
    void_across_mm = serializers.IntegerField()
    void_limit_mm = serializers.IntegerField()
    front_wall_g = serializers.IntegerField(help_text="What the wall in the nose must withstand.")
    strap_name = serializers.CharField(help_text="The weakest part of a strap.")
    strap_wll_g = serializers.IntegerField()
    constructive_g = serializers.IntegerField(help_text="7 lb per cubic foot of used space.")
    estimated_g = serializers.IntegerField(help_text="Pieces with typical sizes weigh so much.")
    cautions = serializers.ListField(child=WordField(Caution))
