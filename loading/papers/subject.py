"""What the head of every paper of a plan says: load, plan version, truck."""

from django.utils.translation import gettext as _

from loading.models import LoadPlan


def plan_subject(plan: LoadPlan) -> str:
    said = {
        "load": plan.load.reference,
        "version": plan.version,
        "truck": plan.load.truck.name,
    }
    return _("%(load)s, plan %(version)s, %(truck)s") % said
