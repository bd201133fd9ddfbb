"""What browser tests wait for and press."""

from playwright.sync_api import Page, expect

from inventory.models import User
from jobs.models import CrewMember, Job
from jobs.services import crew_member_put, job_accept_plan
from tests.jobs import stage


def set_up() -> tuple[Job, dict[str, CrewMember], User]:
    """The small load, accepted today's way, its crew, and Dana the dispatcher."""
    branch = stage.make_branch()
    load = stage.make_load(branch)
    job = job_accept_plan(
        job=stage.make_job(load), plan=stage.store_plan(load), by=None, now=stage.NOW
    )
    crew = stage.make_crew(job)
    return job, crew, stage.make_person(branch, "dana", "dispatcher")


def all_sent(page: Page) -> None:
    """Return when nothing waits in the page's outbox."""
    kept(page, 0)


def kept(page: Page, count: int) -> None:
    """Return when so many events lie in the page's outbox."""
    expect(page.locator("body")).to_have_attribute("data-unsent", str(count))


def is_live(page: Page) -> None:
    """Return when the page's stream is open: what comes now is heard."""
    page.wait_for_function("() => Live.isOpen()")


__all__ = ["all_sent", "crew_member_put", "expect", "is_live", "kept", "set_up"]
