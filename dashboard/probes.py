"""For programs that watch over this one: is it alive, can it answer, and figures to follow.

Probes say a word for each part and nothing of the shop. Metrics name trials and stations, no
person and no price; they are for who may see the pages, or shows the token that the rules name.
"""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING, Any

import flask
from werkzeug.wrappers import Response

from dashboard.sign_in import LIVE, METRICS, READY

if TYPE_CHECKING:
    from trials.workbench import Readiness, Workbench

_PATIENCE_S = 1.0  # a store that hangs must not take every thread of the server
_KEPT_S = 2.0  # probes are open to all: more of them must not mean more work
_CALLBACKS = "/_dash-update-component"


class _Newest:
    """What was found last, looked at anew when it is older than two seconds."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._turn = threading.Lock()
        self._found: tuple[float, Readiness] | None = None

    def look(self) -> Readiness | None:
        """None while somebody else has been looking for longer than is worth waiting for."""
        if not self._turn.acquire(timeout=_PATIENCE_S):
            return None
        try:
            if self._found is None or time.monotonic() - self._found[0] > _KEPT_S:
                found = self._workbench.ready()
                self._found = (time.monotonic(), found)
            return self._found[1]
        finally:
            self._turn.release()


def register_probes(server: flask.Flask, workbench: Workbench) -> None:
    """Add probes and metrics to an app; counting requests begins at once."""
    newest = _Newest(workbench)
    registry = _registry(server, workbench)

    def live() -> Response:
        return flask.Response("live\n", mimetype="text/plain")

    def ready() -> Response | tuple[Response, int]:
        found = newest.look()
        if found is None:
            return flask.jsonify(ready=False, store="slow"), 503
        parts = {"store": found.store, "tables": found.tables, "loggers": found.loggers,
                 "disk": found.disk}  # fmt: skip
        answer = flask.jsonify(ready=found.ready, **parts)
        answer.status_code = 200 if found.ready else 503
        return answer

    def metrics() -> Response:
        if registry is None:
            workbench.metrics()  # says what is not installed
        from prometheus_client.exposition import choose_encoder

        encode, kind = choose_encoder(flask.request.headers.get("Accept", ""))
        return flask.Response(encode(registry), content_type=kind)

    server.add_url_rule(LIVE, "live", live)
    server.add_url_rule(READY, "ready", ready)
    server.add_url_rule(METRICS, "metrics", metrics)


def _registry(server: flask.Flask, workbench: Workbench) -> Any:
    """The shop's figures and this server's own; None where the library is not installed."""
    try:
        from prometheus_client import CollectorRegistry, Counter, Histogram
    except ImportError:
        return None
    registry = CollectorRegistry()  # of this app alone
    registry.register(_OfShop(workbench))
    answered = Counter("holewise_dashboard_requests", "Requests answered.", ["kind", "status"],
                       registry=registry)  # fmt: skip
    took = Histogram("holewise_dashboard_request_seconds", "Time to answer a request.", ["kind"],
                     registry=registry)  # fmt: skip

    @server.before_request
    def begin() -> None:
        flask.g.began_s = time.perf_counter()

    @server.after_request
    def count(response: flask.Response) -> flask.Response:
        kind = _kind(flask.request.path)
        answered.labels(kind, str(response.status_code)).inc()
        began_s = flask.g.get("began_s")
        if began_s is not None:
            took.labels(kind).observe(time.perf_counter() - began_s)
        return response

    return registry


def _kind(path: str) -> str:
    if path == _CALLBACKS:
        return "callback"
    if path in (LIVE, READY, METRICS):
        return "probe"
    return "asset" if path.startswith(("/assets/", "/_")) else "page"


class _OfShop:
    """The shop's figures, asked for when they are read."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def describe(self) -> list[Any]:
        """Nothing is read to register it."""
        return []

    def collect(self) -> list[Any]:
        """See `trials.workbench.Workbench.metrics`."""
        return self._workbench.metrics()
