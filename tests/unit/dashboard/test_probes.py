"""Probes answer anybody with a word; metrics are in the open text format, and guarded."""

from __future__ import annotations

import json
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from prometheus_client.openmetrics.parser import text_string_to_metric_families as open_metrics
from prometheus_client.parser import text_string_to_metric_families as plain_text

from dashboard import Rules, create_app
from tests.helpers.command_line import holewise
from tests.helpers.shared_trial import NAME, fill_shop
from trials.errors import StoreError
from trials.workbench import LoggerHealth, Readiness, RecordingHealth, Workbench

TOKEN = "invented-token-of-a-monitor"
OPEN_FORMAT = "application/openmetrics-text; version=1.0.0"


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("filled")
    fill_shop(folder / "shop", folder)
    return folder / "shop"


@pytest.fixture
def bench(filled: Path, tmp_path: Path) -> Iterator[Workbench]:
    with Workbench.open(shutil.copytree(filled, tmp_path / "shop")) as opened:
        yield opened


def at_work(**more: Any) -> LoggerHealth:
    usual: dict[str, Any] = {
        "trial": NAME, "run": 3, "source": "tcp://mill:4001", "state": "recording",
        "holder": "process 7", "age_s": 0.5, "stale": False, "lines": 1200,
        "rejected": {"no_number": 2}, "lines_per_s": 100.0, "samples": 1198, "gaps": 1,
        "behind_bytes": 0, "journal_bytes": 40_000, "alarms": (),
    }  # fmt: skip
    return LoggerHealth((RecordingHealth(**(usual | more)),), 10**10)


def test_alive_and_ready(bench: Workbench) -> None:
    client = create_app(bench).server.test_client()
    assert client.get("/health/live").text == "live\n"
    answer = client.get("/health/ready")
    assert (answer.status_code, answer.json) == (
        200, {"ready": True, "store": "ok", "tables": "ok", "loggers": "ok", "disk": "ok"}
    )  # fmt: skip


def test_not_ready_while_the_store_is_away(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away() -> None:
        raise StoreError("the server of the shop in drills.example cannot be reached")

    monkeypatch.setattr(bench._shop.store, "revision", away)
    client = create_app(bench).server.test_client()
    assert client.get("/health/live").status_code == 200, "starting it again would not help"
    answer = client.get("/health/ready")
    assert (answer.status_code, answer.json["store"]) == (503, "away")
    assert "drills.example" not in answer.text
    found = values(client.get("/metrics").text, plain_text)
    assert found["holewise_store_up"] == 0.0
    assert "holewise_recordings" not in found


def test_a_store_that_hangs_takes_one_thread_only(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    hangs, go_on = threading.Event(), threading.Event()

    def ready() -> Readiness:
        hangs.set()
        assert go_on.wait(30)
        return Readiness("away", "unknown", "unknown", "ok")

    monkeypatch.setattr(bench, "ready", ready)
    server = create_app(bench).server
    answers: list[int] = []
    first = threading.Thread(
        target=lambda: answers.append(server.test_client().get("/health/ready").status_code)
    )
    first.start()
    assert hangs.wait(10)
    second = server.test_client().get("/health/ready")
    assert (second.status_code, second.json) == (503, {"ready": False, "store": "slow"})
    assert server.test_client().get("/health/live").status_code == 200
    go_on.set()
    first.join(10)
    assert answers == [503]


@pytest.mark.parametrize(
    ("change", "said"),
    [({"stale": True}, "stale"), ({"holder": None, "stale": True}, "stopped"), ({}, "ok")],
)
def test_a_logger_that_is_stale_is_told_and_hinders_nobody(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch, change: dict[str, Any], said: str
) -> None:
    monkeypatch.setattr(bench, "health", lambda: at_work(**change))
    answer = create_app(bench).server.test_client().get("/health/ready")
    assert (answer.status_code, answer.json["loggers"]) == (200, said)


def test_a_full_disk_is_not_ready(bench: Workbench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trials.workbench._operation._FULL_BYTES", 2**60)
    monkeypatch.setattr("trials.workbench._operation.LOW_BYTES", 2**60)
    answer = create_app(bench).server.test_client().get("/health/ready")
    assert (answer.status_code, answer.json["disk"]) == (503, "full")


def values(text: str, parse: Any) -> dict[str, float]:
    return {
        sample.name: sample.value for family in parse(text) for sample in family.samples
    }  # fmt: skip


@pytest.mark.parametrize(("accept", "parse"), [("text/plain", plain_text),
                                               (OPEN_FORMAT, open_metrics)])  # fmt: skip
def test_metrics_are_read_by_the_formats_own_parser(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch, accept: str, parse: Any
) -> None:
    monkeypatch.setattr(bench, "health", lambda: at_work(alarms=("hole 7",)))
    client = create_app(bench).server.test_client()
    client.get("/health/live")
    answer = client.get("/metrics", headers={"Accept": accept})
    assert answer.mimetype == accept.partition(";")[0]
    found = values(answer.text, parse)
    assert found["holewise_store_up"] == found["holewise_tables_up_to_date"] == 1.0
    assert found["holewise_recording_lines_total"] == 1200
    assert found["holewise_recording_rejected_lines_total"] == 2
    assert found["holewise_recording_age_seconds"] == 0.5
    assert found["holewise_recording_alarms_standing"] == 1
    assert found["holewise_disk_free_bytes"] > 0
    assert found["holewise_dashboard_requests_total"] >= 1


def test_where_people_sign_in_metrics_ask_for_the_token(bench: Workbench) -> None:
    bench.add_person("anna", "a-long-password", "editor")
    client = create_app(bench, Rules(metrics_token=TOKEN)).server.test_client()
    assert client.get("/metrics").status_code == 401
    for given in ("Bearer wrong", f"Basic {TOKEN}", "Bearer", ""):
        assert client.get("/metrics", headers={"Authorization": given}).status_code == 401
    with_token = {"Authorization": f"Bearer {TOKEN}"}
    answer = client.get("/metrics", headers=with_token)
    assert answer.status_code == 200
    assert "anna" not in answer.text
    assert client.get("/_dash-layout", headers=with_token).status_code == 401, "for metrics alone"
    assert client.get("/health/ready").status_code == 200
    without = create_app(bench, Rules()).server.test_client()
    assert without.get("/metrics", headers=with_token).status_code == 401


def test_nothing_of_prices_or_people(bench: Workbench) -> None:
    text = create_app(bench).server.test_client().get("/metrics").text
    for word in ("price", "cost", "EUR", "anna", "carla"):
        assert word not in text


def test_without_the_library_it_says_what_to_install(
    bench: Workbench, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "prometheus_client", None)
    client = create_app(bench).server.test_client()
    answer = client.get("/metrics")
    assert (answer.status_code, "holewise[metrics]" in answer.text) == (503, True)
    assert client.get("/health/ready").status_code == 200
    done = holewise("metrics", data=tmp_path / "shop")
    assert (done.status, "holewise[metrics]" in done.err) == (1, True)


@pytest.mark.usefixtures("bench")
def test_by_command_for_an_agent_that_collects_files(tmp_path: Path) -> None:
    done = holewise("metrics", data=tmp_path / "shop")
    assert values(done.out, plain_text)["holewise_store_up"] == 1.0
    done = holewise("metrics", "--out", tmp_path / "holewise.prom", data=tmp_path / "shop")
    assert done.status == 0, done.err
    assert "holewise_store_up 1.0" in (tmp_path / "holewise.prom").read_text()


@pytest.mark.usefixtures("bench")
def test_a_short_token_is_refused(tmp_path: Path) -> None:
    token = tmp_path / "token"
    token.write_text("short\n")
    token.chmod(0o600)
    done = holewise("dashboard", "--metrics-token-file", token, data=tmp_path / "shop")
    assert (done.status, "16 characters" in done.err) == (1, True)
    assert json.dumps("short") not in done.err


def test_every_metric_is_explained(bench: Workbench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bench, "health", at_work)
    text = create_app(bench).server.test_client().get("/metrics").text
    page = Path(__file__).resolve().parents[3] / "docs/how-to/watch-over-the-shop.md"
    explained = page.read_text("utf-8")
    for family in plain_text(text):
        name = family.name + ("_total" if family.type == "counter" else "")
        if not name.endswith("_created"):
            assert f"`{name}`" in explained, name
