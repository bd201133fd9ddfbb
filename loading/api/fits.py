"""The API of the two questions at the face of a load."""

from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from loading.api.scope import branches_read, one_of
from loading.models import Load
from loading.planner.fitting import Reported
from loading.planner.fitting.gaps import SIDES
from loading.planner.plan import POSTURES
from loading.selectors.fits import Face, GapAsked, face_fits, face_place, load_face

LENGTH_MAX_MM = 100_000
MOST_MAX = 50


def _length(**options: Any) -> serializers.IntegerField:
    return serializers.IntegerField(min_value=0, max_value=LENGTH_MAX_MM, **options)


class FaceSerializer(serializers.Serializer[Any]):
    """Which plan, and what has been loaded of it."""

    version = serializers.IntegerField(
        min_value=1, allow_null=True, default=None, help_text="Of the plan; null: the latest."
    )
    progress = serializers.DictField(
        allow_null=True,
        default=None,
        help_text="What has been done, in the form of the planning contract.",
    )
    steps_done = serializers.IntegerField(
        min_value=0,
        max_value=100_000,
        allow_null=True,
        default=None,
        help_text="Instead of a progress: so many of the plan's steps are done.",
    )


class GapSerializer(serializers.Serializer[Any]):
    """A gap by its measures, by a point of the tier's picture, or beside a piece."""

    depth_mm = serializers.IntegerField(min_value=1, max_value=LENGTH_MAX_MM, required=False)
    width_mm = serializers.IntegerField(min_value=1, max_value=LENGTH_MAX_MM, required=False)
    height_mm = serializers.IntegerField(min_value=1, max_value=LENGTH_MAX_MM, required=False)
    tier = serializers.IntegerField(min_value=1, max_value=100_000, required=False)
    y_mm = _length(required=False, help_text="Right of the left wall, seen from the doors.")
    z_mm = _length(required=False, help_text="Above the deck.")
    beside = serializers.CharField(max_length=40, required=False, help_text="A tag.")
    side = serializers.ChoiceField(choices=SIDES, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        measures = [attrs.get(key) for key in ("depth_mm", "width_mm", "height_mm")]
        for keys in (("depth_mm", "width_mm", "height_mm"), ("y_mm", "z_mm"), ("beside", "side")):
            given = [key for key in keys if key in attrs]
            if given and len(given) < len(keys):
                missing = next(key for key in keys if key not in attrs)
                raise serializers.ValidationError(
                    {missing: [_("goes with %(given)s") % {"given": given[0]}]}
                )
        if not any(measures) and "y_mm" not in attrs and "beside" not in attrs:
            raise serializers.ValidationError(_("a gap needs its measures, a point, or a piece"))
        return attrs


class FitsWishSerializer(FaceSerializer):
    gap = GapSerializer()
    most = serializers.IntegerField(min_value=1, max_value=MOST_MAX, default=12)


class ObjectionSerializer(serializers.Serializer[Any]):
    rule = serializers.CharField()
    message = serializers.CharField()


class WhereaboutsSerializer(serializers.Serializer[Any]):
    place = serializers.ChoiceField(
        choices=["floor", "open_vault", "loose", "vault"], source="place.value"
    )
    vault = serializers.CharField(allow_null=True)
    pieces_before = serializers.IntegerField(help_text="0: it is the next one out of its vault.")


class PlaySerializer(serializers.Serializer[Any]):
    left_mm = serializers.IntegerField()
    right_mm = serializers.IntegerField()
    nose_mm = serializers.IntegerField()
    above_mm = serializers.IntegerField()


class FitSerializer(serializers.Serializer[Any]):
    tag = serializers.CharField()
    name = serializers.SerializerMethodField()
    posture = serializers.CharField()
    size_mm = serializers.ListField(child=serializers.IntegerField(), help_text="As it would ride.")
    at_mm = serializers.ListField(child=serializers.IntegerField(), allow_null=True)
    level = serializers.CharField(allow_null=True)
    filled = serializers.IntegerField(help_text="Of the gap's volume, in thousandths.")
    play = PlaySerializer()
    where = WhereaboutsSerializer()
    may_go = serializers.BooleanField()
    objections = ObjectionSerializer(many=True)

    def get_name(self, fit: Any) -> str:
        face: Face = self.context["face"]
        return face.request.item(fit.tag).name


class RollsSerializer(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    size_mm = serializers.ListField(child=serializers.IntegerField())
    pads = serializers.IntegerField()
    holds = serializers.BooleanField(help_text="Whether the rolls end the play from side to side.")


class FoundGapSerializer(serializers.Serializer[Any]):
    tier = serializers.IntegerField()
    size_mm = serializers.ListField(child=serializers.IntegerField())
    at_mm = serializers.ListField(
        child=serializers.IntegerField(),
        allow_null=True,
        help_text="null: no such gap is known, so that only sizes and the dock are judged.",
    )
    inside = serializers.CharField(allow_null=True)


class FitsSerializer(serializers.Serializer[Any]):
    gap = FoundGapSerializer()
    may_go = FitSerializer(many=True)
    may_not = FitSerializer(many=True)
    rolls = RollsSerializer()


class PlaceWishSerializer(FaceSerializer):
    """A piece that somebody says stands somewhere: `y_mm` and `z_mm` are the middle of its face."""

    tag = serializers.CharField(max_length=40)
    tier = serializers.IntegerField(min_value=1, max_value=100_000)
    posture = serializers.ChoiceField(choices=POSTURES)
    y_mm = _length()
    z_mm = _length()
    x_mm = _length(allow_null=True, default=None, help_text="Of its nose side, if it was said.")
    across = serializers.BooleanField(
        allow_null=True, default=None, help_text="Whether its longer floor side lies across."
    )


class PlaceSerializer(serializers.Serializer[Any]):
    at_mm = serializers.ListField(child=serializers.IntegerField(), source="placement.at_mm")
    size_mm = serializers.ListField(child=serializers.IntegerField(), source="placement.size_mm")
    tier = serializers.IntegerField(source="placement.tier")
    level = serializers.CharField(source="placement.level")
    posture = serializers.CharField(source="placement.posture")
    moved_mm = serializers.IntegerField(help_text="How far that is from what was reported.")
    estimated = serializers.BooleanField()
    against = ObjectionSerializer(many=True)


class LoadFitsView(APIView):
    """What fits here?"""

    @extend_schema(request=FitsWishSerializer, responses=FitsSerializer)
    def post(self, request: Request, pk: int) -> Response:
        """The pieces that fill a gap best, those that may not go with the reason, and the pads
        that would do otherwise. Nothing is changed."""
        wish = _read(FitsWishSerializer, request)
        face = _face(request, pk, wish)
        fits = face_fits(face=face, gap=gap_asked(wish["gap"]), most=wish["most"])
        return Response(FitsSerializer(fits, context={"face": face}).data)


class LoadPlaceView(APIView):
    """Where does this really stand?"""

    @extend_schema(request=PlaceWishSerializer, responses=PlaceSerializer)
    def post(self, request: Request, pk: int) -> Response:
        """The nearest place to the reported one that breaks no rule. Nothing is changed."""
        wish = _read(PlaceWishSerializer, request)
        face = _face(request, pk, wish)
        keys = ("tag", "posture", "tier", "y_mm", "z_mm", "x_mm", "across")
        if not face.request.has_item(wish["tag"]):
            raise serializers.ValidationError(
                {"tag": [_("there is no piece %(wish)s") % {"wish": wish["tag"]}]}
            )
        snapped = face_place(face=face, reported=Reported(**{key: wish[key] for key in keys}))
        if snapped is None:
            message = "it can stand nowhere in the truck in that posture"
            raise serializers.ValidationError({"posture": [message]})
        return Response(PlaceSerializer(snapped).data)


def _read(form: type[FaceSerializer], request: Request) -> dict[str, Any]:
    read = form(data=request.data)
    read.is_valid(raise_exception=True)
    return dict(read.validated_data)


def _face(request: Request, pk: int, wish: dict[str, Any]) -> Face:
    load = one_of(Load.objects.filter(branch__in=branches_read(request)), "load", pk=pk)
    return load_face(
        load=load,
        version=wish["version"],
        progress=wish["progress"],
        steps_done=wish["steps_done"],
    )


def gap_asked(gap: dict[str, Any]) -> GapAsked:
    """A gap as `GapSerializer` has read it."""
    measures = ("depth_mm", "width_mm", "height_mm")
    return GapAsked(
        size_mm=(gap["depth_mm"], gap["width_mm"], gap["height_mm"])
        if all(key in gap for key in measures)
        else None,
        point_mm=(gap["y_mm"], gap["z_mm"]) if "y_mm" in gap else None,
        tier=gap.get("tier"),
        beside=(gap["beside"], gap["side"]) if "beside" in gap else None,
    )
