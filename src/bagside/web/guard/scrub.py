"""What may not stand in a log: PINs, cookies, signing keys, and what else looks like a secret.

A filter on the handlers, so nothing that is logged anywhere in the program goes round it, traces of faults included.
PINs are never logged to begin with; they are told to the filter in the moment they are made, as a second lock.
"""

from __future__ import annotations

import logging
import re
import threading
import traceback
from collections.abc import Iterable, Mapping
from typing import Any

LOG_NAME = "bagside.web"
HIDDEN = "[hidden]"
LEAST = 6  # characters of a secret that is looked for by itself: less would hide half the log
_KEYS = r"pins?|pass(?:word|wd)?|secret(?:_key)?|token|session|sid|client_id|storage_secret"
_PATTERNS = (
    # Of a header: to the end of its line or quotation.
    re.compile(r"(?i)(\b(?:set-)?cookie\b\\?['\"]?\s*[:,=]\s*b?\\?['\"]?)(?!\[hidden\])[^'\"\r\n]+"),
    re.compile(r"(?i)(\bauthorization\b\\?['\"]?\s*[:,=]\s*b?\\?['\"]?)(?!\[hidden\])[^'\"\r\n]+"),
    # Of a query, a form, a dictionary or keyword arguments.
    re.compile(rf"(?i)((?<![\w-])(?:{_KEYS})\\?['\"]?\s*[:=]\s*b?\\?['\"]?)(?!\[hidden\])[^\s'\"&,;)}}\]]+"),
    # A session's cookie and a hash by their looks, wherever they stand.
    re.compile(r"()bagside-\d{1,5}=(?!\[hidden\])[^\s;'\"]+"),
    re.compile(r"()\$argon2\w*\$[^\s'\"]+"),
)


class Scrub(logging.Filter):
    """Takes secrets out of what is logged.

    Parameters
    ----------
    secrets
        To be looked for wherever they stand.
    """

    def __init__(self, secrets: Iterable[str] = ()) -> None:
        super().__init__()
        self._lock = threading.Lock()
        self._known: frozenset[str] = frozenset()
        self.also(*secrets)

    def also(self, *secrets: str) -> None:
        """Look for these too from now on.

        Parameters
        ----------
        secrets
            Shorter ones than `LEAST` are left out.
        """
        with self._lock:
            self._known |= {s for s in secrets if len(s) >= LEAST}

    def clean(self, text: str) -> str:
        """Return a text without secrets.

        Parameters
        ----------
        text
            To be logged.
        """
        for secret in self._known:
            if secret in text:
                text = text.replace(secret, HIDDEN)
        for pattern in _PATTERNS:
            text = pattern.sub(rf"\g<1>{HIDDEN}", text)
        return text

    def filter(self, record: logging.LogRecord) -> bool:
        """Clean a record; it is never held back.

        Parameters
        ----------
        record
            To be logged.
        """
        if isinstance(record.args, tuple) and record.args and record.name == "uvicorn.access":
            # Its formatter wants the parts: address, method, path, version, status.
            record.args = tuple(self._part(value) for value in record.args)
        else:
            try:
                whole = record.getMessage()
            except (TypeError, ValueError, KeyError):
                whole = f"{record.msg} (its values do not fit and are left out)"
            record.msg, record.args = self.clean(whole), ()
        if record.exc_info and not record.exc_text:
            record.exc_text = "".join(traceback.format_exception(*record.exc_info)).rstrip("\n")
        if record.exc_text:
            record.exc_text = self.clean(record.exc_text)
        if record.stack_info:
            record.stack_info = self.clean(record.stack_info)
        return True

    def _part(self, value: object) -> object:
        return self.clean(value) if isinstance(value, str) else value


SCRUB = Scrub()
"""The one of this program."""


def scrubbed(*loggers: str) -> None:
    """Put the filter on every handler of these loggers, and of the root.

    Parameters
    ----------
    loggers
        By name.
    """
    for name in ("", *loggers):
        for handler in logging.getLogger(name or None).handlers:
            if SCRUB not in handler.filters:
                handler.addFilter(SCRUB)


def noted(message: str, *values: object) -> None:
    """Log that somebody came or went.

    Parameters
    ----------
    message, values
        Of the log; no secret.
    """
    logging.getLogger(LOG_NAME).info(message, *values)


def log_settings(level: str = "INFO") -> Mapping[str, Any]:
    """Return the settings of logging for the server: to standard error, each line through the filter.

    Parameters
    ----------
    level
        Of what is logged.
    """
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "filters": {"scrub": {"()": "bagside.web.guard.scrub.the_filter"}},
        "formatters": {
            "line": {"()": "logging.Formatter", "fmt": "%(asctime)s %(levelname)s %(message)s", "datefmt": "%H:%M:%S"},
            "access": {
                "()": "uvicorn.logging.AccessFormatter",
                "fmt": '%(asctime)s %(client_addr)s "%(request_line)s" %(status_code)s',
                "datefmt": "%H:%M:%S",
                "use_colors": False,
            },
        },
        "handlers": {
            "line": {"class": "logging.StreamHandler", "formatter": "line", "filters": ["scrub"]},
            "access": {"class": "logging.StreamHandler", "formatter": "access", "filters": ["scrub"]},
        },
        "loggers": {
            "uvicorn": {"handlers": ["line"], "level": "WARNING", "propagate": False},
            "uvicorn.access": {"handlers": ["access"], "level": "WARNING", "propagate": False},
            "bagside": {"handlers": ["line"], "level": level, "propagate": False},
            "nicegui": {"handlers": ["line"], "level": "WARNING", "propagate": False},
        },
    }


def the_filter() -> Scrub:
    """Return the filter of this program, for the settings of logging."""
    return SCRUB
