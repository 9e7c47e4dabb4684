"""The list of trials of a shop with more of them than are shown at first."""

from __future__ import annotations

from pathlib import Path

from dashboard import create_app, ids, links, texts
from dashboard.pages import PAGES, trials
from dashboard.show import Show
from tests.helpers.crawler import Crawler
from tests.helpers.invented_shop import fill
from tests.helpers.page_words import idents, words
from trials.workbench import Workbench


def test_a_long_list_shows_the_newest_and_the_rest_when_asked(tmp_path: Path) -> None:
    count = trials.NEWEST + 3
    with Workbench.open(tmp_path) as bench:
        fill(bench._shop.store, count, count)
        content, _ = PAGES[""].layout(bench, Show(), "")
        said = words(content)
        assert f"job {count - 1:04d}" in said  # changed last
        assert "job 0002" not in said
        assert texts.TRIALS_ALL in said
        crawler = Crawler(create_app(bench).server.test_client())
        crawler.open(links.HOME)
        (callback,) = (one for one in crawler.callbacks() if ids.TRIALS_SHOWN in one["output"])
        body = crawler.body(callback, callback["inputs"][0], {})
        answer = crawler.client.post("/_dash-update-component", json=body)
        assert answer.status_code == 200
        for number in range(count):
            assert f"job {number:04d}" in answer.text


def test_a_short_list_is_whole(tmp_path: Path) -> None:
    with Workbench.open(tmp_path) as bench:
        fill(bench._shop.store, 3, 3)
        content, _ = PAGES[""].layout(bench, Show(), "")
        assert ids.TRIALS_ALL not in idents(content)
