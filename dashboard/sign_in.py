"""Signing in: whose request it is, by a session that the browser keeps and this program signs."""

from __future__ import annotations

import hashlib
import hmac
import logging
import math
import secrets
import threading
import time
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING
from urllib.parse import quote

import flask
from flask.sessions import SecureCookieSession, SecureCookieSessionInterface
from werkzeug.wrappers import Response

from dashboard.access import OPEN, Viewer, see_as
from dashboard.attempts import Attempts
from dashboard.sign_in_page import sign_in_page, sign_out_page
from dashboard.texts import access as texts
from trials.errors import HolewiseError, require

if TYPE_CHECKING:
    from trials.workbench import Workbench

log = logging.getLogger(__name__)

SIGN_IN = "/sign-in"
SIGN_OUT = "/sign-out"
# Answered without signing in: a word for each part, and nothing of the shop.
LIVE, READY = "/health/live", "/health/ready"
PROBES = (LIVE, READY)
METRICS = "/metrics"
SESSION_S = 12 * 3600.0  # a long shift; then the name and password are asked for again
_FORM_S = 3600.0
_MOST_FORM_BYTES = 10_000
_NOBODY = Viewer("", "reader", sees_prices=False)
# What the page for signing in is drawn with; nothing of the shop is in it.
_LOOKS = ("/assets/base.css", "/assets/sign_in.css", "/assets/mark.svg")
_Answer = Response | tuple[str, int] | tuple[str, int, dict[str, str]]


@dataclass(frozen=True, slots=True)
class Rules:
    """How the dashboard is guarded.

    Args:
        shared_password: one password for everybody, who is then an editor and sees prices; None
            where people sign in by name, or nobody has to.
        must_sign_in: whether signing in is asked for even while nobody was added; true for every
            address that other computers reach.
        behind_tls: a proxy in front speaks TLS and says on whose behalf it asks.
        known_as: host names of this computer that people type; addresses and its own name need
            not be among them.
        metrics_token: what a monitoring system shows to read metrics where people sign in.
    """

    shared_password: str | None = field(default=None, repr=False)
    must_sign_in: bool = False
    behind_tls: bool = False
    known_as: tuple[str, ...] = ()
    metrics_token: str | None = field(default=None, repr=False)


class Entry:
    """Decides for each request who makes it; sends those who have not signed in to do so.

    Sessions end after 12 hours, on signing out, and when the person is removed or has another
    password; role and prices are looked up for every request.

    Args:
        workbench: knows the people and the key for signing.
        rules: see there.
        attempts: failed tries so far.
    """

    def __init__(
        self, workbench: Workbench, rules: Rules, attempts: Attempts | None = None
    ) -> None:
        self._workbench = workbench
        self._rules = rules
        self._attempts = attempts or Attempts()
        self._key = b""
        self._key_lock = threading.Lock()
        self._at_once = threading.BoundedSemaphore(2)  # each check takes 32 MiB for a moment
        self._spent: dict[str, float] = {}  # sessions and forms that hold no longer, until when
        self._shared: str | None = None

    def add_to(self, server: flask.Flask) -> None:
        """Add pages and checks to an app."""
        server.config.update(
            SESSION_COOKIE_HTTPONLY=True,
            SESSION_COOKIE_SAMESITE="Lax",
            SESSION_COOKIE_SECURE=self._rules.behind_tls,
            SESSION_REFRESH_EACH_REQUEST=False,
            PERMANENT_SESSION_LIFETIME=timedelta(seconds=SESSION_S),
        )
        server.add_url_rule(SIGN_IN, "sign_in", self._sign_in, methods=["GET", "POST"])
        server.add_url_rule(SIGN_OUT, "sign_out", self._sign_out, methods=["GET", "POST"])
        server.session_interface = _Sessions(self)
        server.before_request(self._who_asks)

    @property
    def asked_for(self) -> bool:
        """Whether anybody has to sign in now."""
        rules = self._rules
        if rules.must_sign_in or rules.shared_password is not None:
            return True
        return bool(self._workbench.people())

    # Requests

    def _who_asks(self) -> _Answer | None:
        if not self.asked_for:
            see_as(OPEN)
            return None
        see_as(_NOBODY)
        path = flask.request.path
        if path == SIGN_IN or path in _LOOKS or path in PROBES or self._may_measure(path):
            return None
        who = self._signed_in()
        if who is not None:
            see_as(who)
            return None
        if flask.request.method == "GET" and not path.startswith(("/_", "/assets/", METRICS)):
            return flask.redirect(f"{SIGN_IN}?to={quote(path)}")
        return texts.SIGN_IN_FIRST, 401

    def _may_measure(self, path: str) -> bool:
        token = self._rules.metrics_token
        kind, _, given = flask.request.headers.get("Authorization", "").partition(" ")
        return (
            path == METRICS and token is not None and kind.lower() == "bearer"
            and hmac.compare_digest(given.strip().encode(), token.encode())
        )  # fmt: skip

    def prepare(self, server: flask.Flask) -> None:
        """Give an app the key that sessions are signed with, once somebody has to sign in."""
        with self._key_lock:
            if self._key:
                return
            self._key = self._workbench.sign_in_key()
            server.secret_key = self._key
            # Cookies do not know ports: two shops on one computer must not share theirs.
            own = hashlib.sha256(b"cookie" + self._key).hexdigest()[:8]
            prefix = "__Host-" if self._rules.behind_tls else ""
            server.config["SESSION_COOKIE_NAME"] = f"{prefix}holewise-{own}"
            if self._rules.shared_password is not None:
                self._shared = self._mark(f"shared\0{self._rules.shared_password}")

    def _signed_in(self) -> Viewer | None:
        session = flask.session
        made, mark, ident = session.get("made"), session.get("mark"), session.get("id")
        if not isinstance(made, float | int) or not 0 <= time.time() - made < SESSION_S:
            return None
        if not isinstance(mark, str) or not isinstance(ident, str) or ident in self._spent:
            return None
        if self._shared is not None:
            return Viewer("", "editor", True) if hmac.compare_digest(mark, self._shared) else None
        person = self._workbench.person(str(session.get("who", "")))
        if person is None or not hmac.compare_digest(mark, self._mark(person.password_hash)):
            return None
        return Viewer(person.name, person.role, person.sees_prices)

    def _mark(self, secret: str) -> str:
        """Changes with a password, and says nothing about it."""
        return hmac.new(self._key, secret.encode(), "sha256").hexdigest()

    # Pages

    def _sign_in(self) -> _Answer:
        if not self.asked_for:
            return flask.redirect("/")
        to = local_path(flask.request.values.get("to", "/"))
        if flask.request.method != "POST":
            return self._form(to), 200
        refused = self._form_refused()
        if refused:
            return self._form(to, refused), 400
        return self._try(to)

    def _try(self, to: str) -> _Answer:
        form = flask.request.form
        name = form.get("name", "")[:200] if self._shared is None else ""
        password = form.get("password", "")
        address = flask.request.remote_addr or ""
        limited = name if self._shared is None else None  # all share one: a name is no one's
        wait = self._attempts.begin(address, limited)
        if wait > 0:
            self._tell("has_to_wait", logging.WARNING, name, address, f"has to wait {wait:.0f} s")
            seconds = math.ceil(wait)
            said = texts.SIGN_IN_WAIT.format(seconds=seconds)
            return self._form(to, said, name), 429, {"Retry-After": str(seconds)}
        mark = self._checked(name, password)
        if mark is None:
            self._tell("refused", logging.WARNING, name, address, "was refused")
            return self._form(to, texts.SIGN_IN_WRONG, name), 403
        self._attempts.succeeded(address, limited)
        self._spend(str(flask.session["form"]), _FORM_S)
        self._tell("done", logging.INFO, name, address, "went well")
        flask.session.clear()
        flask.session.permanent = True
        flask.session.update(
            who=name, mark=mark, made=time.time(), id=secrets.token_hex(16),
            form=secrets.token_urlsafe(24),
        )  # fmt: skip
        return flask.redirect(to, 303)

    def _tell(self, event: str, level: int, name: str, address: str, text: str) -> None:
        """On the terminal with name and address; ``plain`` and marks for a log that is kept."""
        log.log(
            level, "signing in as %r from %s %s", name, address, text,
            extra={"event": f"sign_in_{event}", "plain": f"signing in {text}",
                   "who": self._mark(name)[:8], "whence": self._mark(address)[:8]},
        )  # fmt: skip

    def _checked(self, name: str, password: str) -> str | None:
        """The mark for a session where name and password belong together."""
        if self._shared is not None:
            found = self._mark(f"shared\0{password}")
            return found if hmac.compare_digest(found, self._shared) else None
        person = self._workbench.person(name)
        with self._at_once:
            fits = self._workbench.is_password(
                password, None if person is None else person.password_hash
            )
        return self._mark(person.password_hash) if fits and person is not None else None

    def _sign_out(self) -> _Answer:
        if not self.asked_for:
            return flask.redirect("/")
        if flask.request.method != "POST":
            return sign_out_page(self._token()), 200
        if self._form_refused():
            return sign_out_page(self._token(), texts.FORM_OLD), 400
        self._spend(str(flask.session.get("id")), SESSION_S)
        flask.session.clear()
        return flask.redirect(SIGN_IN, 303)

    def _spend(self, one: str, for_s: float) -> None:
        now = time.time()
        with self._key_lock:
            self._spent = {spent: end for spent, end in self._spent.items() if end > now}
            self._spent[one] = now + for_s

    # Forms

    def _form(self, to: str, said: str = "", name: str = "") -> str:
        by_name = self._shared is None
        nobody = by_name and not self._workbench.people()
        return sign_in_page(
            self._token(), to=to, said=texts.NOBODY_ADDED if nobody else said, name=name,
            by_name=by_name, shop=self._workbench.settings().name,
        )  # fmt: skip

    def _token(self) -> str:
        """What only a form of ours can carry: bound to this browser's session."""
        if "form" not in flask.session or time.time() - flask.session.get("began", 0) > _FORM_S:
            flask.session["form"] = secrets.token_urlsafe(24)
            flask.session["began"] = time.time()
        return str(flask.session["form"])

    def _form_refused(self) -> str:
        request = flask.request
        if request.mimetype != "application/x-www-form-urlencoded":
            return texts.FORM_OLD
        if (request.content_length or 0) > _MOST_FORM_BYTES:
            return texts.FORM_LARGE
        kept = str(flask.session.get("form", ""))
        given = request.form.get("token", "")
        old = time.time() - flask.session.get("began", 0) > _FORM_S
        if old or kept in self._spent or not hmac.compare_digest(kept.encode(), given.encode()):
            return texts.FORM_OLD
        return ""


class _Sessions(SecureCookieSessionInterface):
    """Sessions by a signed cookie; none where nobody has to sign in."""

    def __init__(self, entry: Entry) -> None:
        self._entry = entry

    def open_session(self, app: flask.Flask, request: flask.Request) -> SecureCookieSession | None:
        try:
            if self._entry.asked_for:
                self._entry.prepare(app)
        except HolewiseError:
            return None  # the request itself meets the same trouble, and says so
        return super().open_session(app, request)


def local_path(address: str) -> str:
    """An address on this dashboard; anything else leads to its first page."""
    plain = address.isprintable() and "\\" not in address and len(address) <= 2000
    inside = address.startswith("/") and not address.startswith(("//", SIGN_IN, SIGN_OUT))
    return address if plain and inside else "/"


def rules_for(
    workbench: Workbench,
    host: str,
    *,
    shared_password: str | None = None,
    behind_tls: bool = False,
    known_as: tuple[str, ...] = (),
    metrics_token: str | None = None,
) -> Rules:
    """The rules for an address to listen on.

    Raises:
        InputError: other computers reach the address, and nobody would have to sign in; or both a
            shared password and people are there.
    """
    people = workbench.people()
    require(
        shared_password is None or not people, "--password-file", "people who sign in by name",
        "one or the other", "Leave it out, or remove the people: holewise people list.",
    )  # fmt: skip
    here = host in ("127.0.0.1", "localhost", "::1")
    require(
        here or shared_password is not None or bool(people), "--host", host,
        "127.0.0.1, localhost or ::1 while nobody has to sign in",
        "Let people sign in by name (holewise people add NAME), or give one password for all "
        "with --password-file FILE.",
    )  # fmt: skip
    if shared_password is not None:
        require(len(shared_password) >= 8, "--password-file",
                f"{len(shared_password)} characters", "8 characters or more")  # fmt: skip
    if metrics_token is not None:
        require(len(metrics_token) >= 16, "--metrics-token-file",
                f"{len(metrics_token)} characters", "16 characters or more")  # fmt: skip
    return Rules(
        shared_password, must_sign_in=not here or bool(people), behind_tls=behind_tls,
        known_as=known_as, metrics_token=metrics_token,
    )  # fmt: skip
