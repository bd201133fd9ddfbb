"""Logging: structlog and the standard library end in one stream, one line an event."""

from typing import Any

import structlog


def logging_configuration(*, level: str, as_json: bool) -> dict[str, Any]:
    """Configure structlog and return what Django's LOGGING wants."""
    shared: list[Any] = [
        structlog.contextvars.merge_contextvars,
        structlog.stdlib.add_logger_name,
        structlog.stdlib.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
    ]
    structlog.configure(
        processors=[*shared, structlog.stdlib.ProcessorFormatter.wrap_for_formatter],
        logger_factory=structlog.stdlib.LoggerFactory(),
        wrapper_class=structlog.stdlib.BoundLogger,
        cache_logger_on_first_use=True,
    )
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "line": {
                "()": structlog.stdlib.ProcessorFormatter,
                "foreign_pre_chain": shared,
                "processors": [
                    structlog.stdlib.ProcessorFormatter.remove_processors_meta,
                    *_rendering(as_json),
                ],
            }
        },
        "handlers": {"stream": {"class": "logging.StreamHandler", "formatter": "line"}},
        "root": {"handlers": ["stream"], "level": level},
        "loggers": {
            "django.server": {"handlers": ["stream"], "level": level, "propagate": False},
            "django.utils.autoreload": {"level": "WARNING"},
            "numba": {"level": "WARNING"},
        },
    }


def _rendering(as_json: bool) -> list[Any]:
    if as_json:
        return [structlog.processors.format_exc_info, structlog.processors.JSONRenderer()]
    return [structlog.dev.ConsoleRenderer(colors=False)]
