"""What may not ride is marked on the pull sheet, at the vault that it is in."""

from loading.services import plan_run_create, plan_run_execute
from tests.loading.scenario import NOW, HandSearch


def test_the_pull_sheet_marks_what_may_not_ride(client, helper, load):
    load.release.shipment.items.filter(tags__number="001").update(name="gasoline carton")
    run = plan_run_create(load=load, seed=1, budget_s=5, send=False)
    plan = plan_run_execute(run_id=run.id, worker="one", now=NOW, search=HandSearch())
    client.force_login(helper)
    told = client.get(f"/loading/plans/{plan.pk}/").content.decode()
    assert told.count("look: fuel") == 1
    assert "Set it aside outdoors" in told
