"""Every text has Spanish, with the same gaps to fill; and each person reads their own language."""

from __future__ import annotations

import re

import pytest
from babel.messages.catalog import Catalog
from django.conf import settings
from django.test import Client
from django.utils import translation

from config.languages.compiling import compile_all
from config.languages.messages import (
    catalog_read,
    messages,
    of_python,
    of_template,
    untranslated,
)

GAP = re.compile(r"%\(\w+\)[a-z]|%[sd]|\{\w+\}|</?\w+>")


def test_every_text_has_spanish():
    spanish = catalog_read()
    missing = [
        f"{message.where}: {message.text}"
        for message in messages()
        if (known := spanish.get(message.text)) is None or not known.string
    ]
    assert missing == []
    assert untranslated(spanish) == []


def test_the_spanish_leaves_the_same_gaps():
    for message in catalog_read():
        if not message.id:
            continue
        one_or_both = (message.id,) if isinstance(message.id, str) else message.id
        said = (message.string,) if isinstance(message.string, str) else message.string
        wanted = set(GAP.findall(one_or_both[-1]))
        assert set(GAP.findall(said[-1])) == wanted, message.id
        assert set(GAP.findall(said[0])) <= wanted, message.id


def test_a_missing_form_counts_as_untranslated():
    catalog = Catalog(locale="es")
    catalog.add(("one pad", "%(n)s pads"), string=("una manta", ""))
    catalog.add("tier", string="")
    catalog.add("dock", string="muelle")
    assert untranslated(catalog) == ["('one pad', '%(n)s pads')", "tier"]


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ('_("tier")', [("tier", None)]),
        ('gettext_lazy("a " "b")', [("a b", None)]),
        ('ngettext("%s pad", "%s pads", n)', [("%s pad", "%s pads")]),
        ("_(name)", []),
        ('say("tier")', []),
    ],
)
def test_texts_of_python_are_found(code, found):
    assert [(m.text, m.plural) for m in of_python(code, "x.py")] == found


@pytest.mark.parametrize(
    ("code", "found"),
    [
        ('{% trans "tier" %}', [("tier", None)]),
        ("{% trans 'it\"s' %}", [('it"s', None)]),
        (
            "{% blocktrans with t=a.b %}tier {{ t }} (of 9){% endblocktrans %}",
            [("tier %(t)s (of 9)", None)],
        ),
        (
            "{% blocktrans count n=n %}one{% plural %}{{ n }} pads{% endblocktrans %}",
            [("one", "%(n)s pads")],
        ),
        ('<p title="{% trans "a" %}">{{ _("b") }}</p>', [("a", None), ("b", None)]),
    ],
)
def test_texts_of_templates_are_found(code, found):
    assert [(m.text, m.plural) for m in of_template(code, "x.html")] == found


@pytest.fixture
def compiled():
    compile_all(settings.BASE_DIR / "locale")


def test_a_person_reads_their_own_language(db, compiled):
    from inventory.models import User

    spanish = User.objects.create_user("ana", language="es")
    client = Client(headers={"accept-language": "en"})
    client.force_login(spanish)
    answer = client.get("/inventory/me/")
    assert answer["Content-Language"] == "es"
    assert "Idioma y unidades" in answer.content.decode()
    assert '<html lang="es">' in answer.content.decode()
    spanish.language = "en"
    spanish.save()
    assert "Language and units" in client.get("/inventory/me/").content.decode()


def test_who_is_not_signed_in_reads_the_browsers_language(db, compiled):
    shown = Client(headers={"accept-language": "es-MX,es;q=0.9"}).get("/sign-in/")
    assert '<html lang="es">' in shown.content.decode()
    other = Client(headers={"accept-language": "fr"}).get("/sign-in/")
    assert '<html lang="en">' in other.content.decode()


def test_pictures_and_papers_speak_spanish(compiled):
    from loading.papers import words

    with translation.override("es"):
        assert words.posture("on_side") == "de costado"
