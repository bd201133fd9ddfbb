"""Papers of a plan as PDF, in the language that is active, each from one stored plan."""

from collections.abc import Callable, Mapping

from loading.models import LoadPlan
from loading.papers.load_summary import load_summary_pdf
from loading.papers.pad_slip import pad_slip_pdf
from loading.papers.paper import PaperForm
from loading.papers.pull_sheet import pull_sheet_pdf
from loading.papers.road_sheet import road_sheet_pdf
from loading.papers.tier_sheets import tier_sheets_pdf
from loading.papers.unload_list import check_off_pdf, unload_list_pdf

PLAN_PAPERS: Mapping[str, Callable[[LoadPlan, PaperForm], bytes]] = {
    "pull-sheet": pull_sheet_pdf,
    "tier-sheets": tier_sheets_pdf,
    "load-summary": load_summary_pdf,
    "unload-list": unload_list_pdf,
    "check-off": check_off_pdf,
    "pad-slip": pad_slip_pdf,
    "road-sheet": road_sheet_pdf,
}

__all__ = ["PLAN_PAPERS", "PaperForm"]
