"""How long work takes at a branch."""

from inventory.models import Branch
from jobs.models import BranchRates
from jobs.scheduling.rates import DEFAULT_RATES, WorkRates, parse_rates


def branch_rates(*, branch: Branch) -> WorkRates:
    """The branch's own rates, or our first guess, which says that nobody has measured it."""
    stored = BranchRates.objects.filter(branch=branch).first()
    return parse_rates(stored.document) if stored else DEFAULT_RATES
