"""Signed papers: frozen with their hash, corrected only by a new version, arriving twice."""

import hashlib
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction

from inventory.errors import (
    PaperCorrectedMeanwhileError,
    SignatureRefusedError,
    UuidReusedError,
)
from inventory.models import SignedPaper, User
from inventory.selectors import paper_is_as_signed, signed_papers
from inventory.services import PaperSubject, paper_sign, signature_read

FIRST, SECOND = UUID(int=1), UUID(int=2)
STROKES = [[[0, 0], [10, 5]], [[3, 3]]]


@pytest.fixture
def clerk(branch):
    return User.objects.create_user(username="clerk", branch=branch)


@pytest.fixture
def sign(branch, clerk, now):
    def sign(uuid=FIRST, subject="job 1", **changed):
        told = {
            "signatures": [signature_read(part="received", name="R. Doe", strokes=STROKES)],
            "render": lambda version: f"PDF {version}".encode(),
            "by": clerk,
            "now": now,
        }
        about = PaperSubject(branch, "release-record", subject, {"pieces": ["001"]})
        return paper_sign(uuid=uuid, about=about, **told | changed)

    return sign


def test_a_signed_paper_keeps_its_content_its_hash_and_who_signed(sign):
    paper = sign()
    assert (paper.version, bytes(paper.content)) == (1, b"PDF 1")
    assert paper.sha256 == hashlib.sha256(b"PDF 1").hexdigest()
    assert paper.signatures == [{"part": "received", "name": "R. Doe", "strokes": STROKES}]
    assert paper_is_as_signed(paper=paper)


def test_signing_twice_signs_once(sign):
    assert sign().pk == sign().pk
    assert SignedPaper.objects.count() == 1


def test_the_same_key_for_another_paper_is_refused(sign):
    sign()
    with pytest.raises(UuidReusedError):
        sign(subject="job 2")


def test_a_correction_is_a_new_version_and_the_former_stays(sign):
    sign()
    second = sign(SECOND, former=1, reason="a scratch was forgotten")
    assert (second.version, bytes(second.content)) == (2, b"PDF 2")
    versions = signed_papers(kind="release-record", subject="job 1")
    assert [paper.version for paper in versions] == [2, 1]


def test_a_correction_of_a_version_that_is_not_the_newest_is_refused(sign):
    sign()
    for former, reason in ((0, ""), (2, "why")):
        with pytest.raises(PaperCorrectedMeanwhileError):
            sign(SECOND, former=former, reason=reason)
    assert SignedPaper.objects.count() == 1


def test_a_correction_needs_a_reason_and_a_first_version_has_none(sign):
    with pytest.raises(SignatureRefusedError):
        sign(reason="why")
    sign()
    with pytest.raises(SignatureRefusedError):
        sign(SECOND, former=1, reason="  ")


def test_nothing_is_frozen_that_nobody_signed(sign):
    with pytest.raises(SignatureRefusedError):
        sign(signatures=[])
    assert not SignedPaper.objects.exists()


@pytest.mark.parametrize("change", ["update", "delete"])
def test_the_database_refuses_to_change_a_signed_paper(sign, change):
    paper = sign()
    rows = SignedPaper.objects.filter(pk=paper.pk)
    act = rows.delete if change == "delete" else lambda: rows.update(content=b"other")
    with pytest.raises(IntegrityError, match="never edited or deleted"), transaction.atomic():
        act()
    assert bytes(rows.get().content) == b"PDF 1"


@pytest.mark.parametrize(
    "strokes",
    [
        None,
        [],
        "drawn",
        [[]],
        [[[1]]],
        [[[1, 2, 3]]],
        [[[1.5, 2]]],
        [[[True, 2]]],
        [[[-1, 2]]],
        [[[1, 10_001]]],
        [[[1, 1]] * 6001],
    ],
)
def test_what_is_no_signature_is_refused(strokes):
    with pytest.raises(SignatureRefusedError) as refusal:
        signature_read(part="received", name="R. Doe", strokes=strokes)
    assert refusal.value.field == "strokes"


@pytest.mark.parametrize("name", ["", "   ", "x" * 101, "a\x00b"])
def test_a_signature_has_a_name(name):
    with pytest.raises(SignatureRefusedError) as refusal:
        signature_read(part="received", name=name, strokes=STROKES)
    assert refusal.value.field == "name"
