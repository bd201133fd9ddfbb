"""The pull sheet and the tier sheets of a plan, in a terminal."""

from rich.console import Console
from rich.table import Table

from jobs.models import Assignment, Job
from loading.measures import IMPERIAL, MM_PER_INCH, length, weight
from loading.models import LoadPlan
from loading.selectors import PullLine, TierLine, VaultPlace, pull_sheet, tier_sheets


def print_papers(plan: LoadPlan, console: Console) -> None:
    """What warehouse and loader work from."""
    figures = plan.figures
    console.print(
        f"\n[bold]{plan.load.reference}, plan {plan.version}[/bold]: {figures['loaded']} pieces in "
        f"{figures['tiers']} tiers, {figures['left_off']} left off, "
        f"{length(figures['length_mm'], IMPERIAL)} of truck, space use {figures['space_use']:.2f}"
    )
    console.print(_pull_table(plan))
    for table in _tier_tables(plan):
        console.print(table)


def _pull_table(plan: LoadPlan) -> Table:
    sheet = pull_sheet(plan=plan)
    table = Table(title=f"Pull sheet, {sheet.truck}", title_justify="left")
    for heading in ("#", "do", "what", "from", "to", "door side first"):
        table.add_column(heading, justify="right" if heading == "#" else "left")
    for line in sheet.lines:
        table.add_row(
            str(line.number), _done_word(line), *_what(line), _contents(line), style=_style(line)
        )
    return table


def _done_word(line: PullLine) -> str:
    return f"move for {line.moved_for}" if line.moved_for else line.do


def _what(line: PullLine) -> tuple[str, str, str]:
    what = line.vault or f"{line.tag} {line.name}"
    to = _place(line.to) or ("dock" if line.do in ("pull", "fetch") else "")
    return what, _place(line.at), to


def _place(place: VaultPlace | None) -> str:
    return f"{place.lane} depth {place.depth} level {place.level}" if place else ""


def _contents(line: PullLine) -> str:
    tags = [piece.tag for piece in line.contents]
    return " ".join(tags[:6]) + (f" and {len(tags) - 6} more" if len(tags) > 6 else "")


def _style(line: PullLine) -> str:
    return "bold" if line.do == "pull" else ""


def _tier_tables(plan: LoadPlan) -> list[Table]:
    tables = []
    for sheet in tier_sheets(plan=plan):
        table = Table(
            title=f"Tier {sheet.tier} of {sheet.tiers}: {length(sheet.from_mm, IMPERIAL)} to "
            f"{length(sheet.to_mm, IMPERIAL)} from the nose, {weight(sheet.weight_g, IMPERIAL)}",
            title_justify="left",
        )
        for heading in ("#", "tag", "piece", "level", "stands", "size", "from left", "on"):
            table.add_column(heading, justify="right" if heading == "#" else "left")
        for line in sheet.lines:
            table.add_row(*_tier_row(line))
        tables.append(table)
    return tables


def _tier_row(line: TierLine) -> tuple[str, ...]:
    under = ["deck"] * line.on_deck + list(line.rests_on)
    if line.inside:
        under = [f"inside {line.inside}"]
    return (
        str(line.number),
        line.key,
        f"{line.name} ({line.pads})" if line.kind == "fill" else line.name,
        line.level or "",
        (line.posture or "").replace("_", " "),
        _inches(line.size_mm),
        length(line.left_mm, IMPERIAL),
        " ".join(under),
    )


def _inches(size_mm: tuple[int, int, int]) -> str:
    """Whole inches, as on a list: one short cell."""
    return " x ".join(f"{length_mm / MM_PER_INCH:.0f}" for length_mm in size_mm) + " in"


def print_assignments(jobs: list[Job], console: Console) -> None:
    """Who does what now."""
    table = Table(title="First tasks, handed out by the worker", title_justify="left")
    for heading in ("load", "who", "part", "task"):
        table.add_column(heading)
    given = Assignment.objects.filter(task__job__in=jobs, ended_at__isnull=True)
    given = given.select_related("task__job__load", "member__user")
    for one in given.order_by("task__job__load__reference", "task__sequence"):
        task, user = one.task, one.member.user
        told = f"{task.get_kind_display()} {task.vault or task.tag}".strip()
        table.add_row(task.job.load.reference, user.get_full_name(), one.member.part, told)
    console.print(table)
