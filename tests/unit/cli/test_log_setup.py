"""``holewise log --setup`` on the three kinds of streams that it must master without a manual."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from tests.helpers.command_line import Answer, holewise
from tests.helpers.replay_server import ReplayServer
from trials.cli.trial import TEMPLATE
from trials.workbench import Workbench


@pytest.fixture
def data(tmp_path: Path) -> Path:
    return tmp_path / "shop"


def semicolons(path: Path, *, holes: int = 4) -> Path:
    """Decimal commas, Latin-1, a header in German; a hole of 3.5 s every 6 s."""
    rows = ["Zeit [s];Spindellast [%];Drehzahl [1/min];Kühlmittel"]
    for i in range(20 * 6 * holes + 40):
        cutting = i / 20 % 6 >= 2 and i / 20 % 6 < 5.5
        load = (41.3 if cutting else 5.2) + i % 7 * 0.1
        rows.append(f"{i / 20:.2f};{load:.1f};{2990 + i % 3};ein".replace(".", ","))
    path.write_bytes(("\r\n".join(rows) + "\r\n").encode("latin-1"))
    return path


def pairs(unit_kw: bool) -> bytes:
    text = []
    for i in range(400):
        cutting = i / 20 % 6 >= 2 and i / 20 % 6 < 5.5
        load = (5.2 if cutting else 0.8) if unit_kw else (41 if cutting else 5) + i % 7 * 0.1
        text.append(f"t={50 * i};{'power' if unit_kw else 'load'}={load:.2f};n=2990\n")
    return "".join(text).encode()


def set_up(data: Path, *arguments: str, keys: str | None = None) -> Answer:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sys.stdin", io.StringIO(keys or ""))
        return holewise("log", "--setup", *arguments, data=data)


def test_columns_with_decimal_commas_then_a_recording_by_the_profile(
    data: Path, tmp_path: Path
) -> None:
    source = f"csv:{semicolons(tmp_path / 'mill.csv')}"
    answer = set_up(data, "--source", source, "--profile", "mill3", "--yes")
    assert answer.status == 0, answer.err
    for said in ("semicolons with a header, decimal comma, latin-1", "Spindellast [%]",
                 "Drehzahl [1/min]", "no line rejected", "mill3.toml",
                 "--profile mill3"):  # fmt: skip
        assert said in answer.out, said
    trial_file = tmp_path / "trial.toml"
    trial_file.write_text(TEMPLATE, encoding="utf-8")
    assert holewise("trial", "new", "--file", trial_file, data=data).status == 0
    assert holewise("run", "new", "bracket-8.5", data=data).status == 0
    logged = holewise("log", "bracket-8.5", "--profile", "mill3", data=data)
    assert logged.status == 0, logged.err
    assert "4 holes" in logged.out
    assert "hole 4: peak 41." in logged.out, "a line a hole when piped"
    # The profile is a file that works from anywhere.
    assert holewise("run", "end", "bracket-8.5", "--end", "stopped", data=data).status == 0
    assert holewise("run", "new", "bracket-8.5", data=data).status == 0
    copied = tmp_path / "stick.toml"
    copied.write_bytes((data / "profiles" / "mill3.toml").read_bytes())
    taken = holewise("import", "bracket-8.5", tmp_path / "mill.csv", "--profile", copied, data=data)
    assert taken.status == 0, taken.err
    assert "4 holes" in taken.out


def test_pairs_over_the_network_need_enter_alone(data: Path) -> None:
    with ReplayServer(pairs(unit_kw=False)) as server:
        answer = set_up(data, "--source", server.url, "--seconds", "5", keys="\n\n")
    assert answer.status == 0, answer.err
    with Workbench.open(data) as bench:
        (name,) = bench.profiles()
        found = bench.profile(name)
    assert found.source == server.url
    assert found.line_format.kind == "key=value"
    assert {what: (one.name, one.unit) for what, one in found.mapping.fields().items()} == {
        "load": ("load", "%"), "time": ("t", "ms"), "rpm": ("n", "1/min"),
    }  # fmt: skip


def test_a_power_asks_for_the_value_that_is_full_load(data: Path) -> None:
    with ReplayServer(pairs(unit_kw=True)) as server:
        source = ("--source", server.url, "--seconds", "5")
        refused = set_up(data, *source, "--yes", "--profile", "mill3")
        assert refused.status == 1
        assert "kW or %" in refused.err
        assert "reference=" in refused.err
        # load, unit, time, its unit, speed, depth; an answer that is none; then the reference.
        answer = set_up(data, *source, keys="\n\n\n\n\n-\nmuch\n11,0\nmill3\n")
        assert answer.status == 0, answer.err
        given = set_up(
            data, *source, "--yes", "--profile", "mill4",
            "--map", "load=power,unit=kW,reference=11,time=t,time_unit=ms",
        )  # fmt: skip
    assert given.status == 0, given.err
    # 5.2 kW of 11 kW is 47.3 %.
    assert "load 7% to 47%" in answer.out
    with Workbench.open(data) as bench:
        assert bench.profiles() == ["mill3", "mill4"]
        for name in ("mill3", "mill4"):
            assert bench.profile(name).mapping.load.reference == 11.0
            assert bench.profile(name).mapping.load.unit == "kW"


def test_another_field_can_be_chosen_by_number_or_name_and_all_can_be_seen(
    data: Path, tmp_path: Path
) -> None:
    source = f"csv:{semicolons(tmp_path / 'mill.csv')}"
    # 3 is the speed, which is no load; then the load by its name.
    keys = "n\n?\nno such\n3\n%\n1\ns\n-\n-\n"
    keys += "Spindellast [%]\n%\n1\ns\n-\n-\nodd/name\nodd\n"
    answer = set_up(data, "--source", source, keys=keys)
    assert answer.status == 0, answer.out + answer.err
    assert "There is no field 'no such'" in answer.out
    assert "That does not work. " in answer.out
    assert "name of a profile" in answer.out
    with Workbench.open(data) as bench:
        assert list(bench.profile("odd").mapping.fields()) == ["load", "time"]


def test_a_profile_is_not_replaced_unasked(data: Path, tmp_path: Path) -> None:
    source = f"csv:{semicolons(tmp_path / 'mill.csv')}"
    assert set_up(data, "--source", source, "--profile", "mill3", "--yes").status == 0
    before = (data / "profiles" / "mill3.toml").read_bytes()
    refused = set_up(data, "--source", source, "--profile", "mill3", "--yes")
    assert refused.status == 1
    assert "there is one of that name" in refused.err
    assert set_up(data, "--source", source, "--profile", "mill3", keys="\nn\n").status == 1
    assert (data / "profiles" / "mill3.toml").read_bytes() == before
    assert set_up(data, "--source", source, "--profile", "mill3", keys="\ny\n").status == 0


def test_without_keyboard_and_without_yes_it_says_so(data: Path, tmp_path: Path) -> None:
    answer = set_up(data, "--source", f"csv:{semicolons(tmp_path / 'mill.csv')}")
    assert answer.status == 1
    assert "--yes" in answer.err
    assert not list((data / "profiles").glob("*")) if (data / "profiles").exists() else True
    assert "--source" in set_up(data).err


def test_a_real_lathe_over_tcp(data: Path, shared_data: Path) -> None:
    """The SHDR recording of the open standard's demo folder, as an adapter would send it."""
    lines = (shared_data / "shdr_turning_recording.txt").read_bytes()
    with ReplayServer(lines, longest=65_536) as server:
        answer = set_up(
            data, "--source", server.url, "--seconds", "20", "--profile", "lathe", "--yes"
        )
    assert answer.status == 0, answer.err
    assert "The load could also be S6load" in answer.out
    with Workbench.open(data) as bench:
        mapping = bench.profile("lathe").mapping
    assert (mapping.load.name, mapping.load.unit, mapping.time) == ("S1load", "%", None)
    assert mapping.rpm is not None
    assert mapping.rpm.name == "S1speed"
