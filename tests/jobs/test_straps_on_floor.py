"""The loader reads what to strap where the tier is closed."""

from django.test import Client
from django.urls import reverse

from jobs.models import CrewMember, Job
from loading.holding_words import straps_said
from loading.selectors.straps import tier_straps


def test_a_tier_is_strapped_where_the_road_asks_for_it_and_not_else(
    client: Client, accepted: Job, crew: dict[str, CrewMember]
) -> None:
    assert accepted.plan is not None
    straps = tier_straps(plan=accepted.plan)
    tiers = {place["tier"] for place in accepted.plan.document["placements"]}
    assert max(tiers) in straps
    client.force_login(crew["lou"].user)
    for tier in tiers:
        page = client.get(reverse("jobs:loader", args=[accepted.pk]), {"tier": tier})
        text = page.content.decode()
        if tier in straps:
            for said in straps_said(straps[tier], "imperial"):
                assert said in text
        else:
            assert f"Behind tier {tier}" not in text
