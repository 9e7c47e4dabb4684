"""A data folder on a network drive is refused, with what to do instead.

The tables of mounts are written after proc(5) and the output of macOS's mount(8); kinds of file
systems are named as those systems name them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from trials.errors import StoreError
from trials.store import _network, shop_folder
from trials.store._network import drive_kind, is_network, kind_by_mount, kind_by_mountinfo

LINUX = """\
22 1 254:0 / / rw,relatime shared:1 - ext4 /dev/vda1 rw
40 22 0:35 / /mnt/shop rw,relatime shared:2 - nfs4 server:/shop rw,vers=4.2
41 22 0:36 / /mnt/the\\040office rw,relatime - cifs //server/office rw,vers=3.1.1
42 40 254:1 / /mnt/shop/fast rw,relatime - xfs /dev/vdb1 rw
43 22 0:37 / /home/me/remote rw,nosuid - fuse.sshfs me@server: rw
44 22 0:38 / /data rw - cifs //server/old rw
45 22 254:2 / /data rw - btrfs /dev/vdc1 rw
"""
MACOS = """\
/dev/disk3s1s1 on / (apfs, sealed, local, read-only, journaled)
/dev/disk3s5 on /System/Volumes/Data (apfs, local, journaled)
//me@server/shop on /Volumes/shop (smbfs, nodev, nosuid, mounted by me)
server:/export on /Volumes/my disk (nfs)
"""


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/home/me/shop", "ext4"),
        ("/mnt/shop/holewise", "nfs4"),
        ("/mnt/the office/holewise", "cifs"),
        ("/mnt/shop/fast/holewise", "xfs"),
        ("/mnt/shopping", "ext4"),
        ("/home/me/remote", "fuse.sshfs"),
        ("/data/x", "btrfs"),
    ],
)
def test_the_kind_of_a_drive_by_the_table_of_mounts(folder: str, kind: str) -> None:
    assert kind_by_mountinfo(Path(folder), LINUX) == kind


@pytest.mark.parametrize(
    ("folder", "kind"),
    [("/Users/me", "apfs"), ("/Volumes/shop/x", "smbfs"), ("/Volumes/my disk/x", "nfs")],
)
def test_the_kind_of_a_drive_by_mount(folder: str, kind: str) -> None:
    assert kind_by_mount(Path(folder), MACOS) == kind


def test_which_kinds_lie_on_another_computer() -> None:
    for kind in ("nfs", "nfs4", "cifs", "smb3", "smbfs", "fuse.sshfs", "fuse.rclone", "NFS4"):
        assert is_network(kind), kind
    for kind in ("ext4", "xfs", "btrfs", "apfs", "ntfs", "tmpfs", "overlay", "fuse.ntfs-3g",
                 "fuseblk", "zfs"):  # fmt: skip
        assert not is_network(kind), kind


def test_a_table_that_says_nothing_refuses_nothing(tmp_path: Path) -> None:
    assert kind_by_mountinfo(tmp_path, "") is None
    assert kind_by_mountinfo(tmp_path, "nonsense\n") is None
    assert shop_folder(tmp_path / "shop").path.is_dir()


def test_a_network_drive_is_refused_before_anything_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = tmp_path / "mountinfo"
    table.write_text(
        "22 1 254:0 / / rw - ext4 /dev/vda1 rw\n"
        f"40 22 0:35 / {tmp_path} rw - nfs4 server:/shop rw\n"
    )
    monkeypatch.setattr(_network, "_MOUNTINFO", table)
    monkeypatch.setattr("sys.platform", "linux")
    assert drive_kind(tmp_path / "not yet" / "there") == "nfs4"
    with pytest.raises(StoreError, match=r"network drive \(nfs4\)") as refused:
        shop_folder(tmp_path / "shop")
    assert "--data" in str(refused.value)
    assert not (tmp_path / "shop").exists()
