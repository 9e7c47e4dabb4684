"""What is refused before any page sees it, and the headers that every answer carries."""

from __future__ import annotations

import ipaddress
import logging
import socket
from collections.abc import Iterable
from urllib.parse import urlsplit

import flask
from dash import Dash
from werkzeug.exceptions import HTTPException
from werkzeug.middleware.proxy_fix import ProxyFix
from werkzeug.wrappers import Response

from dashboard.sign_in import SIGN_IN, SIGN_OUT, Rules
from dashboard.texts import door as texts
from trials.errors import HolewiseError

log = logging.getLogger(__name__)

# A photo of 15 MiB and a package travel in base64, which is a third longer.
MOST_BYTES = 24 * 2**20
_CALLBACKS = "/_dash-update-component"
_FORMS = (SIGN_IN, SIGN_OUT)
_KEPT_BY_BROWSER = ("/assets/", "/_dash-component-suites/")


def guard(app: Dash, rules: Rules) -> None:
    """Refuse what no page of ours sends, and answer every refusal in words."""
    server: flask.Flask = app.server
    server.config["MAX_CONTENT_LENGTH"] = MOST_BYTES
    server.config["MAX_FORM_MEMORY_SIZE"] = 100_000
    if rules.behind_tls:
        server.wsgi_app = ProxyFix(server.wsgi_app, x_for=1, x_proto=1, x_host=1)  # type: ignore[method-assign]  # as Flask's documentation says
    known = {"localhost", socket.gethostname().lower(), *map(str.lower, rules.known_as)}

    @server.before_request
    def refuse() -> tuple[str, int] | None:
        request = flask.request
        if not _is_known(request.host, known):
            # Another site's name that was made to lead here (DNS rebinding), or a new name of
            # this computer that nobody has told us.
            log.warning("a request for the host %r was refused", request.host[:200])
            return texts.UNKNOWN_HOST, 421
        if request.method in ("GET", "HEAD", "OPTIONS"):
            return None
        if _is_from_elsewhere(request):
            return texts.OTHER_SITE, 403
        if request.path not in _FORMS and request.mimetype != "application/json":
            return texts.NOT_OURS, 415
        return None

    _answer_in_words(server)
    _add_headers(app, rules)


def _is_known(host: str, known: Iterable[str]) -> bool:
    """An address in numbers cannot be made to lead elsewhere; a name has to be one of ours."""
    try:
        name = urlsplit(f"//{host}").hostname
    except ValueError:
        return False
    if not name:
        return False
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return name.rstrip(".").lower() in known
    return True


def _is_from_elsewhere(request: flask.Request) -> bool:
    """Browsers say where a request comes from; one that another site's page makes is refused."""
    if request.headers.get("Sec-Fetch-Site", "none") not in ("same-origin", "none"):
        return True
    origin = request.headers.get("Origin")
    if origin is None:
        return False
    try:
        return urlsplit(origin).netloc.lower() != request.host.lower()
    except ValueError:
        return True


def _answer_in_words(server: flask.Flask) -> None:
    @server.errorhandler(HTTPException)
    def refused(error: HTTPException) -> Response | tuple[str, int]:
        if error.code is None or error.code < 400:
            return error.get_response()
        return texts.BY_STATUS.get(error.code, texts.NOT_OURS), error.code

    @server.errorhandler(HolewiseError)
    def known_trouble(error: HolewiseError) -> tuple[str, int]:
        plain = f"a request could not be answered: {error.what}"
        log.error("a request could not be answered: %s", error, extra={"plain": plain})
        return str(error), 503

    @server.errorhandler(Exception)
    def unexpected(error: Exception) -> tuple[str, int]:
        forged = flask.request.path == _CALLBACKS
        log.error("a request to %r failed", flask.request.path[:200], exc_info=error)
        return (texts.NOT_OURS, 400) if forged else (texts.BY_STATUS[500], 500)


def _add_headers(app: Dash, rules: Rules) -> None:
    """Only this server's own scripts run, nobody frames a page, no copy of a page is kept."""
    scripts = " ".join(["'self'", *app.csp_hashes()])
    policy = "; ".join(
        (
            "default-src 'self'",
            f"script-src {scripts}",
            # The drawings set style attributes on their own parts; scripts stay closed.
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )
    plain = (
        "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'"
    )

    server: flask.Flask = app.server

    @server.after_request
    def add_headers(response: flask.Response) -> flask.Response:
        path, headers = flask.request.path, response.headers
        headers["Content-Security-Policy"] = plain if path in _FORMS else policy
        headers["X-Content-Type-Options"] = "nosniff"
        headers["X-Frame-Options"] = "DENY"
        headers["Referrer-Policy"] = "same-origin"
        headers["Cross-Origin-Opener-Policy"] = "same-origin"
        headers["Cross-Origin-Resource-Policy"] = "same-origin"
        headers["Permissions-Policy"] = "geolocation=(), microphone=(), payment=(), usb=()"
        if rules.behind_tls:
            headers["Strict-Transport-Security"] = "max-age=31536000"
        if not path.startswith(_KEPT_BY_BROWSER):
            # A tablet in the shop has many users; what one saw is not kept for the next.
            headers["Cache-Control"] = "no-store"
        if response.mimetype == "text/html" and response.status_code >= 400 and path not in _FORMS:
            headers["Content-Type"] = "text/plain; charset=utf-8"
        return response
