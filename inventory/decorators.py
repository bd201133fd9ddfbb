"""The pages' door to `user_may`."""

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase

from inventory.permissions import user_must
from inventory.selectors import branch_visible

Page = Callable[..., HttpResponseBase]


def branch_page(action: str) -> Callable[[Page], Page]:
    """Turn the address's `branch_code` into the view's `branch`, for who may do the action there.

    Who is not signed in is sent to sign in; who does not see the branch finds nothing; who sees
    it but may not do this is told so (`NotPermittedError`).
    """

    def decorate(view: Page) -> Page:
        @wraps(view)
        def page(request: HttpRequest, branch_code: str, **rest: object) -> HttpResponseBase:
            branch = branch_visible(user=request.user).filter(code=branch_code).first()
            if branch is None:
                raise Http404
            user_must(user=request.user, branch=branch, action=action)
            return view(request, branch=branch, **rest)

        return login_required(page)

    return decorate
