"""Profiles: what was found out once is the same when it is read again, here or elsewhere."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.errors import InputError
from trials.logger import (
    LineFormat,
    Mapping,
    Profile,
    profiles_in,
    read_profile,
    write_profile,
)

MILL3 = Profile(
    "mill3",
    LineFormat("delimited", ";", ",", True, "latin-1"),
    Mapping.parse("load=Spindellast [%],time=Zeit [s],rpm=3,range=0..250,gap_after=2"),
    "serial:/dev/ttyUSB0?baud=9600",
    "beside the window",
)

names = st.text("abcXYZäß019 _-", min_size=1, max_size=12).filter(lambda t: t.strip() == t)
numbers = st.floats(0.1, 1e4)


@given(
    names, st.sampled_from(["%", "ratio", "kW", "A", "N*m"]), numbers,
    st.none() | st.tuples(names, st.sampled_from(["s", "ms", "iso"])),
    st.sampled_from([",", ";", "\t", "|", " "]), st.text(max_size=30),
)  # fmt: skip
def test_a_profile_is_the_same_after_writing_and_reading(
    load: str, unit: str, reference: float, time: tuple[str, str] | None, mark: str, note: str
) -> None:
    from trials.logger import Field

    known = None if unit in ("%", "ratio") else reference
    mapping = Mapping(Field(load, unit, known), Field(*time) if time else None)
    profile = Profile("p", LineFormat("delimited", mark), mapping, "tcp://h:1", note)
    assert Profile.from_toml(profile.to_toml(), "p") == profile


def test_a_profile_is_kept_found_and_shared(tmp_path: Path) -> None:
    folder = tmp_path / "profiles"
    assert profiles_in(folder) == []
    path = write_profile(folder, MILL3)
    assert profiles_in(folder) == ["mill3"]
    assert read_profile(folder, "mill3") == MILL3
    elsewhere = tmp_path / "usb stick" / "copied.toml"
    elsewhere.parent.mkdir()
    elsewhere.write_bytes(path.read_bytes())
    assert read_profile(folder, str(elsewhere)).mapping == MILL3.mapping
    with pytest.raises(InputError, match="there is one of that name"):
        write_profile(folder, MILL3)
    assert write_profile(folder, MILL3, replace=True) == path
    assert [one.name for one in folder.iterdir()] == ["mill3.toml"]


def test_a_name_that_is_not_there_names_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="--setup"):
        read_profile(tmp_path, "mill3")
    write_profile(tmp_path, MILL3)
    with pytest.raises(InputError, match=r"Did you mean mill3\?"):
        read_profile(tmp_path, "mil3")


@pytest.mark.parametrize("name", ["", "../x", "a/b", ".hidden", "a\\b", "x" * 90, "end."])
def test_a_name_is_no_path(name: str) -> None:
    with pytest.raises(InputError, match="name of a profile"):
        Profile(name, MILL3.line_format, MILL3.mapping)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("holewise_profile = 1", "holewise_profile = 2"), "newer"),
        (("holewise_profile = 1\n", ""), "nothing"),
        (("[mapping]", "[maping]"), "Did you mean mapping"),
        (('unit = "%"', 'unit = "%%"'), "unit of load"),
        (('unit = "%"', 'unit = "kW"'), "reference"),
        (('decimal = ","', 'decimal = ";"'), "decimal"),
        (("source = ", "source = 5 #"), "text"),
        (("load_range_pct = [", "load_range_pct = 5 # ["), "TOML"),
        (("[line_format]", "[line_format"), "TOML"),
    ],
)
def test_a_profile_changed_by_hand_is_refused_with_its_reason(
    change: tuple[str, str], says: str
) -> None:
    text = MILL3.to_toml()
    assert change[0] in text
    with pytest.raises(InputError, match="profile mill3") as refused:
        Profile.from_toml(text.replace(*change, 1), "mill3")
    assert says in str(refused.value)


def test_the_example_in_the_reference_is_one() -> None:
    page = Path(__file__).resolve().parents[3] / "docs/reference/sources.md"
    (text,) = re.findall(r"```toml\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL)
    found = Profile.from_toml(text, "mill3")
    assert found.mapping.load.reference == 11.0
    assert found.line_format.decimal == ","
