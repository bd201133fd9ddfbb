import json
from collections.abc import Mapping
from typing import Any

from rest_framework.renderers import BaseRenderer


class SvgRenderer(BaseRenderer):
    """Hands pictures through as they are; a problem document stays JSON."""

    media_type = "image/svg+xml"
    format = "svg"
    charset = "utf-8"

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,  # noqa: ARG002
        renderer_context: Mapping[str, Any] | None = None,  # noqa: ARG002
    ) -> bytes:
        return (data if isinstance(data, str) else json.dumps(data)).encode()
