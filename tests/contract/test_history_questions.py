"""Questions over all trials give the same answers whatever engine keeps the tables."""

from __future__ import annotations

from pathlib import Path

from tests.helpers.invented_shop import fill
from tests.helpers.postgres import PostgresServer
from trials.model import LikeJobs
from trials.store import Store
from trials.store._address import server_address


def test_both_engines_answer_alike(tmp_path: Path, postgres: PostgresServer) -> None:
    address = server_address(postgres.new_database()).render_as_string(hide_password=False)
    questions = (
        LikeJobs(), LikeJobs(group="M"), LikeJobs(material="STEEL", diameter_mm=(5.0, 8.5)),
        LikeJobs(hardness_hb=(150.0, 205.0), depth_xd=(2.5, 3.5)), LikeJobs(invented=True),
    )  # fmt: skip
    with (
        Store.create(f"sqlite:///{tmp_path / 'holewise.db'}") as file,
        Store.create(address) as server,
    ):
        for store in (file, server):
            fill(store, 40, 200)
        assert file.job_counts() and file.job_counts() == server.job_counts()  # noqa: PT018
        for like in questions:
            assert file.jobs(like) == server.jobs(like)
            rows, others = file.edges(like), server.edges(like)
            assert [tuple(row) for row in rows] == [tuple(row) for row in others]
            assert bool(rows) == (not like.invented)
            assert file.wear_of_edges(like) == server.wear_of_edges(like)
