"""What was found out about other orders and docks for a plan."""

from loading.models import DockStudy, LoadPlan


def dock_study_latest(*, plan: LoadPlan) -> DockStudy | None:
    """The newest that is answered."""
    return DockStudy.objects.filter(plan=plan, status=DockStudy.Status.DONE).first()
