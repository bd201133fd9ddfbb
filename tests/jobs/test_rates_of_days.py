"""A branch's rates are corrected by each job that is closed, once, and by kind, not by person."""

from datetime import timedelta

from inventory.models import User
from jobs.models import BranchRates, CrewMember, Job
from jobs.scheduling.rates import DEFAULT_RATES
from jobs.selectors.rates import branch_rates
from jobs.services import events_record, job_close, tasks_assign
from tests.jobs.reports import report
from tests.jobs.stage import NOW, account_for_all


def test_closing_a_job_corrects_the_rates_once(
    accepted: Job, crew: dict[str, CrewMember], dispatcher: User
) -> None:
    """Wim took 20 minutes to move X9; the guess says less."""
    tasks_assign(job_id=accepted.id, now=NOW)
    later = NOW + timedelta(minutes=20)
    told = [report("vault_moved", vault="X9", lane="L2")]
    events_record(job=accepted, events=told, actor=crew["wim"].user, now=later)
    account_for_all(accepted, dispatcher)
    for _ in range(2):
        job_close(job=accepted, now=later)
    guess = DEFAULT_RATES.rate("move", 1)
    rate = branch_rates(branch=accepted.branch).rate("move", 1)
    assert (guess.observations, rate.observations) == (0, 1)
    assert guess.base_ms < rate.base_ms < 20 * 60 * 1000
    assert branch_rates(branch=accepted.branch).rate("load", 1) == DEFAULT_RATES.rate("load", 1)


def test_a_job_on_which_nothing_was_done_changes_no_rate(accepted: Job, dispatcher: User) -> None:
    account_for_all(accepted, dispatcher)
    job_close(job=accepted, now=NOW)
    assert not BranchRates.objects.exists()
