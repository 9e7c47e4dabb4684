"""A server in this process that speaks the S3 protocol, for tests."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from werkzeug.serving import make_server


class ObjectServer:
    """The server at one address; it can be stopped and started again there."""

    def __init__(self) -> None:
        pytest.importorskip("s3fs", reason="s3fs is not installed (extra objects)")
        moto = pytest.importorskip("moto.moto_server.werkzeug_app",
                                   reason="moto is not installed: see DEVELOPERS.md")  # fmt: skip
        self._app: Any = moto.DomainDispatcherApplication(moto.create_backend_app)
        self._port = 0
        self.start()

    @property
    def url(self) -> str:
        """Where it listens."""
        return f"http://127.0.0.1:{self._port}"

    def start(self) -> None:
        """Listen, at the same port as before."""
        self._server = make_server("127.0.0.1", self._port, self._app, threaded=True)
        self._port = self._server.port
        self._thread = threading.Thread(
            target=self._server.serve_forever, args=(0.02,), name="object server"
        )
        self._thread.start()

    def stop(self) -> None:
        """Do not listen any more; what was stored stays."""
        self._server.shutdown()
        self._thread.join()
        self._server.server_close()


@contextmanager
def object_server(patch: pytest.MonkeyPatch) -> Iterator[ObjectServer]:
    """A server that the library behind ``s3://`` finds by its own settings, with keys for it."""
    server = ObjectServer()
    for name, value in {
        "AWS_ENDPOINT_URL": server.url, "AWS_ACCESS_KEY_ID": "invented",
        "AWS_SECRET_ACCESS_KEY": "invented", "AWS_DEFAULT_REGION": "us-east-1",
        "AWS_EC2_METADATA_DISABLED": "true", "AWS_MAX_ATTEMPTS": "1",
    }.items():  # fmt: skip
        patch.setenv(name, value)
    import s3fs

    s3fs.S3FileSystem.clear_instance_cache()
    try:
        yield server
    finally:
        server.stop()
        s3fs.S3FileSystem.clear_instance_cache()
