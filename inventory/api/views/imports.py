"""Importing an inventory list over HTTP."""

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.http import QueryDict
from django.utils import timezone
from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema, extend_schema_view
from rest_framework import status
from rest_framework.exceptions import ValidationError
from rest_framework.mixins import ListModelMixin, RetrieveModelMixin
from rest_framework.parsers import BaseParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.serializers import (
    BranchQuery,
    ImportAnswerSerializer,
    ImportFormSerializer,
    ImportOrderSerializer,
    ImportSerializer,
)
from inventory.api.views.branched import BranchedViewSet, branch_for, person
from inventory.errors import FileTooLargeError
from inventory.models import ImportBatch
from inventory.selectors import import_list
from inventory.services import ImportOrder, inventory_import

#: What a form may add around the file itself.
FORM_BYTES = 65_536


class RawParser(BaseParser):
    """Take the body as it is, whatever it is called, up to just over the limit, as `list`."""

    media_type = "*/*"

    def parse(
        self, stream: Any, _media_type: Any = None, _context: Any = None
    ) -> Mapping[str, bytes]:
        return {"list": stream.read(settings.UPLOAD_LIMIT_BYTES + 1)}


@extend_schema_view(list=extend_schema(parameters=[BranchQuery]))
class ImportViewSet(ListModelMixin, RetrieveModelMixin, BranchedViewSet[ImportBatch]):
    """Imported lists; `guesses` are the lines whose kind a person should confirm."""

    serializer_class = ImportSerializer
    queryset = ImportBatch.objects.none()
    forms = {"create": ImportFormSerializer}
    parser_classes = (MultiPartParser, RawParser)

    def get_queryset(self) -> QuerySet[ImportBatch]:
        return import_list(branches=self.branches())

    @extend_schema(
        parameters=[ImportOrderSerializer],
        request={"text/csv": OpenApiTypes.BINARY, "application/json": OpenApiTypes.OBJECT},
        responses={201: ImportAnswerSerializer, 200: ImportAnswerSerializer},
    )
    def create(self, request: Request) -> Response:
        """Import a list: the body is the file (CSV or JSON), or a form with the part `file`.

        201 when it was stored, 200 when the same file is there already, 422 with every fault
        when it has any; then nothing is stored.
        """
        _refuse_too_large(request)
        order = ImportOrderSerializer(data=request.query_params.dict() | _form_words(request))
        order.is_valid(raise_exception=True)
        told = order.validated_data
        branch = branch_for(request, told["branch"], "inventory.import")
        data, filename = _file(request)
        batch, new = inventory_import(
            order=ImportOrder(
                branch=branch,
                reference=told["shipment"],
                lot_number=told["lot"],
                label_color=told["color"],
                filename=told["filename"] or filename,
                by=person(request),
            ),
            data=data,
            now=timezone.now(),
        )
        answer = ImportAnswerSerializer(batch, context={"already_imported": not new})
        return Response(answer.data, status=status.HTTP_201_CREATED if new else status.HTTP_200_OK)


def _refuse_too_large(request: Request) -> None:
    """Refuse by the announced length, before anything is read."""
    length = request.META.get("CONTENT_LENGTH") or "0"
    if length.isdecimal() and int(length) > settings.UPLOAD_LIMIT_BYTES + FORM_BYTES:
        raise FileTooLargeError(settings.UPLOAD_LIMIT_BYTES)


def _form_words(request: Request) -> dict[str, Any]:
    """Give the words of a form; a raw body has none."""
    return request.data.dict() if isinstance(request.data, QueryDict) else {}


def _file(request: Request) -> tuple[bytes, str]:
    if request.META.get("HTTP_TRANSFER_ENCODING") and not request.META.get("CONTENT_LENGTH"):
        raise ValidationError({"file": _("send the list with its length, not in chunks")})
    if not isinstance(request.data, QueryDict):
        return (request.data.get("list", b"") if isinstance(request.data, dict) else b""), ""
    file = request.FILES.get("file")
    if not isinstance(file, UploadedFile):
        raise ValidationError({"file": _("send the list as the body, or as the part `file`")})
    return file.read(settings.UPLOAD_LIMIT_BYTES + 1), file.name or ""
