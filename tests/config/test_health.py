"""The health address tells whether the servers behind this process answer."""

import pytest
from django.test import Client


@pytest.mark.django_db
def test_both_servers_answer(client: Client) -> None:
    answer = client.get("/health/")

    assert answer.status_code == 200
    assert answer.json() == {"database": "ok", "broker": "ok"}
