"""What was found out about other orders and docks for a plan."""

from loading.models import DockStudy, LoadPlan


def dock_study_latest(*, plan: LoadPlan) -> DockStudy | None:
    """The newest that is answered."""
    return plan.dock_studies.filter(status=DockStudy.Status.DONE).first()
