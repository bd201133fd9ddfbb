"""A paper as an answer."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header


def pdf_response(content: bytes, name: str) -> HttpResponse:
    """Show it in the browser, under a name that it keeps when it is saved."""
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = content_disposition_header(False, f"{name}.pdf") or "inline"
    return response
