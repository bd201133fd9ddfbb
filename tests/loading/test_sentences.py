"""The planner's English sentences, as each reader sees them."""

import ast
from pathlib import Path

import pytest
from django.utils import translation

import loading.planner as planner
import loading.planner.fitting.choosing as choosing
import loading.planner.ordering.price as price
import loading.planner.search as search
import loading.planner.search.reasons as reasons
from config.languages.messages import catalog_read, of_python
from loading.errors import DocumentInvalid
from loading.planner.pulls.errors import YardBlocked
from loading.sentences import planner_said
from loading.services.contract import request_parsed

TIGHT = "R14 tight: 1345 mm of length are left, but nothing there would hold it from both sides"
BLOCKED = YardBlocked("V1", "A", ("X9", "X8"), (("B", 1),), aisle_places=1)


@pytest.mark.parametrize(
    ("sentence", "units", "said"),
    [
        (TIGHT, "imperial", TIGHT.replace("1345 mm", "4 ft 5 in")),
        (TIGHT, "metric", TIGHT.replace("1345 mm", "134 cm")),
        (
            "R12 weight: weighs 45.4 kg, 4.5 kg of payload are left",
            "imperial",
            "R12 weight: weighs 100 lb, 10 lb of payload are left",
        ),
        (
            "R2 posture: 254 by 508 by 762 mm as loaded passes the door of 2000 by 2200 mm in no"
            " posture allowed",
            "metric",
            "R2 posture: 25 cm \u00d7 51 cm \u00d7 76 cm as loaded passes the door of"
            " 200 cm \u00d7 220 cm in no"
            " posture allowed",
        ),
        ("R10 dock: takes 4.0 m2 on a floor of 3.0", "imperial", None),
        (
            "3 pieces wait 12 minutes or longer on the floor; taking V1 first would save 0.61 m of"
            " truck and save 2 moves",
            "imperial",
            "3 pieces wait 12 minutes or longer on the floor; taking V1 first would save 2 ft 0 in"
            " of truck and save 2 moves",
        ),
        (
            "the goods take 12.0 m3, the truck has 10.0 m3",
            "imperial",
            "the goods take 424 cu ft, the truck has 353 cu ft",
        ),
    ],
)
def test_lengths_and_weights_are_the_readers(sentence, units, said):
    said = said or "R10 dock: takes 43 sq ft on a floor of 32 sq ft"
    assert planner_said(sentence, units) == said


def test_in_spanish_as_well():
    with translation.override("es"):
        assert planner_said(TIGHT, "metric") == (
            "R14 firmeza: quedan 134 cm de largo, pero nada la sujetaría allí por ambos lados"
        )
        said = planner_said(f"R10 dock: vault V1 cannot be pulled, {BLOCKED}")
    assert said.startswith("R10 muelle: no se puede sacar el cajón V1, no se llega al cajón V1")
    assert "cannot" not in said
    assert "aisle" not in said


@pytest.mark.parametrize(
    "written", ["left at the door; wet and dirty", "salt and pepper", "", "100 % sure"]
)
def test_what_people_write_stays_as_it_is(written):
    with translation.override("es"):
        assert planner_said(written, "imperial") == written


def sentences_of(module, *functions):
    """Every sentence that these functions write, each gap filled with a number."""
    tree = ast.parse(Path(module.__file__).read_text())
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name in functions:
            yield from filter(None, map(_filled, _texts(node)))


def _texts(function):
    inner = {
        id(part)
        for node in ast.walk(function)
        if isinstance(node, ast.JoinedStr)
        for part in ast.walk(node)
        if part is not node
    }
    for node in ast.walk(function):
        if isinstance(node, ast.JoinedStr | ast.Constant) and id(node) not in inner:
            yield node


def _filled(node):
    if isinstance(node, ast.Constant):
        text = node.value if isinstance(node.value, str) else ""
    else:
        text = "".join(
            part.value if isinstance(part, ast.Constant) else "7" for part in node.values
        )
    # Words of one sign or two that sentences are made of, docstrings, and words between gaps.
    return text if text.strip().count(" ") > 1 and not text.endswith(".") else ""


@pytest.mark.parametrize(
    ("module", "functions"),
    [
        (reasons, ("_reason",)),
        (search, ("_warnings",)),
        (choosing, ("ruled_out",)),
        (price, ("_gain",)),
    ],
)
def test_no_sentence_of_the_planner_is_unknown(module, functions):
    written = list(sentences_of(module, *functions))
    assert written
    with translation.override("es"):
        unknown = [
            text
            for text in written
            if planner_said(text.replace("pulled, 7", f"pulled, {BLOCKED}")) == text
        ]
    assert unknown == []


def test_faults_of_a_request_in_spanish() -> None:
    """Every gap is filled in the same language, also where it holds a part of a sentence."""
    lanes = {"depth": 2, "levels": 1, "names": ["A", "A"]}
    with translation.override("es"), pytest.raises(DocumentInvalid) as caught:
        request_parsed({"form": "load-request/1", "pad_mm": ["x"], "lanes": lanes, "items": "none"})
    said = {fault.pointer: fault.message for fault in caught.value.faults}
    assert said["/pad_mm"] == "debe ser un número, no una lista de 1"
    assert said["/items"] == "debe ser una lista, no el texto “none”"
    assert said["/lanes/names/1"] == "la calle A se nombra dos veces"
    assert said["/truck"] == "falta"


def test_every_form_of_a_fault_is_in_the_catalogue_of_texts() -> None:
    """Faults are written by `said` with a literal form, where the search for texts finds them."""
    root = Path(planner.__file__).parent
    parts = ("reading.py", "plan.py", "request/parse.py", "request/consistency.py")
    forms = {
        message.text for part in parts for message in of_python((root / part).read_text(), part)
    }
    assert {"is missing", "there is no item %(tag)s"} <= forms
    assert not forms - {message.id for message in catalog_read()}
