"""``holewise people``: added without a password on the command line, listed, removed."""

from __future__ import annotations

import json
import stat
import sys
from pathlib import Path

import pytest

from tests.helpers.command_line import holewise
from trials.errors import InputError
from trials.workbench import Workbench

WORDS = "several words in a row"


@pytest.fixture
def password(tmp_path: Path) -> Path:
    path = tmp_path / "password.txt"
    path.write_text(f"{WORDS}\nnot this line\n", encoding="utf-8")
    path.chmod(0o600)
    return path


def test_people_are_added_listed_and_removed(tmp_path: Path, password: Path) -> None:
    shop = tmp_path / "shop"
    said = holewise("people", "add", "Anna", "--role", "editor", "--password-file", password,
                    data=shop)  # fmt: skip
    assert (said.status, said.out.strip()) == (0, "Anna may sign in now as editor and sees prices.")
    said = holewise("people", "add", "rep", "--password-file", password, data=shop)
    assert said.out.strip() == "rep may sign in now as reader and sees no prices."
    listed = holewise("people", "list", data=shop).out
    assert "Anna" in listed
    assert "hidden" in listed
    assert WORDS not in listed
    assert "scrypt" not in listed
    assert holewise("people", "remove", "ANNA", data=shop).status == 0
    again = holewise("people", "remove", "Anna", data=shop)
    assert again.status == 1
    assert "allowed: rep" in again.err


def test_the_file_holds_a_hash_and_only_its_owner_may_read_it(
    tmp_path: Path, password: Path
) -> None:
    shop = tmp_path / "shop"
    holewise("people", "add", "Anna", "--password-file", password, data=shop)
    path = shop / "people.json"
    (anna,) = json.loads(path.read_text("utf-8"))["people"]
    assert anna["password_hash"].startswith("scrypt:")
    assert WORDS not in path.read_text("utf-8")
    with Workbench.open(shop) as bench:
        person = bench.person("anna")
        assert person is not None
        assert "scrypt" not in repr(person)
        assert bench.is_password(WORDS, person.password_hash)
        assert not bench.is_password("not this line", person.password_hash)
        bench.sign_in_key()
    if sys.platform != "win32":
        for name in ("people.json", "dashboard.key"):
            assert stat.S_IMODE((shop / name).stat().st_mode) == 0o600, name


def test_the_key_is_made_once(tmp_path: Path) -> None:
    with Workbench.open(tmp_path / "shop") as one, Workbench.open(tmp_path / "shop") as two:
        assert one.sign_in_key() == two.sign_in_key()
        assert len(one.sign_in_key()) == 32
    with Workbench.open(tmp_path / "other") as other, Workbench.open(tmp_path / "shop") as one:
        assert one.sign_in_key() != other.sign_in_key()


@pytest.mark.parametrize(
    ("name", "role", "first_line", "said"),
    [
        ("Anna", "owner", WORDS, "--role: got 'owner'; allowed: editor or reader."),
        ("Anna", "reader", "short", "password: got '5 characters'; allowed: 8 to 200 characters."),
        ("Anna", "reader", "", "an empty first line"),
        ("An\nna", "reader", WORDS, "name of a person"),
        ("  ", "reader", WORDS, "name of a person"),
    ],
)
def test_what_cannot_be_is_refused_and_nobody_is_added(
    tmp_path: Path, password: Path, name: str, role: str, first_line: str, said: str
) -> None:
    password.write_text(first_line + "\n", encoding="utf-8")
    shop = tmp_path / "shop"
    answer = holewise("people", "add", name, "--role", role, "--password-file", password, data=shop)
    assert answer.status == 1
    assert said in answer.err
    with Workbench.open(shop) as bench:
        assert bench.people() == ()


def test_two_of_one_name_are_refused(tmp_path: Path, password: Path) -> None:
    shop = tmp_path / "shop"
    holewise("people", "add", "Anna", "--password-file", password, data=shop)
    answer = holewise("people", "add", "anna ", "--password-file", password, data=shop)
    assert answer.status == 1
    assert "somebody is called 'anna' already" in answer.err


@pytest.mark.skipif(sys.platform == "win32", reason="permissions of POSIX systems")
def test_a_password_file_that_everybody_may_read_is_refused(tmp_path: Path, password: Path) -> None:
    password.chmod(0o644)
    answer = holewise("people", "add", "Anna", "--password-file", password, data=tmp_path / "shop")
    assert answer.status == 1
    assert "chmod 600" in answer.err


def test_without_a_terminal_nothing_is_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False, raising=False)
    answer = holewise("people", "add", "Anna", data=tmp_path / "shop")
    assert answer.status == 1
    assert "--password-file FILE" in answer.err


def test_other_addresses_are_refused_without_people(tmp_path: Path) -> None:
    answer = holewise("dashboard", "--host", "0.0.0.0", data=tmp_path / "shop")  # noqa: S104
    assert answer.status == 1
    assert "holewise people add NAME" in answer.err
    with pytest.raises(InputError), Workbench.open(tmp_path / "shop") as bench:
        bench.add_person("x" * 61, WORDS, "reader")
