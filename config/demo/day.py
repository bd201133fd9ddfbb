"""The invented day: stored, planned, printed, handed to the helpers."""

import os
from datetime import timedelta

from django.core.management import call_command
from django.utils import timezone
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from config.demo import papers
from config.demo.certificate import TlsFiles
from config.demo.errors import PlanFailedError
from config.demo.site import Site
from jobs.models import Assignment, CrewMember, Job
from jobs.services import job_accept_plan, job_plan, pairing_create
from loading.models import LoadPlan
from loading.planner.ordering import SearchProgress
from loading.services import plan_run_execute
from seed_fixtures.scenario import PASSWORD, scenario_load

SEED = 1
SHIFT = timedelta(hours=12)


def prepared(console: Console) -> list[Job]:
    """Make the tables and store the scenario."""
    with console.status("Making the tables"):
        call_command("migrate", verbosity=0)
    with console.status("Storing the warehouse and its day"):
        jobs = scenario_load(now=timezone.now())
    for job in jobs:
        load = job.load
        console.print(
            f"{job.load.reference}: shipment {load.release.shipment.reference} onto "
            f"{load.truck.name} at {load.dock.name}"
        )
    return jobs


def compiled(console: Console) -> None:
    """Compile the planner, or load it: before there are workers, which would each compile it."""
    from loading.planner.search import warm

    console.print("Compiling the planner; about three minutes, once for each version of it")
    with console.status("Compiling"):
        warm()


def planned(jobs: list[Job], *, seconds: float, console: Console) -> None:
    """Plan each job, print its papers and accept the plan."""
    for job in jobs:
        plan = _plan(job, seconds=seconds, console=console)
        papers.print_papers(plan, console)
        job_accept_plan(job=job, plan=plan, by=None, now=timezone.now())


def _plan(job: Job, *, seconds: float, console: Console) -> LoadPlan:
    run = job_plan(job=job, seed=SEED, budget_s=seconds, send=False)
    told = "{task.fields[loaded]} of {task.fields[pieces]} pieces, space use {task.fields[use]:.2f}"
    columns = (
        TextColumn("Planning {task.description}"),
        BarColumn(),
        TextColumn(told),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console) as progress:
        bar = progress.add_task(job.load.reference, total=1.0, loaded=0, pieces=0, use=0.0)

        def show(news: SearchProgress) -> None:
            progress.update(
                bar,
                completed=news.share,
                loaded=news.loaded,
                pieces=news.pieces,
                use=news.space_use,
            )

        plan = plan_run_execute(
            run_id=run.id,
            worker=f"demo/{os.getpid()}",
            now=timezone.now(),
            on_progress=show,
            workers=os.cpu_count() or 1,
        )
    if plan is None:
        run.refresh_from_db()
        raise PlanFailedError(job.load.reference, run.status, run.problem)
    return plan


def all_have_work(jobs: list[Job]) -> bool:
    """Whether the Celery worker has handed out the first tasks of every job."""
    return all(Assignment.objects.filter(task__job=job).exists() for job in jobs)


def invite(jobs: list[Job], site: Site, tls: TlsFiles | None, console: Console) -> None:
    """Say where the pages are, how to sign in, and which link makes which window whose."""
    home = site.home
    console.print()
    console.print("[bold]Four people in four windows of one browser[/bold] (each link works once):")
    for member in _one_of_each_part(jobs[0]):
        _, code = pairing_create(member=member, by=None, now=timezone.now(), valid=SHIFT)
        name = f"{member.user.first_name}, {member.get_part_display()}"
        console.print(f"  {name:<16} {home}/pair/{code}/", soft_wrap=True)
    console.print(f"  {'Dana, dispatcher':<16} {home}/   (signs in as below)")
    if tls is not None:
        console.print(f"Phones trust this demo by {tls.authority}: see README.md, On phones")
    console.print(f"[bold]Tierwright is at {home}/[/bold]   (Ctrl-C ends everything)")
    console.print(f"The API is at {home}/api/, its schema at {home}/api/schema/")
    console.print("Sign in as dana (dispatcher), lou or ines (loaders), walt or wren (warehouse),")
    console.print(f"abe, bea, cy, dov, eve or finn (helpers); password: {PASSWORD}")


def _one_of_each_part(job: Job) -> list[CrewMember]:
    """A loader, one of the warehouse, a helper."""
    first: dict[str, CrewMember] = {}
    for member in job.crew.select_related("user", "job"):
        first.setdefault(member.part, member)
    return list(first.values())
