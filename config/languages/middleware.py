"""A person's own language before what the browser asks for."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import translation

from inventory.models import User


class PersonLanguageMiddleware:
    """Shows everything in the language of who is signed in; others keep the browser's.

    Stands behind whatever finds out who asks: the session, or a paired phone.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not isinstance(request.user, User):
            return self.get_response(request)
        with translation.override(request.user.language):
            request.LANGUAGE_CODE = request.user.language
            response = self.get_response(request)
            response.headers.setdefault("Content-Language", request.user.language)
        return response
