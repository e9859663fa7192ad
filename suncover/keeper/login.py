"""Where the broker is, and how the keeper logs in: password, and certificate for TLS."""

from __future__ import annotations

import os
import ssl
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from suncover.base.errors import RequestError
from suncover.keeper.agenda import Agenda

PASSWORD = "SUNCOVER_BROKER_PASSWORD"
PORT, TLS_PORT = 1883, 8883  # as IANA has them for MQTT, without and with TLS


@dataclass(frozen=True)
class Login:
    """Where the broker is, and who logs in; `tls` is what its certificate is held against."""

    host: str
    port: int
    user: str | None = None
    password: str | None = None
    tls: ssl.SSLContext | None = None


def login_of(agenda: Agenda) -> Login:
    """An agenda's broker, with the password and the trusted certificate as their files are now.

    Raises
    ------
    RequestError
        When one of the files cannot be read.
    """
    parts = urlsplit(agenda.broker or "")
    tls = _trusting(agenda.ca_file) if parts.scheme == "mqtts" else None
    port = parts.port or (TLS_PORT if tls else PORT)
    return Login(parts.hostname or "", port, agenda.user, _password(agenda.password_file), tls)


def _password(file: str | None) -> str | None:
    if file is None:
        return os.environ.get(PASSWORD)
    try:
        return Path(file).read_text(encoding="utf-8").rstrip("\r\n")
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or "it is no text in UTF-8"
        raise RequestError(
            f"{file}: the broker's password cannot be read ({reason}); check `password_file` in "
            "[keeper]"
        ) from error


def _trusting(file: str | None) -> ssl.SSLContext:
    try:
        return ssl.create_default_context(cafile=file)
    except OSError as error:  # ssl.SSLError is one
        reason = "it has none in PEM" if isinstance(error, ssl.SSLError) else error.strerror
        raise RequestError(
            f"{file}: the certificate to trust cannot be read ({reason}); check `ca_file` in "
            "[keeper]"
        ) from error
