"""The wire forms of jobs, tasks, crews and events."""

from typing import Any

from rest_framework import serializers

from jobs.models import CrewMember, Event, Job, Task
from jobs.services.events import CONFLICT, RECORDED, REFUSED, REPEATED

BUDGET_MAX_S = 600
SEED_MAX = 2**31 - 1
OFFSET_MAX_MS = 10 * 365 * 24 * 3600 * 1000


class JobSerializer(serializers.ModelSerializer[Job]):
    branch = serializers.SlugRelatedField[Any](slug_field="code", read_only=True)
    load = serializers.IntegerField(source="load_id", read_only=True)
    reference = serializers.CharField(source="load.reference", read_only=True)
    plan = serializers.IntegerField(source="plan_id", read_only=True, allow_null=True)
    has_tasks = serializers.SerializerMethodField(
        help_text="False while the shipment is held: an accepted plan then waits without tasks."
    )

    class Meta:
        model = Job
        fields = (
            "id",
            "branch",
            "load",
            "reference",
            "day",
            "window_start",
            "window_end",
            "status",
            "plan",
            "accepted_at",
            "has_tasks",
        )

    def get_has_tasks(self, job: Job) -> bool:
        return job.tasks_plan_id is not None


class JobWishSerializer(serializers.Serializer[Any]):
    id = serializers.UUIDField(help_text="Made by the client; the same one gives the same job.")
    load = serializers.IntegerField()
    day = serializers.DateField()
    window_start = serializers.DateTimeField()
    window_end = serializers.DateTimeField()


class PlanWishSerializer(serializers.Serializer[Any]):
    run = serializers.UUIDField(help_text="Made by the client; the same one gives the same run.")
    seed = serializers.IntegerField(min_value=0, max_value=SEED_MAX, default=1)
    budget_s = serializers.FloatField(min_value=0.1, max_value=BUDGET_MAX_S, default=10)


class AcceptSerializer(serializers.Serializer[Any]):
    plan = serializers.IntegerField(help_text="The plan's id, a version of this job's load.")


class CrewMemberSerializer(serializers.ModelSerializer[CrewMember]):
    id = serializers.IntegerField(read_only=True)
    user = serializers.CharField(source="user.username", help_text="The sign-in name.")

    class Meta:
        model = CrewMember
        fields = ("id", "user", "part", "comes_at", "leaves_at", "active")
        read_only_fields = ("active",)


class TaskSerializer(serializers.ModelSerializer[Task]):
    given_to = serializers.SerializerMethodField(help_text="Sign-in names.")

    class Meta:
        model = Task
        fields = (
            "id",
            "key",
            "sequence",
            "kind",
            "tier",
            "tag",
            "vault",
            "lane",
            "fill",
            "people",
            "weight_g",
            "needs_equipment",
            "needs",
            "status",
            "wanted_tier",
            "given_to",
        )

    def get_given_to(self, task: Task) -> list[str]:
        return [
            given.person.get_username()
            for given in task.assignments.all()
            if given.ended_at is None
        ]


class TaskCardSerializer(serializers.Serializer[Any]):
    """The task in somebody's hands, with the piece and its place."""

    job = serializers.UUIDField(source="job.id")
    task = TaskSerializer()
    others = serializers.SerializerMethodField(help_text="Sign-in names of who shares the task.")
    piece = serializers.SerializerMethodField()
    place = serializers.SerializerMethodField()
    lift = serializers.SerializerMethodField()

    def get_others(self, card: Any) -> list[str]:
        return [other.get_username() for other in card.others]

    def get_piece(self, card: Any) -> dict[str, Any] | None:
        piece = card.piece
        return piece and {
            "tag": piece.tag,
            "name": piece.name,
            "size_mm": piece.size_mm,
            "weight_g": piece.weight_g,
            "wrap": piece.wrap,
            "fragile": piece.fragile,
            "handling": piece.handling,
            "pads": piece.pads,
            "storage_pads": piece.storage_pads,
        }

    def get_place(self, card: Any) -> dict[str, Any] | None:
        placed = card.placement
        return placed and {
            "tier": placed.tier,
            "level": placed.level,
            "at_mm": placed.at_mm,
            "size_mm": placed.size_mm,
            "posture": placed.posture,
            "inside": placed.inside,
        }

    def get_lift(self, card: Any) -> dict[str, Any] | None:
        return card.lift and {
            "people": card.lift.people,
            "limit_g": card.lift.limit_g,
            "needs_equipment": card.lift.needs_equipment,
            "recommended_g": card.carry.limit_g,
            "index": card.carry.index,
            "too_much": card.carry.too_much,
            "caution": card.carry.caution,
        }


class NoticeSerializer(serializers.Serializer[Any]):
    at = serializers.DateTimeField()
    sentence = serializers.CharField(help_text="What changed, and why.")
    version = serializers.IntegerField(allow_null=True, help_text="The new plan's, if there is.")


class BatchSerializer(serializers.Serializer[Any]):
    """Events are judged one by one, so a bad one does not keep the others out."""

    device = serializers.UUIDField(allow_null=True, default=None)
    clock_offset_ms = serializers.IntegerField(
        min_value=-OFFSET_MAX_MS,
        max_value=OFFSET_MAX_MS,
        default=0,
        help_text="By how much the device's clock is ahead of the server's.",
    )
    events = serializers.ListField(
        child=serializers.JSONField(),
        help_text="At most 200: uuid, kind, version, happened_at (device's clock), payload.",
    )


class EventAnswerSerializer(serializers.Serializer[Any]):
    uuid = serializers.UUIDField(allow_null=True)
    answer = serializers.ChoiceField(choices=[RECORDED, REPEATED, CONFLICT, REFUSED])
    code = serializers.CharField()
    detail = serializers.CharField()
    sequence = serializers.IntegerField(allow_null=True)


class EventSerializer(serializers.ModelSerializer[Event]):
    actor = serializers.CharField(source="actor.username", allow_null=True, default=None)
    happened_at = serializers.DateTimeField(
        source="happened_by_our_clock", help_text="By the server's clock."
    )

    class Meta:
        model = Event
        fields = (
            "sequence",
            "uuid",
            "kind",
            "version",
            "payload",
            "actor",
            "device",
            "happened_at",
            "recorded_at",
            "outcome",
            "conflict",
        )
