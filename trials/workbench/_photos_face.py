"""Photos of drills: the part of the workbench that keeps and gives them."""

from __future__ import annotations

from uuid import UUID

from trials.errors import InputError, require
from trials.model import Photo, check_scale
from trials.store import now_utc, plain_photo, write_photo
from trials.workbench._shop import Shop


class PhotosFace:
    """Photos; see `trials.workbench.Workbench`."""

    _shop: Shop

    def add_photo(
        self, trial: str, run: int | None, hole: int, data: bytes, *,
        mm_per_pixel: float | None = None, note: str = "", who: str = "",
    ) -> Photo:  # fmt: skip
        """Keep a photo of the drill after a hole: the picture alone, nothing that came with it.

        The same picture at the same hole is kept once.

        Args:
            trial, run: which run.
            hole: holes drilled when it was taken.
            data: a JPEG, PNG or WebP file, at most 15 MB and 50 million pixels.
            mm_per_pixel: scale of the picture, if it is known.
            note, who: anything worth keeping, and who says it.

        Raises:
            InputError: not such a file, damaged, or a hole that was not drilled.
        """
        found = self._shop.store.run(trial, run).run
        if found.state in ("drilled", "ended"):
            require(hole <= found.holes, "hole number of the photo", hole,
                    f"at most {found.holes}, the holes of run {found.number}")  # fmt: skip
        require(hole >= 0, "hole number of the photo", hole, "0 or more")
        check_scale(mm_per_pixel)
        photo = plain_photo(data)
        for one in self._shop.store.photos(trial, found.number):
            if (one.sha256, one.hole) == (photo.sha256, hole):
                return one
        write_photo(self._shop.folder.photos, photo)
        return self._shop.store.add_photo(
            trial, found.number, hole, photo, mm_per_pixel=mm_per_pixel, note=note.strip(),
            who=who.strip(),
        )  # fmt: skip

    def photos(self, trial: str, run: int | None = None, *, removed: bool = False) -> list[Photo]:
        """Photos of a run, or with None of all runs, in the order of runs and holes.

        Args:
            trial, run: which; here None means all runs.
            removed: those that were taken out instead.
        """
        self._shop.store.trial(trial)
        return self._shop.store.photos(trial, run, removed=removed)

    def photo(self, key: UUID | str) -> Photo:
        """One photo by its key, also one that was taken out."""
        return self._shop.store.photo(_key(key))

    def photo_bytes(self, key: UUID | str) -> bytes:
        """The picture as JPEG, checked against its checksum."""
        return self._shop.photo(self.photo(key).sha256)

    def set_photo_scale(self, key: UUID | str, mm_per_pixel: float | None) -> Photo:
        """Give a photo its scale, or take it away with None."""
        check_scale(mm_per_pixel)
        return self._shop.store.change_photo(_key(key), mm_per_pixel=mm_per_pixel)

    def remove_photo(self, key: UUID | str, *, who: str = "") -> Photo:
        """Take a photo out; it stays in the data folder and can be put back."""
        return self._shop.store.change_photo(_key(key), removed_utc=now_utc(), removed_by=who)

    def restore_photo(self, key: UUID | str) -> Photo:
        """Put a photo back that was taken out."""
        return self._shop.store.change_photo(_key(key), removed_utc=None, removed_by="")


def _key(key: UUID | str) -> UUID:
    if isinstance(key, UUID):
        return key
    try:
        return UUID(key)
    except ValueError:
        raise InputError("key of a photo", got=key, allowed="a UUID") from None
