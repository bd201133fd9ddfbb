"""What goes wrong is told in the reader's language, on pages and over the API."""

import pytest
from django.test import Client
from django.utils import translation

from inventory.errors import ImportFault, PlaceRefusedError, SignatureRefusedError
from inventory.lists import words
from jobs.errors import TagsOpen
from loading.errors import NoPlanYet


@pytest.mark.parametrize(
    ("error", "english", "spanish"),
    [
        (
            lambda: NoPlanYet("L-1", 2),
            "load L-1 has no plan of version 2",
            "la carga L-1 no tiene plan de la versión 2",
        ),
        (
            lambda: TagsOpen(("001", "002")),
            "nobody has said what became of 2 pieces: 001, 002",
            "nadie ha dicho qué fue de 2 piezas: 001, 002",
        ),
        (lambda: PlaceRefusedError("V-1", "x"), "vault V-1: x", "cajón V-1: x"),
        (
            lambda: SignatureRefusedError("received", "strokes"),
            "signature of who received: the drawing is missing or wrong",
            "firma de quien recibió: falta el dibujo o está mal",
        ),
        (
            lambda: SignatureRefusedError("", "reason"),
            "signature: the reason is missing or wrong",
            "firma: falta el motivo o está mal",
        ),
        (
            lambda: ImportFault(3, "tag", "x"),
            "row 3, column tag: x",
            "fila 3, columna tag: x",
        ),
    ],
)
def test_a_typed_error_speaks_the_language_in_force(error, english, spanish):
    assert str(error()) == english
    with translation.override("es"):
        assert str(error()) == spanish


def test_a_value_of_a_list_is_refused_in_the_readers_language():
    with translation.override("es"), pytest.raises(ValueError, match="se espera un número, no 'x'"):
        words.length_mm("x", unit="in")


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "row 2, column weight_lb: want a number, not 'heavy'"),
        ("es", "fila 2, columna weight_lb: se espera un número, no 'heavy'"),
    ],
)
def test_an_import_over_the_api_is_refused_in_the_persons_language(db, language, said):
    from inventory.models import Branch, Role, User

    branch = Branch.objects.create(code="north", name="North")
    user = User.objects.create_user("olga", branch=branch, language=language)
    Role.objects.create(user=user, branch=branch, kind="office")
    client = Client()
    client.force_login(user)
    answer = client.post(
        "/api/imports/?branch=north&shipment=S&lot=1&color=red",
        b"tag,name,weight_lb\n001,dresser,heavy\n",
        content_type="text/csv",
    )
    assert (answer.status_code, answer.json()["detail"]) == (422, said)
