"""Choosing one of the orders of the pulls that were compared, or none any more."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from jobs.errors import OrderBlocked, OrderOvertaken
from jobs.forms import OrderForm
from jobs.selectors.access import job_demanded
from jobs.services import job_order_choose
from jobs.views.asking import signed_in
from loading.errors import DocumentInvalid

BUDGET_S = 10


@require_POST
@login_required
def choose(request: HttpRequest, job_id: UUID) -> HttpResponse:
    """Plan with an order; the job's page shows how far that is."""
    found = job_demanded(user=request.user, job_id=job_id, action="job.write")
    form = OrderForm(request.POST)
    if not form.is_valid():
        return HttpResponse(form.errors.as_text(), status=422, content_type="text/plain")
    codes = form.cleaned_data["codes"]
    try:
        job_order_choose(
            job=found,
            codes=codes,
            choice_id=form.cleaned_data["uuid"],
            budget_s=BUDGET_S,
            by=signed_in(request),
            now=timezone.now(),
        )
    except (OrderBlocked, OrderOvertaken, DocumentInvalid) as error:
        messages.error(request, str(error))
    else:
        messages.success(
            request,
            _("The planner may choose the order again. A plan is being made; accept it below.")
            if codes is None
            else _("A plan with this order of the pulls is being made; accept it below."),
        )
    return redirect("jobs:job", job_id=job_id)
